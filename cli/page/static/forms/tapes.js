// Several tapes: further girths at their places, after the one that fixes the scan's size.

import { field, plain } from "/static/form.js";
import { choiceField, onlyWhile } from "/static/fields.js";
import { entries } from "/static/forms/entries.js";
import { tapePlace, wantedKind } from "/static/kinds.js";
import { set, state } from "/static/requests.js";
import { text } from "/static/texts.js";

const tapes = () => state.job.scan.tape;
const isHeight = (at) => !tapePlace(at);

/** Half of the limb's length: where a tape at a height is begun. */
const someHeight = () => `${Math.round((state.limb?.heights[1] ?? 200) / 2)} mm`;

function tapeParts(n) {
  const at = ["scan", "tape", n, "at"];
  return [
    choiceField(text("size.where"), () => [
      ...wantedKind().tape_places.map(({ at: place, label }) => [place, label]), ["height", text("tapes.height")],
    ], {
      now: () => (isHeight(tapes()[n].at) ? "height" : tapes()[n].at),
      take: (place) => set([[at, place === "height" ? someHeight() : place]]),
      paths: [at],
    }),
    onlyWhile(() => isHeight(tapes()[n].at), field(text("tapes.at"), at, { hint: text("tapes.at hint") })),
    field(text("size.tape"), ["scan", "tape", n, "girth"], { hint: text("size.hint") }),
  ];
}

/** A place that no tape is at yet, and what the scan measures there. */
function newTape() {
  const told = new Set(tapes().map(({ at }) => at));
  const free = wantedKind().tape_places.map(({ at }) => at).find((at) => !told.has(at));
  const height = someHeight();
  const at = free ?? height;
  const girths = state.limb?.girths ?? [];
  const nearest = girths.find(({ name }) => name === at)
    ?? girths.toSorted((a, b) => Math.abs(a.height - Number.parseFloat(height)) - Math.abs(b.height - Number.parseFloat(height)))[0];
  return { at, girth: `${Math.round(nearest?.tape ?? 300)} mm` };
}

/** The tapes after the first. */
export const moreTapes = entries(["scan", "tape"], {
  name: (n) => text("tapes.tape", { number: n + 1 }),
  words: (n) => {
    const { at, girth } = tapes()[n];
    const place = tapePlace(at)?.taped;
    return place ? text("size.taped", { place, girth: plain(girth) })
      : text("size.taped at height", { height: at, girth: plain(girth) });
  },
  parts: tapeParts,
  blank: newTape,
  add: text("tapes.add"),
  remove: text("tapes.remove"),
  from: 1,
});
const { show } = moreTapes;
moreTapes.show = () => {
  moreTapes.hidden = !tapes().length;
  show();
};
