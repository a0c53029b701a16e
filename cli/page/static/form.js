// What the work order is made of: elements, and fields that hold one value of the job each.

import { set, state } from "/static/requests.js";
import { attempt } from "/static/messages.js";

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

function valueAt(path) {
  return path.reduce((at, part) => at?.[part], state.job);
}

let fieldCount = 0;

/** A field for one value of the job. It is taken when it is left, or at Enter. */
export function field(label, path, { choices, hint, write = (text) => text, read = (value) => value ?? "" } = {}) {
  const id = `field-${++fieldCount}`;
  const input = choices
    ? h("select", { id }, ...choices.map(([value, words]) => h("option", { value }, words)))
    : h("input", { id, type: "text", autocomplete: "off", spellcheck: "false" });
  if (hint) input.setAttribute("aria-describedby", `${id}-hint`);
  const show = () => {
    if (document.activeElement !== input || choices) input.value = read(valueAt(path));
    input.removeAttribute("aria-invalid");
  };
  const take = async () => {
    const text = input.value.trim();
    if (text === read(valueAt(path))) return;
    const fine = await attempt(() => set([[path, write(text)]]));
    if (fine) input.value = read(valueAt(path));
    else input.setAttribute("aria-invalid", "true");
  };
  input.addEventListener("change", take);
  input.addEventListener("keydown", (event) => {
    if (event.key === "Escape") { input.value = read(valueAt(path)); input.removeAttribute("aria-invalid"); }
  });
  const row = h("p", { class: "field" }, h("label", { for: id }, label), input);
  if (hint) row.append(h("span", { class: "hint", id: `${id}-hint` }, hint));
  row.show = show;
  row.input = input;
  return row;
}

export function button(words, act, attributes = {}) {
  return h("button", { type: "button", onclick: act, ...attributes }, words);
}

/** A length of the job as a maker says it: to a tenth of a millimetre. */
export function plain(text) {
  const found = /^(-?[\d.]+) mm$/.exec(text);
  return found ? `${Number(Number(found[1]).toFixed(1))} mm` : text;
}
