// Kinds of fields: of what is usual where nobody says, of a choice that changes several things, and shown only at times.

import { h } from "/static/dom.js";
import { field, labelled, takenBy, valueAt } from "/static/form.js";
import { set } from "/static/requests.js";
import { text } from "/static/texts.js";

/** A field that is empty where the job leaves it to what is usual, which stands in it in grey. */
export function usualField(label, path, { usual, hint, write = (written) => written || "auto" }) {
  const row = field(label, path, {
    hint,
    read: (value) => (value === "auto" || value === null || value === undefined ? "" : String(value)),
    write,
  });
  const { show } = row;
  row.show = () => {
    row.input.placeholder = typeof usual === "function" ? usual() : usual;
    show();
  };
  return row;
}

/** A field for a number of the job. */
export function numberField(label, path, { hint } = {}) {
  return field(label, path, {
    hint,
    read: (value) => String(value ?? ""),
    write: (written) => (written && Number.isFinite(Number(written)) ? Number(written) : written),
  });
}

/** Offer choices in a list that may be open: what is the same need not be put in anew. */
function offer(input, choices) {
  const same = [...input.options].map(({ value, textContent }) => [value, textContent]);
  if (JSON.stringify(same) === JSON.stringify(choices)) return;
  input.replaceChildren(...choices.map(([value, words]) => h("option", { value }, words)));
}

/** A choice of what is not one value of the job: `now` says which it is, `take` makes it. */
export function choiceField(label, choices, { now, take, paths, hint }) {
  const input = h("select");
  const row = labelled(label, input, hint);
  return takenBy(row, input, {
    path: () => paths,
    show() {
      row.tell();
      offer(input, typeof choices === "function" ? choices() : choices);
      input.value = now();
    },
    async take() {
      if (input.value !== now()) await take(input.value);
    },
  });
}

/** The same row, shown only while `when` is true. */
export function onlyWhile(when, row) {
  const { show } = row;
  row.show = () => {
    row.hidden = !when();
    if (!row.hidden) show?.();
  };
  return row;
}

/** Rows that are shown together, with a name where they have one. */
export function group(name, ...rows) {
  const box = name
    ? h("fieldset", { class: "group" }, h("legend", {}, name), ...rows)
    : h("div", { class: "fields" }, ...rows);
  box.show = () => { for (const row of rows) row.show?.(); };
  return box;
}

/** A field of `choices` that can be left, or take a figure of its own: "as usual", "no", or the figure. */
export function figureField(labels, path, { choices, first, hint }) {
  const named = (value) => choices.some(([known]) => known === value);
  const choice = field(labels[0], path, {
    choices: [...choices, ["own", text("own figure")]],
    read: (value) => (named(value) ? value : "own"),
    write: (value) => (value === "own" ? first() : value),
  });
  const figure = onlyWhile(() => !named(valueAt(path)), field(labels[1], path, { hint }));
  return group("", choice, figure);
}

/** Set one value of the job, and take what the server says. */
export function setAt(path, value) {
  return set([[path, value]]);
}
