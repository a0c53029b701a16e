// The lines and words over the picture: ruler, girth rings that run on into the leather, edges, seams, cut lines.

import { mm } from "/static/messages.js";
import { RULER, faces, leatherLeft, seen, layout, toPixels, view } from "/static/view.js";

const SPACE = "http://www.w3.org/2000/svg";
const RING_STEP = 50; // mm between plain rings, as in the report
const NEAR = 12; // mm. A plain ring so near to a named one is left out.
const LINE = 15; // px that a line of words takes
const BESIDE = 7; // px between the limb and a name
const BEND = 30; // px before the leather in which a ring's line comes to its height there
const NARROW = 560; // px. On a narrower stage a girth between limb and leather is given by its figure alone.
const LEVEL = 0.02; // rad. Tipped further than this, heights no longer lie level.

const behind = document.getElementById("behind"); // what stands behind the limb
const before = document.getElementById("drawing");
const layers = {};
const LAYERS = [[behind, ["bench", "ruler"]], [before, ["leather", "runs", "rings", "curves", "words", "marks"]]];
for (const [svg, names] of LAYERS) {
  for (const name of names) layers[name] = svg.appendChild(element("g", { class: name }));
}

let rings = [];
let ringPaths = [];
let chart = null;
let shown = [];
let pieces = [];
const LINE_HEIGHT = 15; // pixels from one line of words to the next
let carved = []; // lines that are carved on the pieces
let marker = null;
let old = { panels: [], curves: null };

/** An element of a drawing. */
export function element(name, attributes, text) {
  const made = document.createElementNS(SPACE, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text !== undefined) made.textContent = text;
  return made;
}

function put(layer, ...made) {
  layers[layer].replaceChildren(...made);
}

const px = (n) => n.toFixed(1);

/** The limb's girths, whose rings are drawn. */
export function setRings(girths) {
  const named = girths.filter((girth) => girth.name);
  const far = (height) => named.every((girth) => Math.abs(girth.height - height) > NEAR);
  rings = girths.filter((girth) => girth.name || (girth.height % RING_STEP === 0 && far(girth.height)));
  rings = rings.map((ring) => ({ ...ring, brief: mm(ring.tape) }));
  rings.sort((a, b) => a.height - b.height);
  setPanels(shown);
}

function ringWords(ring) {
  return view.width < NARROW && view.show === "both" ? ring.brief : ring.words;
}

/** Pixels that the rings' names take at most, the room about them included. */
export function namesWidth() {
  const words = rings.filter((ring) => ring.name).map((ring) => element("text", { class: "named" }, ringWords(ring)));
  put("words", ...words);
  return Math.max(0, ...words.map((word) => word.getBBox().width)) + BESIDE + BEND;
}

/** The worn surface that rings are drawn on: points and their chart, row by row. */
export function setSurface(payload) {
  chart = null;
  if (!payload) return;
  const [rows, columns] = payload.head.shape;
  const { points, chart: places } = payload.arrays;
  // Asked for with every point of every line that is drawn.
  const middles = new Float64Array(2 * rows);
  for (let i = 0; i < rows; i++) {
    for (let j = 0; j < columns; j++) {
      for (let k = 0; k < 2; k++) middles[2 * i + k] += points[3 * (i * columns + j) + k] / columns;
    }
  }
  chart = { rows, columns, points, middles, low: places[0], high: places[2 * (rows - 1) * columns] };
}

/** The panels that are there, as they were set. */
export function shownPanels() {
  return shown;
}

/** The panels (payload arrays, each with `shift`), for the ring lines over them. */
export function setPanels(panels) {
  shown = panels;
  ringPaths = panels.map((panel) => rings.map((ring) => levelLine(panel, ring.height)));
}

/** The panels and the lines of before a trial, kept faint behind it; none while nothing is tried. */
export function setBefore(panels = [], curves = null) {
  old = { panels, curves };
}

/** The pieces as they are cut: outlines and holes; none while they are not made. */
export function setPieces(list) {
  pieces = list;
}

/** What is carved (a payload's arrays), or nothing: it is shown with the pieces as they are cut. */
export function setCarved(arrays) {
  carved = arrays ? carvedLines(arrays) : [];
}

/** Carved lines, each with its panel, its path on the flat piece and its points on the limb. */
function carvedLines({ flat, worn, starts, panels: on }) {
  return Array.from(starts, (first, k) => {
    const last = k + 1 < starts.length ? starts[k + 1] : flat.length / 2;
    const numbers = Array.from({ length: last - first }, (_, i) => first + i);
    return {
      panel: on[k],
      path: `M${numbers.map((i) => `${flat[2 * i].toFixed(2)} ${flat[2 * i + 1].toFixed(2)}`).join("L")}`,
      points: numbers.map((i) => [worn[3 * i], worn[3 * i + 1], worn[3 * i + 2]]),
    };
  });
}

/** The place that a finger is on: `worn` on the limb and `flat` on the leather (may lack), or nothing. */
export function setMarker(place) {
  marker = place;
}

/** Segments on the flat panel where the limb's height is `level`, and where they begin and end from left to right. */
function levelLine(panel, level) {
  const segments = [];
  let start = null;
  let end = null;
  for (let f = 0; f < panel.faces.length; f += 3) {
    const ends = [];
    for (let k = 0; k < 3; k++) {
      const a = panel.faces[f + k];
      const b = panel.faces[f + ((k + 1) % 3)];
      const ha = panel.chart[2 * a] - level;
      const hb = panel.chart[2 * b] - level;
      if (ha < 0 === hb < 0) continue;
      const t = ha / (ha - hb);
      ends.push([0, 1].map((i) => panel.flat[2 * a + i] + t * (panel.flat[2 * b + i] - panel.flat[2 * a + i])));
    }
    if (ends.length !== 2) continue;
    segments.push(`M${px(ends[0][0])} ${px(ends[0][1])}L${px(ends[1][0])} ${px(ends[1][1])}`);
    for (const place of ends) {
      if (!start || place[0] < start[0]) start = place;
      if (!end || place[0] > end[0]) end = place;
    }
  }
  return { path: segments.join(""), start, end };
}

/** The row of the worn surface below a height within it, and the share of the way to the next. */
function rowAt(height) {
  const row = ((height - chart.low) / (chart.high - chart.low)) * (chart.rows - 1);
  const i = Math.min(chart.rows - 2, Math.floor(row));
  return { i, t: row - i };
}

/** Points of the worn surface round the limb at a height, or null beyond it. */
function ringAt(height) {
  if (height < chart.low || height > chart.high) return null;
  const { i, t } = rowAt(height);
  return Array.from({ length: chart.columns }, (_, j) => [0, 1, 2].map((k) => {
    const at = 3 * (i * chart.columns + j) + k;
    return chart.points[at] + t * (chart.points[at + 3 * chart.columns] - chart.points[at]);
  }));
}

/** The middle of the limb at a height. */
export function middleAt(height) {
  if (!chart) return [0, 0];
  const { i, t } = rowAt(Math.min(chart.high, Math.max(chart.low, height)));
  return [0, 1].map((k) => chart.middles[2 * i + k] + t * (chart.middles[2 * i + 2 + k] - chart.middles[2 * i + k]));
}

/** Pixels of the parts of a line on the limb that look to the eye, and of those that do not. */
function parts(points) {
  const front = [];
  const back = [];
  let run = null;
  let side = null;
  for (const point of points) {
    const here = faces(point, middleAt(point[2]));
    const at = toPixels(...seen(point));
    if (here !== side) {
      if (run) run.push(at);
      run = [];
      (here ? front : back).push(run);
      side = here;
    }
    run.push(at);
  }
  const path = (runs) => runs.map((r) => `M${r.map(([x, y]) => `${px(x)} ${px(y)}`).join("L")}`).join("");
  return { front: path(front), back: path(back), runs: front };
}

function drawBench() {
  const [, y] = toPixels(0, layout.low);
  put("bench",
    element("rect", { class: "shade", x: 0, y: px(y), width: view.width, height: px(Math.max(0, view.height - y)) }),
    element("rect", { class: "plank", x: 0, y: px(y), width: view.width, height: 13 }),
    element("path", { class: "lip", d: `M0 ${px(y)}H${view.width}` }));
}

function drawRuler() {
  if (Math.abs(view.tip) > LEVEL || view.show === "leather" || !layout.stands) {
    put("ruler");
    return;
  }
  const [x] = toPixels(-layout.reach - RULER, 0);
  const [, foot] = toPixels(0, layout.low);
  const [, head] = toPixels(0, layout.high);
  const fine = 10 * view.scale >= 4;
  const wide = 50 * view.scale >= 13;
  const words = [];
  let d = `M${px(x)} ${px(foot)}V${px(head)}`;
  for (let height = Math.ceil(layout.low / 10) * 10; height <= layout.high; height += 10) {
    const long = height % 50 === 0;
    if (!long && !fine) continue;
    const [, y] = toPixels(0, height);
    d += `M${px(x)} ${px(y)}h${long ? -9 : -4}`;
    if (height % (wide ? 50 : 100) === 0) {
      const figure = `${height}`.replace("-", "−");
      words.push(element("text", { x: px(x - 13), y: px(y + 3.5), "text-anchor": "end" }, figure));
    }
  }
  put("ruler", element("path", { d }), ...words);
}

function drawRings() {
  if (!chart || !rings.length) {
    for (const name of ["rings", "runs", "words"]) put(name);
    return;
  }
  const level = Math.abs(view.tip) < LEVEL;
  const drawn = [];
  const runs = [];
  const words = [];
  const few = RING_STEP * view.scale < 17;
  const limbSeen = view.show !== "leather";
  rings.forEach((ring, n) => {
    const points = ringAt(ring.height);
    if (!points || !limbSeen) return;
    const kind = ring.name ? "named" : "plain";
    const { front, runs: pieces } = parts(points);
    drawn.push(element("path", { class: kind, d: front }));
    const right = pieces.flat().reduce((most, at) => (at[0] > most[0] ? at : most), [-Infinity, 0]);
    const wordsAt = toPixels(layout.reach, 0)[0] + BESIDE;
    if (level) runs.push(element("path", { class: kind, d: runOn(right, n, wordsAt) }));
    if (ring.name || !(few || crowded(ring))) {
      const [, y] = level ? right : toPixels(...seen([0, 0, ring.height]));
      words.push({ kind, x: wordsAt, y: y - 3.5, told: ringWords(ring) });
    }
  });
  put("rings", ...drawn);
  put("runs", ...runs);
  put("words", ...apart(words).map(({ kind, x, y, told }) => element("text", { class: kind, x: px(x), y: px(y) }, told)));
}

/** Words from above down, none nearer to the one above it than a line's height. */
function apart(words) {
  const down = words.toSorted((a, b) => a.y - b.y);
  down.forEach((one, n) => { if (n) one.y = Math.max(one.y, down[n - 1].y + LINE_HEIGHT); });
  return down;
}

/** Whether a plain ring's words would touch those of a named one. */
function crowded({ height }) {
  return rings.some((other) => other.name && Math.abs(other.height - height) * view.scale < LINE);
}

/** A curve from one place to another, level at both. */
function bend([ax, ay], [bx, by]) {
  const middle = px((ax + bx) / 2);
  return `C${middle} ${px(ay)} ${middle} ${px(by)} ${px(bx)} ${px(by)}`;
}

/** A ring's line from the limb into the leather, and on from piece to piece. */
function runOn([x, y], n, wordsAt) {
  const to = (panel, place) => toPixels(place[0] + leatherLeft() + panel.shift, place[1]);
  let d = `M${px(x)} ${px(y)}`;
  const first = ringPaths[0]?.[n]?.start;
  if (!first || view.show !== "both") return `${d}H${px(wordsAt - 3)}`;
  // Level beside its name, and bent only where it comes to the leather.
  const from = [toPixels(leatherLeft(), 0)[0] - BEND, y];
  d += `H${px(from[0])}${bend(from, to(shown[0], first))}`;
  for (let k = 1; k < shown.length; k++) {
    const [left, right] = [ringPaths[k - 1][n].end, ringPaths[k][n].start];
    if (!left || !right) continue;
    const [begin, end] = [to(shown[k - 1], left), to(shown[k], right)];
    d += `M${begin.map(px).join(" ")}${bend(begin, end)}`;
  }
  return d;
}

function drawLeather() {
  if (!layout.leather || view.show === "limb") {
    put("leather");
    return;
  }
  put("leather", ...old.panels.map(oldOutline), ...shown.flatMap((panel, n) => [drawnPanel(panel, n), ...spotWords(panel), ...panelName(panel)]));
}

/** The places of a panel's rim, flat. */
function rim({ boundary, flat }) {
  return Array.from(boundary, (i) => [flat[2 * i], flat[2 * i + 1]]);
}

const closed = (outline) => `M${outline.map(([a, b]) => `${a.toFixed(2)} ${b.toFixed(2)}`).join("L")}Z`;

/** The outline of a panel before a trial. */
function oldOutline(panel) {
  const s = view.scale;
  const [x, y] = toPixels(leatherLeft() + panel.shift, 0);
  return element("path", { class: "old", transform: `matrix(${s} 0 0 ${-s} ${px(x)} ${px(y)})`, d: closed(rim(panel)) });
}

/** A panel's rings, and its outline: as the piece is cut, with its holes, where that is known. */
function drawnPanel(panel, n) {
  const s = view.scale;
  const [x, y] = toPixels(leatherLeft() + panel.shift, 0);
  const group = element("g", { transform: `matrix(${s} 0 0 ${-s} ${px(x)} ${px(y)})` });
  rings.forEach((ring, k) => {
    const { path } = ringPaths[n][k];
    if (path) group.append(element("path", { class: `ring ${ring.name ? "named" : "plain"}`, d: path }));
  });
  const piece = pieces[n];
  group.append(element("path", { class: piece ? "cut" : "boundary", d: closed(piece?.outline ?? rim(panel)) }));
  for (const [hx, hy, diameter] of piece?.holes ?? []) {
    group.append(element("circle", { class: "hole", cx: hx, cy: hy, r: diameter / 2 }));
  }
  const own = piece ? carved.filter((line) => line.panel === n).map(({ path }) => path).join("") : "";
  if (own) group.append(element("path", { class: "carved", d: own }));
  return group;
}

/** The figures at the places that are stretched and squeezed most, but for those that round to nothing. */
function spotWords(panel) {
  return panel.spots.filter(({ words }) => /[1-9]/.test(words)).map(({ at, words }) => {
    const [x, y] = toPixels(at[0] + leatherLeft() + panel.shift, at[1]);
    return element("text", { class: "spot", x: px(x), y: px(y + 4), "text-anchor": "middle" }, words);
  });
}

/** A panel's name above it, where there are several. */
function panelName(panel) {
  if (shown.length < 2) return [];
  const [x, y] = toPixels(leatherLeft() + panel.shift + panel.left + panel.width / 2, panel.high);
  return [element("text", { class: "panel", x: px(x), y: px(y - 8), "text-anchor": "middle" }, panel.name)];
}

/** Lines of an answer on the limb, each with its kind. */
function linesOf(curves) {
  const named = (kind, lines) => lines.map((line) => [kind, line]);
  const cuts = [...named("seam", curves.seams), ...named("dart", curves.darts), ...named("plate", curves.plates)];
  return [["edge", curves.top], ["edge", curves.bottom], ...cuts];
}

/** The paths of edges and seams on the limb, where they look to the eye. */
export function linePaths(curves) {
  return linesOf(curves).map(([, line]) => parts(line.points).front).filter(Boolean);
}

function drawCurves(curves) {
  if (!curves || view.show === "leather") {
    put("curves");
    return;
  }
  const made = old.curves ? linePaths(old.curves).map((d) => element("path", { class: "old", d })) : [];
  const seenOnLimb = pieces.length ? carved.map(({ points }) => parts(points).front).join("") : "";
  if (seenOnLimb) made.push(element("path", { class: "carved", d: seenOnLimb }));
  for (const [kind, line] of linesOf(curves)) {
    const { front, back } = parts(line.points);
    if (back) made.push(element("path", { class: `${kind} behind`, d: back }));
    if (!front) continue;
    for (const name of [`${kind} under`, kind]) made.push(element("path", { class: name, d: front }));
  }
  put("curves", ...made);
}

function finger([x, y], kind) {
  return element("circle", { class: kind, cx: px(x), cy: px(y), r: 7 });
}

function drawMarker(cross) {
  const made = [];
  if (marker && view.show !== "leather") {
    const hidden = !faces(marker.worn, middleAt(marker.worn[2]));
    made.push(finger(toPixels(...seen(marker.worn)), hidden ? "finger behind" : "finger"));
  }
  if (marker?.flat && view.show !== "limb") made.push(finger(toPixels(...marker.flat), "finger"));
  if (cross) {
    const [x, y] = cross;
    made.push(element("path", { class: "cross", d: `M${px(x - 14)} ${px(y)}h28M${px(x)} ${px(y - 14)}v28` }));
  }
  put("marks", ...made);
}

export function resizeDrawing(width, height) {
  for (const svg of [behind, before]) svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
}

/** Draw all of it again. */
export function drawLines({ curves, cross }) {
  drawBench();
  drawRuler();
  drawRings();
  drawLeather();
  drawCurves(curves);
  drawMarker(cross);
}
