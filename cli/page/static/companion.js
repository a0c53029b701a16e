// A button that brings a file which the job names beside its scan: a drawing, a hide's outline, prices.

import { button, h } from "/static/dom.js";
import { complaint } from "/static/form.js";
import { bringTo } from "/static/requests.js";

let count = 0;

/** A row with a button that brings a file for the place `path` of the job; what is wrong with it is said beside it. */
export function companionButton(words, path, { accept, hint }) {
  const chooser = h("input", { type: "file", accept, hidden: true, tabindex: "-1" });
  const act = button("", () => chooser.click(), { id: `companion-${++count}`, class: "companion" });
  const below = h("span", { class: "hint", id: `companion-${count}-hint` }, hint);
  act.setAttribute("aria-describedby", below.id);
  const row = h("p", { class: "actions" }, act, chooser, below);
  const wrong = complaint(row, act);
  const take = async (file) => {
    if (await wrong.during(() => bringTo(path, file))) wrong.end();
  };
  chooser.addEventListener("change", async () => {
    const [file] = chooser.files;
    if (file) await take(file);
    chooser.value = "";
  });
  row.show = () => { act.textContent = typeof words === "function" ? words() : words; };
  return row;
}
