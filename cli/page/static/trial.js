// A change that is looked at before it is made: the leather and the lines that it would make, over those that are
// there.

import { element, linePaths, shownPanels } from "/static/drawing.js";
import { hideReading, redraw, showReading } from "/static/stage.js";
import { leatherLeft, toPixels, view } from "/static/view.js";

const NEAR = 12; // mm on the limb. Places so near to one another are taken for the same.
const layer = document.getElementById("drawing").appendChild(element("g", { class: "trial" }));
let trial = null;

/** Show what a change would make: panels' outlines with their places on the limb, lines on it, and words beside. */
export function showTrial({ panels, curves }, words) {
  trial = { outlines: panels.map(laidOver).filter(Boolean), curves, words };
  redraw();
}

/** Show again only what is there. */
export function hideTrial() {
  if (!trial) return;
  trial = null;
  hideReading();
  redraw();
}

/** An outline where it lies over the leather that is there: by the mean way of its places to the same ones of that. */
function laidOver({ outline, chart }) {
  const ways = outline.map((at, n) => wayToPresent(at, chart[n])).filter(Boolean);
  if (!ways.length) return null;
  const [dx, dy] = [0, 1].map((k) => ways.reduce((sum, way) => sum + way[k], 0) / ways.length);
  return outline.map(([x, y]) => [x + dx, y + dy]);
}

/** The way from a flat place to where the present leather has the same place of the limb, or nothing. */
function wayToPresent([x, y], place) {
  let best = NEAR;
  let way = null;
  for (const panel of shownPanels()) {
    for (let i = 0; 2 * i < panel.chart.length; i++) {
      const away = apart(panel, i, place);
      if (away >= best) continue;
      best = away;
      way = [panel.flat[2 * i] + panel.shift - x, panel.flat[2 * i + 1] - y];
    }
  }
  return way;
}

/** mm on the limb between a vertex and a place of a height and a bearing. */
function apart({ chart, worn }, i, [height, bearing]) {
  const turn = (chart[2 * i + 1] - bearing) / (2 * Math.PI);
  const around = 2 * Math.PI * (turn - Math.round(turn)) * Math.hypot(worn[3 * i], worn[3 * i + 1]);
  return Math.hypot(chart[2 * i] - height, around);
}

/** Draw it over everything else; with each frame, as what is beneath may have been turned. */
export function drawTrial() {
  const made = [];
  const words = trial?.words;
  if (trial && view.show !== "leather" && trial.curves) {
    for (const d of linePaths(trial.curves)) made.push(element("path", { class: "under", d }), element("path", { d }));
  }
  if (trial && view.show !== "limb") {
    for (const outline of trial.outlines) {
      const places = outline.map(([x, y]) => toPixels(x + leatherLeft(), y));
      const d = `M${places.map((place) => place.map((n) => n.toFixed(1)).join(" ")).join("L")}Z`;
      made.push(element("path", { class: "under", d }), element("path", { d }));
    }
  }
  layer.replaceChildren(...made);
  if (words) showReading(words, ...readingPlace());
}

/** Above the leather's middle, or the limb's where that alone is seen. */
function readingPlace() {
  const places = trial.outlines.flat().map(([x, y]) => toPixels(x + leatherLeft(), y));
  if (view.show === "limb" || !places.length) return [view.width / 2, view.height / 4];
  const xs = places.map(([x]) => x);
  return [(Math.min(...xs) + Math.max(...xs)) / 2 - 120, Math.min(...places.map(([, y]) => y)) + 6];
}
