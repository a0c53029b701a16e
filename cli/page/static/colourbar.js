// The colour bar beneath the picture: bands from squeezed to stretched, how far this leather goes, and its limits.

import { byId, h, setText } from "/static/dom.js";
import { text } from "/static/texts.js";

const SIGNS = { s: "+", q: "−" }; // by the first letter of a band's kind: stretched, squeezed
const OPEN = 0.6; // share of an end band, which has no end of its own, at which a figure in it is marked
const BRIM = 0.24; // share of the bar that an end's words take: nearer to the rim they stand on its other side
const bar = byId("bar");
let ends = []; // of all bands, as shares: each band's lower and upper

/** Lay out the bands: squeezed to stretched, each with its figures. */
export function showBands({ bands, stretch, squeeze }) {
  byId("bands").replaceChildren(...bands.map(({ kind, words }) => h("li", {},
    h("i", { class: kind }), `${SIGNS[kind[0]] ?? ""}${words}`)));
  const steps = [...squeeze.map((share) => -share).reverse(), ...stretch];
  ends = [-Infinity, ...steps].map((low, n) => [low, steps[n] ?? Infinity]);
}

/** Where a share lies along the bar, from 0 to 1. */
function placeOf(share) {
  const n = ends.findIndex(([, high]) => share < high);
  const [low, high] = ends[n];
  if (low === -Infinity) return (n + 1 - OPEN) / ends.length;
  if (high === Infinity) return (n + OPEN) / ends.length;
  return (n + (share - low) / (high - low)) / ends.length;
}

function put(element, from, to) {
  element.style.left = `${100 * from}%`;
  if (to !== undefined) element.style.width = `${100 * (to - from)}%`;
  return element;
}

/** Words above an end, from there to the right or up to there. */
function endWords(words, at, rightwards) {
  const made = h("span", { class: `end${rightwards ? "" : " before"}` }, words);
  return rightwards ? put(made, at, 1) : put(made, 0, at);
}

/** Show the marks of a leather: its true ends, its limits, and hatching beyond the widest of them. */
export function showBar({ squeezed, stretched, limits }) {
  const [from, to] = [squeezed, stretched].map(({ share }) => placeOf(share));
  const places = limits.map(({ share }) => placeOf(share));
  const [low, high] = [places[0], places.at(-1)];
  [...byId("bands").children].forEach((band, n, { length }) => {
    band.classList.toggle("beside", (n + 1) / length <= from || n / length >= to);
  });
  bar.replaceChildren(
    endWords(text("bar.squeezed", { share: squeezed.words }), from, from < BRIM),
    endWords(text("bar.stretched", { share: stretched.words }), to, to < 1 - BRIM),
    put(h("i", { class: "reach" }), from, to),
    put(h("i", { class: "hatch over" }), 0, low),
    put(h("i", { class: "hatch over" }), high, 1),
    ...places.map((place) => put(h("i", { class: "limit" }), place)),
  );
  setText("bar-limits", text("bar.limits", { limits: limits.map(({ words }) => words).join(text("bar.between")) }));
}
