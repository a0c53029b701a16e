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

/** Set an element's text where it is another: what is the same need not be read out again. */
export function setText(id, words) {
  if (byId(id).textContent !== words) byId(id).textContent = words;
}
