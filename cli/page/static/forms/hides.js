// On which leather it is cut: hides of a shape and size with their flaws, or a bench or a machine's bed.

import { companionButton } from "/static/companion.js";
import { h } from "/static/dom.js";
import { field, plain, yesNo } from "/static/form.js";
import { choiceField, group, onlyWhile, usualField } from "/static/fields.js";
import { entries } from "/static/forms/entries.js";
import { set, state } from "/static/requests.js";
import { text } from "/static/texts.js";

const NEW_BED = { width: "600 mm", height: "400 mm" };
const UNITS = ["auto", "mm", "cm", "m", "in"];
const BACKBONES = ["auto", "bottom edge", "top edge", "left edge", "right edge", "level", "upright"];
const hides = () => state.job.hide;
const bed = () => state.job.bed;
const shapes = () => Object.keys(state.offered.hides).map((shape) => [shape, text(`hides.shape.${shape}`)]);

function ground() {
  return hides().length ? "hides" : bed() === "no" ? "none" : "bed";
}

const choice = choiceField(text("hides.ground"), ["none", "hides", "bed"].map((way) => [way, text(`hides.ground.${way}`)]), {
  now: ground,
  take: (way) => set([[["hide"], way === "hides" ? [{ shape: "side" }] : []], [["bed"], way === "bed" ? NEW_BED : "no"]]),
  paths: [["hide"], ["bed"]],
  hint: text("hides.ground hint"),
});

/** How pieces lie: how far off the edges and each other, and which way their grain may run. */
function lying(at) {
  return group("",
    field(text("hides.margin"), at("margin"), { hint: text("hides.margin hint") }),
    field(text("hides.space"), at("space"), { hint: text("hides.space hint") }),
    field(text("hides.turn"), at("turn"), { hint: text("hides.turn hint") }),
    yesNo(text("hides.both ways"), at("both_ways"), { hint: text("hides.both ways hint") }));
}

function hideParts(n) {
  const at = (key) => ["hide", n, key];
  const traced = () => Boolean(hides()[n]?.outline);
  const usual = (key) => () => state.offered.hides[hides()[n].shape]?.[key] ?? "";
  return [
    choiceField(text("hides.shape"), () => (traced() ? [["", hides()[n].outline], ...shapes()] : shapes()), {
      now: () => hides()[n].shape,
      take: (shape) => set([[at("outline"), ""], [at("shape"), shape]]),
      paths: [at("outline"), at("shape")],
      hint: () => (traced() ? text("hides.outline", { file: hides()[n].outline }) : text("hides.shape hint")),
    }),
    companionButton(() => text(traced() ? "hides.bring another" : "hides.bring"), at("outline"), {
      accept: ".svg,.dxf", hint: text("hides.bring hint"),
    }),
    onlyWhile(traced, group("",
      field(text("hides.unit"), at("unit"), {
        choices: UNITS.map((unit) => [unit, unit === "auto" ? text("hides.unit.auto") : unit]),
      }),
      field(text("hides.backbone"), at("backbone"), {
        choices: BACKBONES.map((way) => [way, text(`hides.backbone.${way}`)]),
      }))),
    onlyWhile(() => !traced(), usualField(text("hides.length"), at("length"), { usual: usual("length") })),
    onlyWhile(() => !traced(), usualField(text("hides.width"), at("width"), { usual: usual("width") })),
    usualField(text("plates.thickness"), at("thickness"), { usual: () => plain(state.job.leather.thickness) }),
    lying(at),
    field(text("hides.belly"), at("belly"), {
      choices: ["none", "small pieces", "all"].map((which) => [which, text(`hides.belly.${which}`)]),
    }),
    usualField(text("hides.belly width"), at("belly_width"), { usual: () => text("hides.belly usual") }),
    entries(at("flaws"), {
      name: (k) => text("hides.flaw", { number: k + 1 }),
      words: (k) => plain(hides()[n].flaws[k][2]),
      parts: (k) => ["hides.flaw along", "hides.flaw across", "hides.flaw size"].map(
        (key, part) => field(text(key), [...at("flaws"), k, part])),
      blank: () => ["400 mm", "200 mm", "50 mm"],
      add: text("hides.flaw add"),
      remove: text("hides.flaw remove"),
    }),
  ];
}

/** The question's parts. */
export const hideForms = [
  choice,
  onlyWhile(() => ground() === "hides", entries(["hide"], {
    name: (n) => text("hides.hide", { number: n + 1 }),
    words: (n) => (hides()[n].shape ? text(`hides.shape.${hides()[n].shape}`) : hides()[n].outline),
    parts: hideParts,
    blank: () => ({ shape: "side" }),
    add: text("hides.add"),
    remove: text("hides.remove"),
  })),
  onlyWhile(() => ground() === "bed", group("",
    field(text("hides.width"), ["bed", "width"]), field(text("hides.height"), ["bed", "height"]),
    lying((key) => ["bed", key]))),
  h("p", { class: "soft" }, text("hides.how")),
];

/** The question's mark, and its answer in words. */
export function hidesAnswer() {
  if (ground() === "none") return ["done", text("hides.none")];
  if (ground() === "bed") return ["done", text("hides.bed is", { width: plain(bed().width), height: plain(bed().height) })];
  return ["done", hides().map(({ shape, outline }) => (shape ? text(`hides.shape.${shape}`) : outline)).join(", ")];
}
