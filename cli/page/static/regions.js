// Stretch in figures: the legend of the colours, and every region of the leather.

import { byId, h } from "/static/dom.js";
import { text } from "/static/texts.js";

const SIGNS = { s: "+", q: "−" }; // by the first letter of a band's kind: stretched, squeezed
const COLUMNS = ["region", "along", "across", "beyond", "forming"];

/** The bands of colour: squeezed to stretched, each with its figures. */
export function showBands({ bands }) {
  byId("bands").replaceChildren(...bands.map(({ kind, words }) => h("li", {},
    h("i", { class: kind }), `${SIGNS[kind[0]] ?? ""}${words}`)));
}

/** Show the legend and a table for each piece, once there is leather. */
export function showRegions({ leather }) {
  byId("legend").hidden = !leather;
  byId("regions").hidden = !leather;
  if (!leather) return;
  const several = leather.regions.length > 1;
  byId("region-tables").replaceChildren(...leather.regions.map(({ panel, rows }) => h("table", {},
    h("caption", {}, several ? text("stretch.of piece", { piece: panel }) : text("stretch.of all")),
    h("thead", {}, h("tr", {}, ...COLUMNS.map((column) => h("th", { scope: "col" }, text(`regions.${column}`))))),
    h("tbody", {}, ...rows.map(regionRow)))));
}

function regionRow({ name, along, across, beyond, words, verdict }) {
  return h("tr", {},
    h("th", { scope: "row" }, name),
    ...[along, across, beyond].map((figure) => h("td", {}, figure)),
    h("td", { class: verdict }, words));
}
