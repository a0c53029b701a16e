// The points that shape edges and seams: dragged by a pointer or moved by keys, the curves following at once.

import { Told, curvesOf, latest, set, state } from "/static/ask.js";
import { middleAt } from "/static/drawing.js";
import * as picture from "/static/scene.js";
import { again, hideReading, inStage, showReading } from "/static/stage.js";
import { faces, seen, things, toPixels, view } from "/static/view.js";
import { heightWords, mm, say, tell } from "/static/words.js";

const box = document.getElementById("knobs");
const PAUSE = 450; // ms after the last arrow key on a point before it is taken

/** The quarters of a limb, in the order in which the server tells its sides: 90° apart from the front on. */
export const QUARTERS = ["front", "outside", "back", "inside"];

let curves = null; // as they are drawn: the server's, or those of a drag
let dragging = null;
let timer = 0;
let timedKey = "";

/** The curves as they are drawn. */
export function shownCurves() {
  return curves;
}

/** Take the curves of a state, unless a point is being dragged. */
export function takeCurves(now) {
  if (dragging) return;
  curves = now.curves;
  makeKnobs();
}

/** Draw the curves of the state as it is. */
function takeBack() {
  curves = state.curves;
  makeKnobs();
  again();
}

/** The limb's own word for a quarter: a forearm has no outside. */
export function sideName(quarter) {
  return state.limb ? state.limb.sides[QUARTERS.indexOf(quarter)] : quarter;
}

/** Degrees from the front of a seam that runs straight up. */
export function bearingOf(along) {
  return typeof along === "number" ? along : 90 * QUARTERS.indexOf(along);
}

/** Where a bearing lies, as a maker says it. */
export function bearingWords(bearing) {
  const whole = ((Math.round(bearing) % 360) + 360) % 360;
  const quarter = QUARTERS[whole / 90];
  return quarter ? sideName(quarter) : `${whole}° from the front`;
}

function wantedKnobs() {
  if (!curves) return [];
  const wanted = ["top", "bottom"].flatMap((name) => curves[name].knobs.map(
    (knob, n) => ({ key: `${name}-${knob.quarter ?? n}`, name, n, ...knob })));
  curves.seams.forEach((seam, s) => {
    const of = { name: "seam", s, seam: seam.name };
    seam.knobs.forEach((knob, n) => wanted.push({ key: `seam-${s}-${n}`, ...of, n, ...knob }));
    if (!seam.knobs.length) wanted.push({ key: `seam-${s}`, ...of, ...wholeSeam(seam, s) });
  });
  return wanted;
}

/** The one point of a seam that runs straight up the limb: it is moved round the limb whole. */
function wholeSeam({ points }, s) {
  const at = points[Math.floor(points.length / 2)];
  const bearing = dragging?.key === `seam-${s}` ? dragging.knob.bearing : bearingOf(state.job.seam[s].along);
  return { whole: true, at, height: at[2], bearing };
}

function makeKnobs() {
  const old = new Map([...box.children].map((child) => [child.dataset.key, child]));
  for (const knob of wantedKnobs()) {
    const button = old.get(knob.key) ?? newKnob(knob.key);
    old.delete(knob.key);
    button.knob = knob;
    button.className = `knob ${knob.name === "seam" ? "seam" : "edge"}${knob.auto ? " auto" : ""}`;
    button.classList.toggle("held", dragging?.button === button);
    const [now, least, most] = knob.whole
      ? [knob.bearing, -360, 720]
      : [knob.height, ...state.limb.heights];
    button.setAttribute("aria-label", nameOf(knob));
    button.setAttribute("aria-orientation", knob.whole ? "horizontal" : "vertical");
    button.setAttribute("aria-valuenow", Math.round(now));
    button.setAttribute("aria-valuetext", knob.whole ? bearingWords(now) : heightWords(now));
    button.setAttribute("aria-valuemin", Math.round(least));
    button.setAttribute("aria-valuemax", Math.round(most));
  }
  for (const button of old.values()) button.remove();
}

function nameOf(knob) {
  if (knob.whole) return `Seam ${knob.seam}`;
  if (knob.name === "seam") return `Seam ${knob.seam}, point ${knob.n + 1}: ${bearingWords(knob.bearing)}`;
  return `${knob.name === "top" ? "Top" : "Bottom"} edge, ${edgePlace(knob)}`;
}

function edgePlace({ quarter, bearing }) {
  return quarter ? sideName(quarter) : bearingWords(bearing);
}

function knobWords(knob) {
  if (knob.whole) return `Seam ${knob.seam}: ${bearingWords(knob.bearing)}`;
  if (knob.name === "seam") return `Seam ${knob.seam}: ${bearingWords(knob.bearing)}, at ${mm(knob.height)}`;
  return `${knob.name === "top" ? "Top" : "Bottom"} edge, ${edgePlace(knob)}: ${mm(knob.height)}`;
}

function newKnob(key) {
  const button = document.createElement("button");
  button.type = "button";
  button.dataset.key = key;
  button.setAttribute("role", "slider");
  button.addEventListener("pointerdown", (event) => startDrag(event, nearest(event)));
  button.addEventListener("keydown", (event) => knobKey(event, button));
  button.addEventListener("focus", () => bringToFront(button.knob.at));
  box.append(button);
  return button;
}

/** Put every point where its place on the limb is seen. */
export function placeKnobs() {
  for (const button of box.children) {
    const { at } = button.knob;
    const [x, y] = toPixels(...seen(at));
    button.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
    button.classList.toggle("behind", !faces(at, middleAt(at[2])));
    button.hidden = view.show === "leather";
  }
}

/** Turn the limb so that a place reached by keyboard is seen. */
export function bringToFront(at) {
  const middle = middleAt(at[2]);
  if (dragging?.button || faces(at, middle)) return;
  view.turn = -Math.atan2(things.hand * (at[1] - middle[1]), at[0] - middle[0]);
  again();
}

const round = (value, digits) => Number(value.toFixed(digits));

function changesOf(knob) {
  if (knob.name === "seam") {
    const points = knob.whole ? null : curves.seams[knob.s].knobs.map((other, n) => (n === knob.n ? knob : other));
    return [[["seam", knob.s, "along"], points ? jobPoints(points) : round(((knob.bearing % 360) + 360) % 360, 1)]];
  }
  if (knob.quarter) return [[["edges", knob.name, knob.quarter], `${round(knob.height, 1)} mm`]];
  const points = curves[knob.name].knobs.map((other, n) => (n === knob.n ? knob : other));
  return [[["edges", knob.name, "points"], points.map((p) => [p.bearing, `${round(p.height, 1)} mm`])]];
}

/** Points of a line as a job file has them. */
export function jobPoints(points) {
  return points.map(({ bearing, height }) => [round(bearing, 2), `${round(height, 2)} mm`]);
}

const askCurves = latest(async (knob) => {
  try {
    const came = await curvesOf(changesOf(knob));
    if (dragging?.key !== knob.key) return;
    curves = came;
    makeKnobs();
    again();
  } catch (error) {
    if (!(error instanceof Told)) throw error; // the place cannot be: the line stays where it could
  }
});

/** The point that is meant: where several can be taken, as on a small screen, the one whose middle is nearest. */
function nearest({ clientX, clientY, currentTarget }) {
  const away = (button) => {
    const { left, top, width, height } = button.getBoundingClientRect();
    return Math.hypot(clientX - left - width / 2, clientY - top - height / 2);
  };
  const before = [...box.children].filter((button) => !button.classList.contains("behind"));
  return before.reduce((best, button) => (away(button) < away(best) ? button : best), currentTarget);
}

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
  const at = inStage(event);
  if (knob.name === "seam") {
    const place = picture.chartAt(...at);
    if (place) {
      const { bearing, height } = nearTurn(place, start.bearing);
      knob.bearing = bearing;
      if (!knob.whole) knob.height = height;
      dragging.moved = true;
    }
  } else {
    knob.height = start.height - (event.clientY - dragging.startY) / view.scale / Math.cos(view.tip);
    if (Math.abs(event.clientY - dragging.startY) > 1) dragging.moved = true;
  }
  knob.height = Math.min(state.limb.heights[1], Math.max(state.limb.heights[0], knob.height));
  showReading([knobWords(knob)], ...at);
  askCurves(knob);
}

/** The same place with a bearing within half a turn of another. */
export function nearTurn({ bearing, height }, other) {
  return { height, bearing: bearing + 360 * Math.round((other - bearing) / 360) };
}

async function endDrag(event) {
  const { button, knob, moved } = dragging;
  button.classList.remove("held");
  button.removeEventListener("pointermove", drag);
  button.removeEventListener("pointerup", endDrag);
  button.removeEventListener("pointercancel", endDrag);
  hideReading();
  dragging = { key: knob.key, knob };
  if (moved && event.type !== "pointercancel") {
    await settle(knob);
    return;
  }
  dragging = null;
  takeBack();
}

/** Take a point's new place into the job; until that is answered, no older state moves it back. */
async function settle(knob) {
  const mine = dragging;
  await tell(() => set(changesOf(knob)));
  if (dragging !== mine) return; // it has been taken up again
  dragging = null;
  takeBack();
}

const STEPS = { ArrowUp: [1, 0], ArrowDown: [-1, 0], PageUp: [10, 0], PageDown: [-10, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1] };

function knobKey(event, button) {
  // A curve that answers an earlier key must not set it back.
  const knob = dragging?.key === button.dataset.key ? dragging.knob : button.knob;
  if (event.key === "Delete" && knob.name === "seam") {
    event.preventDefault();
    deletePoint(knob);
    return;
  }
  const [up, along] = STEPS[event.key] ?? [0, 0];
  if (!(knob.whole ? along : knob.name === "seam" ? up || along : up)) return;
  event.preventDefault();
  const next = { ...knob };
  if (knob.name === "seam") next.bearing += along * things.hand;
  if (!knob.whole) next.height += up;
  dragging = { key: knob.key, knob: next };
  askCurves(next).then(() => { if (dragging?.key === knob.key) bringToFront(next.at); });
  say(knobWords(next));
  button.knob = next;
  if (timedKey === knob.key) clearTimeout(timer); // another point's move is still taken
  timedKey = knob.key;
  timer = setTimeout(() => settle(next), PAUSE);
}

/** Take a point of a drawn seam away; two must stay. */
function deletePoint({ s, n, whole }) {
  if (whole) return say("This seam runs straight up and has no points of its own.");
  const points = curves.seams[s].knobs;
  if (points.length <= 2) return say("A line needs two points.");
  tell(() => set([[["seam", s, "along"], jobPoints(points.filter((_, k) => k !== n))]]));
}
