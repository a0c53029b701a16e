// It was tried on: what a mock-up is made of, and what each try-on showed in the maker's own words.

import { button, h } from "/static/dom.js";
import { field, plain } from "/static/form.js";
import { onlyWhile, usualField } from "/static/fields.js";
import { entries } from "/static/forms/entries.js";
import { attempt } from "/static/messages.js";
import { set, state } from "/static/requests.js";
import { text } from "/static/texts.js";

const SHEETS = ["paper", "felt", "foam", "cloth"];
const named = (materials) => materials.map((material) => [material, text(`sheet.${material}`)]);
const fittings = () => state.job.fitting;

/** The usual thickness of a sheet; of leather, the job's own. */
const usualThickness = (material) => plain(state.offered.sheets[material] ?? state.job.leather.thickness);

/** The sentences of fitting `n`: each to be written anew or taken away, and one more like one of those known. */
function sentences(n) {
  const path = ["fitting", n, "showed"];
  const now = () => fittings()[n].showed;
  const list = h("div", { class: "fields" });
  const like = h("select", { id: `showed-${n}` });
  const add = button(text("tried.add sentence"), async () => {
    if (await attempt(() => set([[path, [...now(), like.value]]]))) list.lastElementChild.querySelector("input").select();
  });
  const box = h("fieldset", { class: "group" }, h("legend", {}, text("tried.showed")), list,
    h("p", { class: "field" }, h("label", { for: like.id }, text("tried.like")), like),
    h("p", { class: "actions" }, add), h("p", { class: "hint" }, text("tried.showed hint")));

  function sentence(k) {
    const row = field(text("tried.sentence", { number: k + 1 }), [...path, k]);
    const away = button("×", () => attempt(() => set([[path, now().filter((_, j) => j !== k)]])), {
      class: "away", "aria-label": text("tried.sentence away", { number: k + 1 }),
    });
    row.classList.add("sentence");
    row.append(away);
    return row;
  }
  box.show = () => {
    if (!like.options.length) like.append(...state.offered.showed.map((words) => h("option", { value: words }, words)));
    while (list.children.length > now().length) list.lastElementChild.remove();
    while (list.children.length < now().length) list.append(sentence(list.children.length));
    for (const row of list.children) row.show();
  };
  return box;
}

function fittingParts(n) {
  const at = (key) => ["fitting", n, key];
  return [
    sentences(n),
    field(text("tried.in"), at("material"), { choices: named([...SHEETS, "leather"]) }),
    usualField(text("tried.thickness"), at("thickness"), { usual: () => usualThickness(fittings()[n].material) }),
    field(text("tried.cut by"), at("pattern"), {
      choices: ["auto", "mock-up", "leather"].map((pattern) => [pattern, text(`tried.cut by.${pattern}`)]),
    }),
    onlyWhile(() => fittings()[n].side !== "both", field(text("limb.side"), at("side"), {
      choices: [["both", text("tried.both")], ["left", text("limb.left")], ["right", text("limb.right")]],
    })),
  ];
}

const mockup = () => state.job.mockup;

/** The question's parts. */
export const tryOnForms = [
  field(text("tried.mockup"), ["mockup", "material"], {
    choices: [["none", text("tried.no mockup")], ...named(SHEETS)], hint: text("tried.mockup hint"),
  }),
  onlyWhile(() => mockup().material !== "none", usualField(text("tried.thickness"), ["mockup", "thickness"], {
    usual: () => usualThickness(mockup().material),
  })),
  h("p", { class: "soft" }, text("tried.how")),
  entries(["fitting"], {
    name: (n) => text("tried.fitting", { number: n + 1 }),
    words: (n) => text("tried.fitting is", {
      material: text(`sheet.${fittings()[n].material}`), showed: fittings()[n].showed.join("; "),
    }),
    parts: fittingParts,
    blank: () => ({ material: mockup().material === "none" ? "paper" : mockup().material }),
    add: text("tried.add"),
    remove: text("tried.remove"),
  }),
];

/** The question's mark, and its answer in words. */
export function tryOnAnswer() {
  const count = fittings().length;
  if (count) return ["done", text(count === 1 ? "tried.once" : "tried.often", { count })];
  const { material } = mockup();
  return ["done", material === "none" ? text("tried.not yet") : text("tried.drawn", { material: text(`sheet.${material}`) })];
}
