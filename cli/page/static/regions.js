// Stretch in figures: under the colour bar, every region of the leather.

import { showBar } from "/static/colourbar.js";
import { byId, fill, h } from "/static/dom.js";
import { text } from "/static/texts.js";

const COLUMNS = ["region", "along", "across", "beyond", "forming"];

/** Show the colour bar and a table for each piece, once there is leather. */
export function showRegions({ leather }) {
  byId("legend").hidden = !leather;
  byId("regions").hidden = !leather;
  if (!leather) return;
  showBar(leather.bar);
  const several = leather.regions.length > 1;
  fill(byId("region-tables"), ...leather.regions.map(({ panel, rows }) => h("table", {},
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
