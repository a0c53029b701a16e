// Ornament: motifs that are carved, each on one piece, and the room that they have.

import { button, h } from "/static/dom.js";
import { companionButton } from "/static/companion.js";
import { field, plain, yesNo } from "/static/form.js";
import { choiceField, group, numberField, onlyWhile, usualField } from "/static/fields.js";
import { entries, folded } from "/static/forms/entries.js";
import { attempt } from "/static/messages.js";
import { set, state } from "/static/requests.js";
import { text } from "/static/texts.js";

const motifs = () => state.job.motif;
const MADE = ["filling", "border"];
const SIDES = ["all round", "top", "foot", "left", "right"];
const UNITS = ["auto", "mm", "cm", "m", "in"];
const PLACES = ["as drawn", "centred", "scaled", "fitted"];

const kindWords = ({ kind, file }) => (kind === "drawing" ? text("ornament.drawing", { file }) : text(`ornament.kind.${kind}`));

/** The pieces that can be carved; the first of them is the leather itself. */
function pieces(n) {
  const [, ...others] = state.offered.carved;
  const named = [...others, ...state.job.plate.map(({ name }) => name)];
  const { on } = motifs()[n];
  const found = [...new Set(on === "base" ? named : [...named, on])];
  return [["base", text("ornament.on base")], ...found.map((name) => [name, name])];
}

const pieceWords = ({ on }) => (on === "base" ? text("ornament.on base") : on);

function motifParts(n) {
  const at = (key) => ["motif", n, key];
  const is = (...kinds) => () => kinds.includes(motifs()[n]?.kind);
  const drawn = is("drawing");
  const another = button(text("ornament.another"), () => attempt(() => set([[at("seed"), motifs()[n].seed + 1]])),
    { class: "another" });
  const choices = (key, values) => values.map((value) => [value, text(`ornament.${key}.${value}`)]);
  return [
    field(text("ornament.on"), at("on"), { choices: () => pieces(n) }),
    choiceField(text("ornament.kind"), () => {
      const { kind } = motifs()[n];
      const known = MADE.map((made) => [made, text(`ornament.kind.${made}`)]);
      return kind === "drawing" ? [...known, [kind, kindWords(motifs()[n])]] : known;
    }, {
      now: () => motifs()[n].kind,
      take: (kind) => set([[at("kind"), kind]]),
      paths: [at("kind"), at("file")],
    }),
    companionButton(() => text(drawn() ? "ornament.bring another" : "ornament.bring"), at("file"), {
      accept: ".svg,.dxf", hint: text("ornament.bring hint"),
    }),
    onlyWhile(is("filling", "border"), usualField(text("ornament.strands"), at("strands"), {
      usual: () => text("ornament.strands usual"),
      write: (written) => (written && Number.isInteger(Number(written)) ? Number(written) : written || "auto"),
    })),
    onlyWhile(is("border"), field(text("ornament.along"), at("along"), { choices: choices("along", SIDES) })),
    onlyWhile(is("border"), numberField(text("ornament.reeds"), at("reeds"))),
    onlyWhile(is("filling"), group("", numberField(text("ornament.seed"), at("seed")), h("p", { class: "actions" }, another))),
    onlyWhile(drawn, group("",
      field(text("ornament.half"), at("half"), { choices: choices("half", ["whole", "left", "right"]) }),
      field(text("ornament.place"), at("place"), { choices: choices("place", PLACES) }),
      onlyWhile(() => ["centred", "scaled"].includes(motifs()[n]?.place), group("",
        field(text("ornament.by right"), [...at("by"), 0]),
        field(text("ornament.by up"), [...at("by"), 1]),
        numberField(text("ornament.turn"), at("turn"), { hint: text("ornament.turn hint") }))),
      field(text("ornament.unit"), at("unit"), {
        choices: UNITS.map((unit) => [unit, unit === "auto" ? text("ornament.unit.auto") : unit]),
      }),
      yesNo(text("ornament.mend"), at("mend")))),
    field(text("ornament.width"), at("width")),
    field(text("ornament.apart"), at("apart")),
  ];
}

const room = (key) => field(text(`ornament.room.${key}`), ["ornament", key]);

/** What came of the motifs: of those of the job as it stands alone. */
const came = h("div", { class: "soft came" });
came.show = () => {
  const told = state.made?.current && motifs().length ? state.made.ornament : [];
  came.hidden = !told.length;
  came.replaceChildren(...told.map((words) => h("p", {}, words)));
};

/** The question's parts. */
export const ornamentForms = [
  h("p", { class: "soft" }, text("ornament.how")),
  entries(["motif"], {
    name: (n) => text("ornament.motif", { number: n + 1 }),
    words: (n) => text("ornament.is", { kind: kindWords(motifs()[n]), piece: pieceWords(motifs()[n]) }),
    parts: motifParts,
    blank: () => ({ kind: "filling" }),
    add: text("ornament.add"),
    remove: text("ornament.remove"),
  }),
  came,
  folded(text("ornament.margins"), () => text("ornament.margins are", { edge: plain(state.job.ornament.edge) }),
    ...["edge", "hole", "stitch", "bend", "tool", "pace"].map(room),
    yesNo(text("ornament.calm"), ["ornament", "calm_only"]),
    yesNo(text("ornament.worn"), ["ornament", "worn"]),
    yesNo(text("ornament.sheet"), ["ornament", "sheet"])),
];

/** The question's mark, and its answer in words. */
export function ornamentAnswer() {
  if (!motifs().length) return ["done", text("ornament.none")];
  return ["done", motifs().map((motif) => text("ornament.is", { kind: kindWords(motif), piece: pieceWords(motif) })).join("; ")];
}
