// Entries of a list of the job, and what is folded away until it is wanted.

import { button, h } from "/static/dom.js";
import { valueAt } from "/static/form.js";
import { attempt } from "/static/messages.js";
import { set } from "/static/requests.js";
import { text } from "/static/texts.js";

/** A form for each entry of the list at `path`, from the one numbered `from` on; one more, and one less.
 * `name(n)` and `words(n)` say which it is, `parts(n)` are its rows, `blank()` is a new one. */
export function entries(path, { name, words = () => "", parts, blank, add, remove, from = 0 }) {
  const list = h("div", { class: "entries" });
  const now = () => valueAt(path) ?? [];
  const more = button(add, async () => {
    if (!await attempt(() => set([[path, [...now(), blank()]]]))) return;
    list.lastElementChild.open = true;
    list.lastElementChild.querySelector(".parts :is(input, select, button)")?.focus();
  });
  const away = async (n) => {
    if (await attempt(() => set([[path, now().filter((_, k) => k !== n)]]))) more.focus();
  };
  const box = h("div", { class: "fields" }, list, h("p", { class: "actions" }, more));
  box.show = () => {
    const wanted = Math.max(0, now().length - from);
    while (list.children.length > wanted) list.lastElementChild.remove();
    while (list.children.length < wanted) list.append(entry(list.children.length + from));
    for (const one of list.children) one.show();
  };

  function entry(n) {
    const title = h("strong");
    const told = h("span");
    const drop = button(remove, () => away(n));
    const rows = parts(n);
    const form = h("details", { class: "entry" }, h("summary", {}, title, " ", told),
      h("div", { class: "parts" }, ...rows, h("p", { class: "actions" }, drop)));
    form.show = () => {
      title.textContent = name(n);
      told.textContent = words(n);
      drop.setAttribute("aria-label", text("entry.named", { act: remove, name: name(n) }));
      for (const row of rows) row.show?.();
    };
    return form;
  }
  return box;
}

/** Rows that are folded away under a plain heading, which says in a line what stands. */
export function folded(title, answer, ...rows) {
  const told = h("span", { class: "told" });
  const box = h("details", { class: "more" }, h("summary", {}, `${title} `, told),
    h("div", { class: "fields" }, ...rows));
  box.show = () => {
    told.textContent = answer();
    for (const row of rows) row.show?.();
  };
  return box;
}
