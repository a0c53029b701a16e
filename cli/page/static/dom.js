// Elements of the page: found, made and filled.

export const byId = (id) => document.getElementById(id);

/** An element with attributes ("onclick": what to do) and children. */
export function h(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith("on")) made.addEventListener(key.slice(2), value);
    else if (value === true) made.setAttribute(key, "");
    else if (value !== false && value !== undefined) made.setAttribute(key, value);
  }
  made.append(...children);
  return made;
}

export function button(words, act, attributes = {}) {
  return h("button", { type: "button", onclick: act, ...attributes }, words);
}

let pressed = null; // what a pointer is pressed on: its click is still to come
const waiting = new Map();
addEventListener("pointerdown", ({ target }) => { pressed = target; }, true);
for (const kind of ["pointerup", "pointercancel"]) {
  addEventListener(kind, () => setTimeout(letUp), true); // the click comes with it, and before what waits
}

function letUp() {
  pressed = null;
  const works = [...waiting.values()];
  waiting.clear();
  for (const work of works) work();
}

/** Make what is in a box anew, but not under a pressed pointer, whose click would be lost with what it was pressed on:
 * then the newest `work` waits until the pointer is let up. */
export function rebuild(box, work) {
  if (pressed && box.contains(pressed)) waiting.set(box, work);
  else {
    waiting.delete(box);
    work();
  }
}

/** Let a box hold these children. What is the same already stays: a pointer may be on it, and who sees nothing need not
 * hear it again. */
export function fill(box, ...children) {
  rebuild(box, () => {
    const next = h("div", {}, ...children);
    next.normalize();
    const had = [...box.childNodes];
    const same = had.length === next.childNodes.length && had.every((node, n) => node.isEqualNode(next.childNodes[n]));
    if (!same) box.replaceChildren(...next.childNodes);
  });
}

/** Set an element's text where it is another: what is the same need not be read out again. */
export function setText(id, words) {
  if (byId(id).textContent !== words) byId(id).textContent = words;
}
