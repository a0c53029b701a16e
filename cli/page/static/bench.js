// The bench: what is shown on it, and the hands on it: turning, moving, dragging points, setting points by clicks.

import { Told, curvesOf, latest, parcel, post, set, state } from "/static/ask.js";
import { drawLines, middleAt, resizeDrawing, setMarker, setPanels, setPieces, setRings, setSurface } from "/static/drawing.js";
import * as picture from "/static/scene.js";
import { say, tell } from "/static/words.js";
import { faces, fit, leatherLeft, move, seen, things, toPixels, turnBy, view, zoom } from "/static/view.js";

const stage = document.getElementById("stage");
const hold = document.getElementById("hold");
const knobBox = document.getElementById("knobs");
const reading = document.getElementById("reading");
const asking = document.getElementById("asking");
const tools = document.querySelector(".tools");
const CLICK = 5; // px. A pointer that moves less has clicked.
const BETWEEN = 46; // mm between two pieces of leather
const ABOVE = 90; // mm of limb above the top edge that are shown without looking for them
const PAUSE = 450; // ms after the last arrow key on a point before it is taken

let picking = null; // "front" or "seam" while points are set by clicks
let clicked = []; // points of the seam being drawn
let curves = null; // as they are drawn: the server's, or those of a drag
let dragging = null;
let dirty = true;
let found = { scan: 0, worn: 0, leather: 0 };
let panels = [];
let placed = "";

function again() {
  dirty = true;
}

/** Show everything again. */
function fitAll(show) {
  if (fit(show)) picture.shiftLeather();
  again();
}

function drawAll() {
  dirty = false;
  picture.draw();
  const cross = picking && document.activeElement === hold ? [crossAt(), view.height / 2] : null;
  drawLines({ curves, cross });
  placeKnobs();
}

function frame() {
  if (dirty) drawAll();
  requestAnimationFrame(frame);
}

function crossAt() {
  return toPixels(0, 0)[0];
}

// What is shown

/** Show a state: fetch what is new, draw what is known. */
export async function showBench(now, before) {
  document.body.classList.toggle("bare", !now.scan && !now.receiving && !now.work);
  if (before && now.job !== null && before.scan?.parcel !== now.scan?.parcel) endPicking();
  if (!dragging) curves = now.curves;
  makeKnobs();
  await fetchParcels(now);
  again();
}

const fetchParcels = latest(async () => {
  const now = state;
  const numbers = { scan: now.scan?.parcel ?? 0, worn: now.worn?.parcel ?? 0, leather: now.leather?.parcel ?? 0 };
  try {
    if (numbers.scan !== found.scan) await takeScan(numbers.scan);
    if (now.limb) placeLimb(now.limb);
    if (numbers.worn !== found.worn) await takeWorn(numbers.worn);
    if (numbers.leather !== found.leather) await takeLeather(numbers.leather, now.leather);
  } catch (error) {
    // What was asked for has just been replaced; its news is under way.
    if (!(error instanceof Told)) throw error;
    return;
  }
  setPieces(now.made?.current && now.leather?.fine ? now.made.pieces : []);
  again();
});

async function takeScan(number) {
  const came = number ? await parcel("scan", number) : null;
  found = { scan: number, worn: 0, leather: 0 };
  placed = "";
  picture.setScan(came?.arrays);
  picture.setWorn(null);
  setSurface(null);
  setRings([]);
  showLeather([]);
  Object.assign(view, { turn: 0, tip: 0 });
  if (!came) return;
  // Until the limb is found, the scan stands on its longest axis.
  const [right, up, near] = came.head.upright;
  picture.placeScan([near, right, up], came.head.middle, 1);
  Object.assign(things, { hand: 1, low: -came.head.reach, high: came.head.reach, enough: Infinity, reach: came.head.reach / 2 });
  fitAll();
}

/** Stand the limb on the bench, where it is another than the one that stands there. */
function placeLimb(limb) {
  const key = [limb.axes, limb.origin, limb.scale, limb.kind].join();
  if (placed === key) return;
  placed = key;
  Object.assign(things, picture.placeScan(limb.axes, limb.origin, limb.scale), { hand: limb.mirrored ? -1 : 1 });
  things.enough = things.high;
  setRings(limb.girths);
}

async function takeWorn(number) {
  const came = number ? await parcel("worn", number) : null;
  found.worn = number;
  picture.setWorn(came);
  setSurface(came);
  if (!came) return;
  const { points } = came.arrays;
  let reach = 0;
  for (let i = 0; i < points.length; i += 3) reach = Math.max(reach, Math.hypot(points[i], points[i + 1]));
  things.reach = reach;
  if (curves) things.enough = Math.max(...curves.top.knobs.map((knob) => knob.height)) + ABOVE;
  setPanels(panels);
  fitAll();
}

async function takeLeather(number, told) {
  const came = number ? await parcel("leather", number) : null;
  found.leather = number;
  const first = !things.leather;
  const names = ["worn", "flat", "faces", "chart", "stretch", "squeeze", "over", "along", "across", "rim"];
  showLeather((came?.head.panels ?? []).map((head, n) => ({
    ...head, ...Object.fromEntries(names.map((part) => [part, came.arrays[part + n]])), words: told.spots[n],
  })));
  if (first) fitAll();
}

function showLeather(list) {
  let left = 0;
  const box = { low: Infinity, high: -Infinity };
  for (const panel of list) {
    const xs = panel.flat.filter((_, i) => i % 2 === 0);
    const ys = panel.flat.filter((_, i) => i % 2 === 1);
    const [least, most] = [Math.min(...xs), Math.max(...xs)];
    Object.assign(panel, { shift: left - least, left: least, width: most - least, high: Math.max(...ys) });
    panel.spots = [panel.most_stretched, panel.most_squeezed].map((face, n) => ({ at: middleOf(panel, face), words: panel.words[n] }));
    left += most - least + BETWEEN;
    box.low = Math.min(box.low, Math.min(...ys));
    box.high = Math.max(box.high, panel.high);
  }
  panels = list;
  things.leather = list.length ? { width: left - BETWEEN, ...box } : null;
  picture.setLeather(list);
  setPanels(list);
  setMarker(null);
  again();
}

/** The middle of a face on the flat panel. */
function middleOf({ faces: corners, flat }, face) {
  return [0, 1].map((k) => [0, 1, 2].reduce((sum, n) => sum + flat[2 * corners[3 * face + n] + k], 0) / 3);
}

// Knobs: the points that shape edges and seams

function makeKnobs() {
  const wanted = [];
  if (curves) {
    for (const name of ["top", "bottom"]) {
      curves[name].knobs.forEach((knob, n) => wanted.push({ key: `${name}-${knob.quarter ?? n}`, name, n, ...knob }));
    }
    curves.seams.forEach((seam, s) => seam.knobs.forEach((knob, n) => {
      wanted.push({ key: `seam-${s}-${n}`, name: "seam", s, n, seam: seam.name, ...knob });
    }));
  }
  const old = new Map([...knobBox.children].map((child) => [child.dataset.key, child]));
  for (const knob of wanted) {
    const button = old.get(knob.key) ?? newKnob(knob.key);
    old.delete(knob.key);
    button.knob = knob;
    button.className = `knob ${knob.name === "seam" ? "seam" : "edge"}${knob.auto ? " auto" : ""}`;
    const words = knob.name === "seam"
      ? `Seam ${knob.seam}, point ${knob.n + 1}: ${Math.round(knob.bearing)}° from the front`
      : `${knob.name === "top" ? "Top" : "Bottom"} edge, ${edgePlace(knob)}`;
    button.setAttribute("aria-label", words);
    button.setAttribute("aria-valuenow", Math.round(knob.height));
    button.setAttribute("aria-valuetext", `${Math.round(knob.height)} mm above ${state.limb.zero}`);
    button.setAttribute("aria-valuemin", Math.round(state.limb.heights[0]));
    button.setAttribute("aria-valuemax", Math.round(state.limb.heights[1]));
  }
  for (const button of old.values()) button.remove();
}

export function sideName(quarter) {
  const names = { front: 0, outside: 1, back: 2, inside: 3 };
  return state.limb ? state.limb.sides[names[quarter]] : quarter;
}

function edgePlace({ quarter, bearing }) {
  return quarter ? sideName(quarter) : `${Math.round(bearing)}° from the front`;
}

function newKnob(key) {
  const button = document.createElement("button");
  button.type = "button";
  button.dataset.key = key;
  button.setAttribute("role", "slider");
  button.setAttribute("aria-orientation", "vertical");
  button.addEventListener("pointerdown", (event) => startDrag(event, button));
  button.addEventListener("keydown", (event) => knobKey(event, button));
  button.addEventListener("focus", () => bringToFront(button.knob));
  knobBox.append(button);
  return button;
}

function placeKnobs() {
  for (const button of knobBox.children) {
    const { at } = button.knob;
    const [x, y] = toPixels(...seen(at));
    button.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
    button.classList.toggle("behind", !faces(at, middleAt(at[2])));
    button.hidden = view.show === "leather";
  }
}

/** Turn the limb so that a point reached by keyboard is seen. */
function bringToFront({ at }) {
  if (dragging || faces(at, middleAt(at[2]))) return;
  const middle = middleAt(at[2]);
  view.turn = -Math.atan2(things.hand * (at[1] - middle[1]), at[0] - middle[0]);
  again();
}

function changesOf(knob) {
  const round = (value, digits) => Number(value.toFixed(digits));
  if (knob.name !== "seam" && !knob.quarter) {
    const points = curves[knob.name].knobs.map((other, n) => (n === knob.n ? knob : other));
    return [[["edges", knob.name, "points"], points.map((p) => [p.bearing, `${round(p.height, 1)} mm`])]];
  }
  if (knob.name !== "seam") return [[["edges", knob.name, knob.quarter], `${round(knob.height, 1)} mm`]];
  const points = curves.seams[knob.s].knobs.map((other, n) => (n === knob.n ? knob : other));
  return [[["seam", knob.s, "along"], points.map((p) => [round(p.bearing, 2), `${round(p.height, 2)} mm`])]];
}

const askCurves = latest(async (knob) => {
  try {
    const came = await curvesOf(changesOf(knob));
    if (dragging?.key !== knob.key) return;
    curves = came;
    curves.held = knob.key;
    makeKnobs();
    again();
  } catch (error) {
    if (!(error instanceof Told)) throw error; // the place cannot be: the line stays where it could
  }
});

function startDrag(event, button) {
  if (event.button) return;
  event.preventDefault();
  button.focus({ preventScroll: true });
  button.setPointerCapture(event.pointerId);
  const { knob } = button;
  dragging = { key: knob.key, button, startY: event.clientY, knob: { ...knob }, start: { ...knob }, moved: false };
  button.classList.add("held");
  button.addEventListener("pointermove", drag);
  button.addEventListener("pointerup", endDrag);
  button.addEventListener("pointercancel", endDrag);
}

function drag(event) {
  if (!dragging) return;
  const { knob, start } = dragging;
  if (Math.abs(event.clientY - dragging.startY) > 1 || knob.name === "seam") dragging.moved = true;
  const limits = state.limb.heights;
  if (knob.name === "seam") {
    const at = picture.chartAt(...inStage(event));
    if (at) Object.assign(knob, nearTurn(at, start.bearing));
  } else {
    knob.height = start.height - (event.clientY - dragging.startY) / view.scale / Math.cos(view.tip);
  }
  knob.height = Math.min(limits[1], Math.max(limits[0], knob.height));
  const [x, y] = inStage(event);
  showReading(`${knobWords(knob)}`, x, y);
  askCurves(knob);
}

/** The same place with a bearing within half a turn of another. */
function nearTurn({ bearing, height }, other) {
  return { height, bearing: bearing + 360 * Math.round((other - bearing) / 360) };
}

function knobWords(knob) {
  const height = `${Math.round(knob.height)} mm`.replace("-", "−");
  if (knob.name === "seam") return `Seam: ${Math.round(knob.bearing)}° from the front, at ${height}`;
  return `${knob.name === "top" ? "Top" : "Bottom"} edge, ${edgePlace(knob)}: ${height}`;
}

async function endDrag(event) {
  const { button, knob, moved } = dragging;
  button.classList.remove("held");
  for (const kind of ["pointermove", "pointerup", "pointercancel"]) {
    button.removeEventListener(kind, kind === "pointermove" ? drag : endDrag);
  }
  hideReading();
  const changes = changesOf(knob);
  dragging = null;
  if (!moved || event.type === "pointercancel") {
    curves = state.curves;
    again();
    return;
  }
  await tell(async () => set(changes), () => { curves = state.curves; makeKnobs(); again(); });
}

let knobTimer = 0;

function knobKey(event, button) {
  const { knob } = button;
  const steps = { ArrowUp: [1, 0], ArrowDown: [-1, 0], PageUp: [10, 0], PageDown: [-10, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };
  if (event.key === "Delete" && knob.name === "seam" && curves.seams[knob.s].knobs.length > 2) {
    event.preventDefault();
    const points = curves.seams[knob.s].knobs.filter((_, n) => n !== knob.n);
    const along = points.map((p) => [p.bearing, `${p.height} mm`]);
    tell(() => set([[["seam", knob.s, "along"], along]]));
    return;
  }
  const step = steps[event.key];
  if (!step || (step[1] && knob.name !== "seam")) return;
  event.preventDefault();
  const next = { ...knob, height: knob.height + step[0] };
  if (knob.name === "seam") next.bearing = knob.bearing + step[1] * things.hand;
  dragging = { key: knob.key, knob: next };
  askCurves(next).then(() => {
    if (dragging?.key === knob.key) bringToFront(next);
  });
  say(knobWords(next));
  button.knob = next;
  clearTimeout(knobTimer);
  knobTimer = setTimeout(() => {
    const changes = changesOf(next);
    dragging = null;
    tell(() => set(changes), () => { curves = state.curves; makeKnobs(); again(); });
  }, PAUSE);
}

// Points set by clicks

/** Let the maker set the front, or a seam, by clicks on the limb. */
export function pick(what) {
  picking = what;
  clicked = [];
  if (view.show === "leather") show("limb");
  stage.classList.add("picking");
  askFor(what === "front"
    ? "Click on the shin, in the middle of the front. On a forearm: the middle of the back of the hand side."
    : "Click where the seam begins below, then where it ends above. Drag beside the limb to turn it.");
  hold.focus({ preventScroll: true });
  again();
}

export function endPicking() {
  picking = null;
  clicked = [];
  stage.classList.remove("picking");
  askFor("");
  again();
}

export function isPicking() {
  return picking;
}

function askFor(words) {
  asking.hidden = !words;
  asking.replaceChildren(words);
  if (!words) return;
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = "Leave it as it is";
  button.addEventListener("click", endPicking);
  asking.append(" ", button);
}

async function pickAt(px, py) {
  if (picking === "front") {
    const at = picture.scanAt(px, py);
    if (!at) return say("That is beside the limb.");
    const unit = { mm: 1, cm: 10, m: 1000, in: 25.4 }[state.scan.unit];
    endPicking();
    await tell(() => set([[["scan", "front"], { point: at.map((value) => value / unit) }]]));
    return;
  }
  const at = picture.chartAt(px, py);
  if (!at) return say("That is beside the limb.");
  clicked.push(clicked.length ? nearTurn(at, clicked[0].bearing) : at);
  if (clicked.length === 1) {
    setMarkerAtChart(px, py);
    askFor("Now click where it ends, at the other edge.");
    return;
  }
  const along = clicked.map((p) => [p.bearing, `${p.height.toFixed(2)} mm`]);
  setMarker(null);
  endPicking();
  await tell(() => set([[["seam", 0, "along"], along]]));
}

function setMarkerAtChart(px, py) {
  const here = picture.leatherAt(px, py);
  if (here) setMarker(here);
  again();
}

// Hands on the bench

const pointers = new Map();
let pressed = null;

function inStage(event) {
  const box = stage.getBoundingClientRect();
  return [event.clientX - box.left, event.clientY - box.top];
}

hold.addEventListener("pointerdown", (event) => {
  const at = inStage(event);
  hold.setPointerCapture(event.pointerId);
  pointers.set(event.pointerId, at);
  const moves = event.button === 2 || event.button === 1 || event.shiftKey || picture.overLeather(...at);
  pressed = { at, moves, far: false };
  hideReading();
});

hold.addEventListener("pointermove", (event) => {
  const at = inStage(event);
  if (!pointers.has(event.pointerId)) {
    if (event.pointerType === "mouse") look(at);
    return;
  }
  const before = pointers.get(event.pointerId);
  const [dx, dy] = [at[0] - before[0], at[1] - before[1]];
  if (pointers.size === 2) {
    const [other] = [...pointers].filter(([id]) => id !== event.pointerId).map(([, place]) => place);
    const middle = [(at[0] + other[0]) / 2, (at[1] + other[1]) / 2];
    zoom(distance(at, other) / Math.max(1, distance(before, other)), ...middle);
    move(dx / 2, dy / 2);
    pressed.far = true;
  } else {
    if (distance(at, pressed.at) > CLICK) pressed.far = true;
    if (pressed.far) {
      if (pressed.moves) move(dx, dy);
      else turnBy(dx * 0.009, dy * 0.006);
    }
  }
  pointers.set(event.pointerId, at);
  again();
});

function release(event) {
  const at = pointers.get(event.pointerId);
  pointers.delete(event.pointerId);
  if (!at || pointers.size) return;
  const click = pressed && !pressed.far && event.type === "pointerup";
  pressed = null;
  if (!click) return;
  if (picking) pickAt(...at);
  else look(at);
}

hold.addEventListener("pointerup", release);
hold.addEventListener("pointercancel", release);
hold.addEventListener("contextmenu", (event) => event.preventDefault());
hold.addEventListener("pointerleave", () => {
  if (!pointers.size) {
    setMarker(null);
    hideReading();
    again();
  }
});
hold.addEventListener("dblclick", () => {
  view.tip = 0;
  fitAll();
});
stage.addEventListener("wheel", (event) => {
  event.preventDefault();
  zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0016)), ...inStage(event));
  again();
}, { passive: false });

function distance(a, b) {
  return Math.hypot(a[0] - b[0], a[1] - b[1]);
}

hold.addEventListener("focus", again);
hold.addEventListener("blur", again);
hold.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
  if (step && event.shiftKey) move(step[0] * 30, step[1] * 30);
  else if (step) turnBy(step[0] * 0.12, step[1] * 0.08);
  else if (event.key === "+" || event.key === "=") zoom(1.2);
  else if (event.key === "-") zoom(1 / 1.2);
  else if (event.key === "0") { view.tip = 0; fitAll(); }
  else if (event.key === "Enter" && picking) pickAt(crossAt(), view.height / 2);
  else if (event.key === "Escape" && picking) endPicking();
  else return;
  event.preventDefault();
  again();
});

/** Tell the place under the pointer, and show it on limb and leather. */
function look([x, y]) {
  const place = panels.length ? picture.leatherAt(x, y) : null;
  setMarker(place);
  again();
  if (!place) return hideReading();
  showReading(placeWords(place), x, y);
}

const percent = (ratio) => `${(100 * ratio).toFixed(1)} %`.replace(/^(?=[1-9]|0\.[1-9])/, "+").replace("-0.0", "0.0").replace("-", "−");

function placeWords({ along, across, chart, beyond }) {
  const side = state.limb.sides[((Math.floor(chart[1] / (Math.PI / 2) + 0.5) % 4) + 4) % 4];
  const height = Math.round(chart[0]);
  const where = `${side}, ${Math.abs(height)} mm ${height < 0 ? "below" : "above"} ${state.limb.zero}`;
  return [`${percent(along)} along the grain`, `${percent(across)} across it`, where, ...(beyond ? ["beyond the limits"] : [])];
}

function showReading(words, x, y) {
  const lines = Array.isArray(words) ? words : [words];
  reading.replaceChildren(...lines.map((line) => {
    const span = document.createElement("span");
    span.textContent = line;
    return span;
  }));
  reading.hidden = false;
  const left = x + 18 + reading.offsetWidth > view.width ? x - 18 - reading.offsetWidth : x + 18;
  const top = Math.max(4, Math.min(view.height - reading.offsetHeight - 4, y - reading.offsetHeight - 12));
  reading.style.transform = `translate(${Math.max(4, left).toFixed(0)}px, ${top.toFixed(0)}px)`;
}

function hideReading() {
  reading.hidden = true;
}

function show(what) {
  fitAll(what);
  for (const button of tools.querySelectorAll("[data-show]")) {
    button.setAttribute("aria-pressed", String(button.dataset.show === what));
  }
  again();
}

tools.addEventListener("click", ({ target }) => {
  const { show: what, turn, zoom: size } = target.dataset;
  if (what) show(what);
  if (turn) {
    view.turn = -things.hand * Number(turn) * (Math.PI / 2);
    view.tip = 0;
  }
  if (size) zoom(size === "in" ? 1.25 : 0.8);
  again();
});

/** Begin: take the stage's size and colours, and draw. */
export function startBench() {
  const sized = () => {
    view.width = stage.clientWidth;
    view.height = stage.clientHeight;
    picture.resize(view.width, view.height);
    resizeDrawing(view.width, view.height);
    fitAll();
    drawAll(); // at once: a canvas that has another size is empty
  };
  new ResizeObserver(sized).observe(stage);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
    picture.recolour();
    again();
  });
  picture.recolour();
  sized();
  frame();
}

/** For the tests: where a place of the limb is on the screen, and what is under way. */
export function pixelsOf(point) {
  return toPixels(...seen(point));
}
