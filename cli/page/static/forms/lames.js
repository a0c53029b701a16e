// Rows of lames above or below the leather, or on it.

import { field, plain } from "/static/form.js";
import { choiceField, numberField, onlyWhile, usualField } from "/static/fields.js";
import { entries } from "/static/forms/entries.js";
import { sideName } from "/static/kinds.js";
import { set, state } from "/static/requests.js";
import { text } from "/static/texts.js";

const rows = () => state.job.lames;

/** Halfway up the leather: where a row that lies on it is begun. */
function middle() {
  const heights = ["top", "bottom"].flatMap((name) => state.curves?.[name].handles ?? []).map(({ height }) => height);
  return heights.length ? `${Math.round((Math.min(...heights) + Math.max(...heights)) / 2)} mm` : "100 mm";
}

function lamesParts(n) {
  const at = (key) => ["lames", n, key];
  const on = () => rows()[n].where === "on";
  const sides = () => ["front", "back"].map((side) => [side, sideName(side)]);
  return [
    choiceField(text("lames.where"), ["above", "below", "on"].map((where) => [where, text(`lames.where.${where}`)]), {
      now: () => rows()[n].where,
      take: (where) => set([[at("where"), where], [at("start"), where === "on" ? middle() : "auto"]]),
      paths: [at("where"), at("start")],
    }),
    onlyWhile(on, field(text("lames.start"), at("start"))),
    onlyWhile(on, field(text("lames.side"), at("side"), { choices: sides })),
    numberField(text("lames.count"), at("count"), { hint: text("lames.count hint") }),
    field(text("lames.width"), at("width"), { hint: text("lames.width hint") }),
    usualField(text("lames.overlap"), at("overlap"), { usual: () => text("lames.overlap usual") }),
    usualField(text("plates.thickness"), at("thickness"), { usual: () => plain(state.job.leather.thickness) }),
    numberField(text("lames.bend"), at("bend"), { hint: text("lames.bend hint") }),
    field(text("lames.towards"), at("towards"), { choices: () => [["auto", text("lames.towards usual")], ...sides()] }),
    usualField(text("lames.hinge"), at("hinge"), { usual: () => text("lames.hinge usual"), hint: text("lames.hinge hint") }),
    field(text("lames.ahead"), at("ahead"), { hint: text("lames.ahead hint") }),
    field(text("lames.rivet"), at("rivet"), { hint: text("lames.rivet hint") }),
    field(text("lames.play"), at("play"), { hint: text("lames.play hint") }),
    field(text("lames.ends"), at("ends"), { hint: text("lames.ends hint") }),
    field(text("lames.name"), at("name")),
  ];
}

/** A form for each row of lames. */
export const lamesEntries = entries(["lames"], {
  name: (n) => rows()[n].name,
  words: (n) => text(`lames.${rows()[n].where} is`, { count: rows()[n].count }),
  parts: lamesParts,
  blank: () => ({ name: text("lames.new", { number: rows().length + 1 }) }),
  add: text("lames.add"),
  remove: text("lames.remove"),
});
