// Fields of the work order: each holds one value of the job.

import { h } from "/static/dom.js";
import { set, state } from "/static/requests.js";
import { attempt } from "/static/messages.js";

function valueAt(path) {
  return path.reduce((at, part) => at?.[part], state.job);
}

let fieldCount = 0;

/** A field for one value of the job. It is taken when it is left, or at Enter. */
export function field(label, path, { choices, hint, write = (value) => value, read = (value) => value ?? "" } = {}) {
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
    const written = input.value.trim();
    if (written === read(valueAt(path))) return;
    const fine = await attempt(() => set([[path, write(written)]]));
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

/** A length of the job as a maker says it: to a tenth of a millimetre. */
export function plain(length) {
  const found = /^(-?[\d.]+) mm$/.exec(length);
  return found ? `${Number(Number(found[1]).toFixed(1))} mm` : length;
}
