// What lies between limb and leather: what was worn for the scan, hollows, muscles, a lining; and the leather's middle.

import { button, h } from "/static/dom.js";
import { field, labelled, plain, takenBy, yesNo } from "/static/form.js";
import { figureField, numberField, onlyWhile } from "/static/fields.js";
import { folded } from "/static/forms/entries.js";
import { tapePlace, wantedKind } from "/static/kinds.js";
import { attempt } from "/static/messages.js";
import { set, state } from "/static/requests.js";
import { text } from "/static/texts.js";

const none = (length) => !Number.parseFloat(length);

/** What was worn when the limb was scanned. */
export const overField = field(text("over"), ["scan", "over"], { hint: text("over hint") });

// A muscle that swells: how much more girth at which places

const FLEXED = ["wear", "flexed"];
const swelling = () => (typeof state.job.wear.flexed === "string"
  ? [["widest", state.job.wear.flexed]] : Object.entries(state.job.wear.flexed));
const setSwelling = (rows) => set([[FLEXED, rows.length ? Object.fromEntries(rows) : "0 mm"]]);
const placeName = (at) => tapePlace(at)?.label ?? text("size.at height", { height: at });

function swellingRow(k) {
  const place = h("input", { type: "text", autocomplete: "off" });
  const more = h("input", { type: "text", autocomplete: "off" });
  const changed = (pair) => swelling().map((one, n) => (n === k ? pair : one));
  const rows = [
    takenBy(labelled(text("flexed.place"), place, text("flexed.place hint")), place, {
      path: () => [FLEXED],
      show: ({ writing }) => { if (!writing) place.value = swelling()[k]?.[0] ?? ""; },
      take: () => setSwelling(changed([place.value.trim(), swelling()[k][1]])),
    }),
    takenBy(labelled(() => text("flexed.more", { place: placeName(swelling()[k]?.[0] ?? "") }), more), more, {
      path: () => [FLEXED],
      show({ writing }) {
        rows[1].tell();
        if (!writing) more.value = swelling()[k]?.[1] ?? "";
      },
      take: () => setSwelling(changed([swelling()[k][0], more.value.trim()])),
    }),
  ];
  const away = button(text("flexed.remove"), () => attempt(() => setSwelling(swelling().filter((_, n) => n !== k))));
  const box = h("div", { class: "fields" }, ...rows, h("p", { class: "actions" }, away));
  box.show = () => {
    rows[0].hidden = away.hidden = swelling().length < 2 && swelling()[0][0] === "widest";
    for (const row of rows) row.show();
  };
  return box;
}

const swellingRows = h("div", { class: "fields" });
swellingRows.show = () => {
  while (swellingRows.children.length > swelling().length) swellingRows.lastElementChild.remove();
  while (swellingRows.children.length < swelling().length) {
    swellingRows.append(swellingRow(swellingRows.children.length));
  }
  for (const row of swellingRows.children) row.show();
};

/** A place for a muscle that has none yet: one of the tape's, or a height. */
function freePlace() {
  const told = new Set(swelling().map(([at]) => at));
  const free = wantedKind().tape_places.map(({ at }) => at).find((at) => !told.has(at));
  return free ?? `${100 + 10 * told.size} mm`;
}
const morePlaces = h("p", { class: "actions" }, button(text("flexed.add"),
  () => attempt(() => setSwelling([...swelling(), [freePlace(), "0 mm"]]))));

/** Parts of the question of what is worn beneath. */
export const bodyForms = folded(text("body"), () => {
  const { hollows, finished } = state.job.wear;
  const told = [
    !none(hollows) && text("body.hollows", { width: plain(hollows) }),
    swelling().some(([, more]) => !none(more)) && text("body.flexed"),
    Number.parseFloat(finished) && text("body.finished", { share: finished }),
  ].filter(Boolean);
  return told.join(", ") || text("body.none");
},
field(text("hollows"), ["wear", "hollows"], { hint: text("hollows hint") }),
swellingRows, morePlaces,
field(text("finished"), ["wear", "finished"], { hint: text("finished hint") }));

/** Parts of the question of the leather: its lining, and where it keeps its length. */
export const liningForms = folded(text("lining"), () => {
  const { lining } = state.job;
  return lining === "no" ? text("lining.none") : text("lining.is", { thickness: plain(lining.thickness) });
},
yesNo(text("lining.wanted"), ["lining"], {
  read: (value) => value !== "no", write: (on) => (on ? {} : "no"), hint: text("lining.hint"),
}),
onlyWhile(() => state.job.lining !== "no", field(text("lining.thickness"), ["lining", "thickness"], {
  hint: text("lining.thickness hint"),
})),
onlyWhile(() => state.job.lining !== "no", figureField([text("lining.allowance"), text("lining.allowance own")],
  ["lining", "allowance"], {
    choices: [["flush", text("lining.flush")]], first: () => "5 mm", hint: text("lining.allowance hint"),
  })),
numberField(text("neutral"), ["leather", "neutral"], { hint: text("neutral hint") }));
