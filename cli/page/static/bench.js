// The bench: fetches what a state names, and lays it there.

import { QUARTERS, sideName } from "/static/kinds.js";
import { RefusedError, latest, payload, state } from "/static/requests.js";
import {
  drawLines, namesWidth, resizeDrawing, setBefore, setCarved, setMarker, setPanels, setPieces, setRings, setSurface,
} from "/static/drawing.js";
import { crossAt, followLeather, liftFinger, startPointer } from "/static/pointer.js";
import { placeHandles, shownCurves, takeCurves } from "/static/handles.js";
import { endTrial, forgetTrial, isHeld, showTriedBy } from "/static/held.js";
import { awaitLimb, endPicking, whenPicking } from "/static/pick.js";
import { placePins, takePins } from "/static/pins.js";
import * as picture from "/static/scene.js";
import { redraw, drawWith, stage } from "/static/stage.js";
import { drawTrial } from "/static/trial.js";
import { fit, layout, view, zoom } from "/static/view.js";

const tools = document.querySelector(".tools");
const colourSwitch = document.getElementById("colours");
const BETWEEN = 46; // mm between two pieces of leather
const ABOVE = 90; // mm of limb above the top edge that are shown without looking for them
const ARRAYS = ["worn", "flat", "faces", "chart", "stretch", "squeeze", "over", "along", "across", "boundary"];

let found = { scan: 0, meant: 0, worn: 0, leather: 0, carved: 0 };
let panels = [];
let laid = []; // the panels of the leather that was laid last: what is tried takes their place only for a while
let placed = "";

/** Show everything again. */
function fitAll(what = view.show) {
  view.show = what;
  layout.names = namesWidth();
  fit();
  picture.shiftLeather();
  redraw();
}

function drawAll() {
  picture.draw();
  drawLines({ curves: shownCurves(), cross: crossAt() });
  placeHandles();
  drawTrial();
  placePins();
}

/** Show a state: fetch what is new, draw what is known. */
export async function showBench(now, before) {
  document.body.classList.toggle("bare", !now.scan && !now.receiving && !now.work);
  const another = before?.scan?.payload !== now.scan?.payload;
  if (before && another) endPicking();
  if (severalLimbs(now) && (another || !severalLimbs(before))) awaitLimb();
  picture.setRamp(now.ramp);
  if (now.job) nameSides();
  takeCurves(now);
  takePins(now);
  redraw();
  await fetchPayloads();
}

/** Name the buttons that turn the limb as its own kind's sides are called. */
function nameSides() {
  QUARTERS.forEach((quarter, n) => {
    const name = sideName(quarter).replace(/ side$/, "");
    const turning = document.querySelector(`[data-turn="${n}"]`);
    const words = `${name[0].toUpperCase()}${name.slice(1)}`;
    if (turning.textContent !== words) turning.textContent = words;
  });
}

/** Whether the scan shows several limbs, and waits for one of them to be picked. */
function severalLimbs({ failure, scan }) {
  return failure?.pick === "limb" && scan !== null;
}

const fetchPayloads = latest(async () => {
  const now = state;
  const numbers = {
    scan: now.scan?.payload ?? 0, meant: now.limb?.meant ?? 0,
    worn: now.worn?.payload ?? 0, leather: now.leather?.payload ?? 0, carved: now.made?.carved ?? 0,
  };
  try {
    if (numbers.scan !== found.scan) await takeScan(numbers.scan);
    if (numbers.meant !== found.meant) await takeMeant(numbers.meant);
    if (now.limb) standLimb(now.limb);
    if (numbers.worn !== found.worn) await takeWorn(numbers.worn);
    if (numbers.leather !== found.leather) await takeLeather(numbers.leather, now.leather);
    if (numbers.carved !== found.carved) await takeCarved(numbers.carved);
  } catch (error) {
    // What was asked for has just been replaced; its news is under way.
    if (!(error instanceof RefusedError)) throw error;
    return;
  }
  endTrial();
  setPieces(panels === laid && now.made?.current && now.leather?.fine ? now.made.pieces : []);
  redraw();
});

async function takeScan(number) {
  const arrived = number ? await payload("scan", number) : null;
  found = { scan: number, meant: 0, worn: 0, leather: 0, carved: 0 };
  placed = "";
  picture.setScan(arrived?.arrays);
  picture.setWorn(null);
  setSurface(null);
  setRings([]);
  forgetTrial();
  setBefore();
  laid = [];
  showLeather(laid);
  showColours(false);
  colourSwitch.parentElement.hidden = !picture.hasColours();
  Object.assign(view, { turn: 0, tip: 0 });
  Object.assign(layout, { stands: false, hand: 1 });
  if (arrived) layScan(arrived.head);
}

/** Show of the scan only the limb that is meant, where others are in it. */
async function takeMeant(number) {
  const arrived = number ? await payload("meant", number) : null;
  found.meant = number;
  placed = "";
  picture.setMeant(arrived?.arrays.meant ?? null);
}

/** Until the limb in it is found, the scan lies on the bench along its longest axis. */
function layScan({ upright: [right, up, near], middle, reach }) {
  const away = near.map((value) => -value);
  Object.assign(layout, picture.placeScan([away, up, right], middle, 1), { reach });
  layout.enough = layout.high;
  fitAll("both");
}

/** Stand the limb on the bench, where it is another than the one that stands there. */
function standLimb(limb) {
  const key = [limb.axes, limb.origin, limb.scale, limb.kind].join();
  if (placed === key) return;
  placed = key;
  const heights = picture.placeScan(limb.axes, limb.origin, limb.scale);
  Object.assign(layout, heights, { hand: limb.mirrored ? -1 : 1, stands: true });
  layout.enough = layout.high;
  setRings(limb.girths);
}

async function takeWorn(number) {
  const arrived = number ? await payload("worn", number) : null;
  found.worn = number;
  picture.setWorn(arrived);
  setSurface(arrived);
  if (!arrived) return;
  const { points } = arrived.arrays;
  let reach = 0;
  for (let i = 0; i < points.length; i += 3) reach = Math.max(reach, Math.hypot(points[i], points[i + 1]));
  layout.reach = reach;
  const curves = shownCurves();
  if (curves) layout.enough = Math.max(...curves.top.handles.map((handle) => handle.height)) + ABOVE;
  setPanels(panels);
  fitAll();
}

async function takeLeather(number, leather) {
  const arrived = number ? await payload("leather", number) : null;
  found.leather = number;
  const first = !layout.leather;
  laid = arrived ? panelsOf(arrived).map((panel, n) => ({ ...panel, words: leather.spots[n] })) : [];
  if (isHeld() && laid.length) return placePanels(laid, panels); // seen once the line is let go of
  const tried = forgetTrial() ? panels : [];
  setBefore();
  showLeather(laid, tried);
  if (first) fitAll();
}

async function takeCarved(number) {
  const arrived = number ? await payload("carved", number) : null;
  found.carved = number;
  setCarved(arrived?.arrays ?? null);
}

/** The panels of a payload of leather: heads and arrays together. */
function panelsOf({ head, arrays }) {
  return head.panels.map((panel, n) => (
    { ...panel, ...Object.fromEntries(ARRAYS.map((part) => [part, arrays[part + n]])) }));
}

/** Leather that is tried, what was laid kept faint behind it; and what was laid again. */
showTriedBy((answer) => {
  setBefore(laid, state.curves);
  setPieces([]);
  showLeather(panelsOf(answer), laid);
}, () => {
  setBefore();
  setPieces(state.made?.current && state.leather?.fine ? state.made.pieces : []);
  showLeather(laid, laid);
});

/** Lay panels side by side; those that are `like` others lie where those lay, so that nothing leaps. */
function placePanels(list, like) {
  let left = 0;
  let right = 0;
  const box = { low: Infinity, high: -Infinity };
  for (const panel of list) {
    const [xs, ys] = [0, 1].map((k) => panel.flat.filter((_, i) => i % 2 === k));
    const [least, most, low, high] = [lowest(xs), greatest(xs), lowest(ys), greatest(ys)];
    const kept = like.length === list.length ? like[list.indexOf(panel)].shift : Infinity;
    const shift = Math.abs(kept - (left - least)) < BETWEEN / 3 ? kept : left - least;
    Object.assign(panel, { shift, left: least, width: most - least, high });
    right = shift + most;
    const faces = [panel.most_stretched, panel.most_squeezed];
    panel.spots = faces.map((face, n) => ({ at: middleOf(panel, face), words: panel.words[n] }));
    left += most - least + BETWEEN;
    box.low = Math.min(box.low, low);
    box.high = Math.max(box.high, high);
  }
  return { width: right, ...box };
}

/** Show panels on limb and bench. */
function showLeather(list, like = []) {
  const box = placePanels(list, like);
  panels = list;
  layout.leather = list.length ? box : null;
  picture.setLeather(list);
  setPanels(list);
  setMarker(null);
  if (list.length) followLeather();
  else liftFinger();
  redraw();
}

const lowest = (numbers) => numbers.reduce((a, b) => Math.min(a, b), Infinity);
const greatest = (numbers) => numbers.reduce((a, b) => Math.max(a, b), -Infinity);

/** The middle of a face on the flat panel. */
function middleOf({ faces, flat }, face) {
  return [0, 1].map((k) => [0, 1, 2].reduce((sum, n) => sum + flat[2 * faces[3 * face + n] + k], 0) / 3);
}

/** Show limb and leather ("both"), or one alone. */
export function show(what) {
  fitAll(what);
  for (const button of tools.querySelectorAll("[data-show]")) {
    button.setAttribute("aria-pressed", String(button.dataset.show === what));
  }
}

tools.addEventListener("click", ({ target }) => {
  const { show: what, turn, zoom: size } = target.dataset;
  if (what) show(what);
  if (turn) {
    view.turn = -layout.hand * Number(turn) * (Math.PI / 2);
    view.tip = 0;
  }
  if (size) zoom(size === "in" ? 1.25 : 0.8);
  redraw();
});

/** Show the scan's own colours, where it has some, in place of the leather on the limb. */
export function showColours(on) {
  colourSwitch.setAttribute("aria-pressed", String(on));
  picture.showColours(on);
  redraw();
}
colourSwitch.addEventListener("click", () => showColours(colourSwitch.getAttribute("aria-pressed") !== "true"));
whenPicking(() => {
  if (view.show === "leather") show("both");
  liftFinger();
  showColours(picture.hasColours());
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
    redraw();
  });
  picture.recolour();
  startPointer(() => fitAll());
  sized();
  drawWith(drawAll);
}
