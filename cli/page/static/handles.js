// The points that shape edges and seams: dragged by a pointer or moved by keys, the curves following at once.

import { RefusedError, curvesOf, latest, post, set, state } from "/static/requests.js";
import { heldWords, letGo, takeBackTrial, tryChanges } from "/static/held.js";
import { keysOf } from "/static/keys.js";
import { middleAt } from "/static/drawing.js";
import { QUARTERS, sideName } from "/static/kinds.js";
import * as picture from "/static/scene.js";
import { redraw, hideReading, inStage, showReading } from "/static/stage.js";
import { faces, seen, layout, toPixels, view } from "/static/view.js";
import { heightWords, mm, announce, attempt } from "/static/messages.js";
import { text } from "/static/texts.js";

const box = document.getElementById("handles");
const EDGES = ["top", "bottom"];
const LEAST_DEPTH = 15; // mm that a dart is deep at least, as the job file wants it
const FINGER = 25.4 / 96; // mm of glass that a CSS pixel stands for
const APART = 25; // px between two knobs' middles, along or across: each has a square of 24 for itself
const GIVING = 12; // turns after which eight knobs about a narrow place have found their places
const PAUSE = 450; // ms after the last arrow key on a point before it is taken

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
  makeHandles();
}

/** Draw the curves of the state as it is. */
function takeBack() {
  curves = state.curves;
  makeHandles();
  redraw();
}

/** Degrees from the front of a seam that runs straight up. */
export function bearingOf(along) {
  return typeof along === "number" ? along : 90 * QUARTERS.indexOf(along);
}

/** Where a bearing lies, as a maker says it. */
export function bearingWords(bearing) {
  const whole = ((Math.round(bearing) % 360) + 360) % 360;
  const quarter = QUARTERS[whole / 90];
  return quarter ? sideName(quarter) : text("bearing", { degrees: whole });
}

function wantedHandles() {
  if (!curves) return [];
  const wanted = ["top", "bottom"].flatMap((name) => curves[name].handles.map(
    (handle, n) => ({ key: `${name}-${handle.quarter ?? n}`, name, n, ...handle })));
  curves.seams.forEach((seam, s) => {
    const of = { name: "seam", s, seam: seam.name };
    seam.handles.forEach((handle, n) => wanted.push({ key: `seam-${s}-${n}`, ...of, n, ...handle }));
    if (!seam.handles.length) wanted.push({ key: `seam-${s}`, ...of, ...wholeSeam(seam, s) });
  });
  curves.darts.forEach((dart, n) => wanted.push({ ...dart, key: `dart-${n}`, name: "dart", n, dart: dart.name }));
  return wanted;
}

/** The one point of a seam that runs straight up the limb: it is moved round the limb whole. */
function wholeSeam({ points }, s) {
  const at = points[Math.floor(points.length / 2)];
  const bearing = dragging?.key === `seam-${s}` ? dragging.handle.bearing : bearingOf(state.job.seam[s].along);
  return { whole: true, at, height: at[2], bearing };
}

function makeHandles() {
  const old = new Map([...box.children].map((child) => [child.dataset.key, child]));
  for (const handle of wantedHandles()) {
    const button = old.get(handle.key) ?? newHandle(handle.key);
    old.delete(handle.key);
    button.handle = handle;
    button.className = `handle ${EDGES.includes(handle.name) ? "edge" : handle.name}${handle.auto ? " auto" : ""}`;
    button.classList.toggle("held", dragging?.button === button);
    const [now, least, most] = handle.whole
      ? [handle.bearing, -360, 720]
      : [handle.height, ...state.limb.heights];
    button.setAttribute("aria-label", nameOf(handle));
    button.setAttribute("aria-orientation", handle.whole ? "horizontal" : "vertical");
    button.setAttribute("aria-valuenow", Math.round(now));
    button.setAttribute("aria-valuetext", handle.whole ? bearingWords(now) : heightWords(now));
    button.setAttribute("aria-valuemin", Math.round(least));
    button.setAttribute("aria-valuemax", Math.round(most));
  }
  for (const button of old.values()) button.remove();
}

function nameOf(handle) {
  const { name, seam, n, bearing } = handle;
  if (handle.whole) return text("handle.seam", { seam });
  if (name === "dart") return text("handle.dart", { dart: handle.dart });
  if (name === "seam") return text("handle.point", { seam, number: n + 1, place: bearingWords(bearing) });
  return text(name === "top" ? "handle.top" : "handle.bottom", { place: edgePlace(handle) });
}

function edgePlace({ quarter, bearing }) {
  return quarter ? sideName(quarter) : bearingWords(bearing);
}

function handleText(handle) {
  const { name, seam, bearing } = handle;
  const height = mm(handle.height);
  if (handle.whole) return text("handle.seam at", { seam, place: bearingWords(bearing) });
  if (name === "dart") {
    return text("handle.dart at", { dart: handle.dart, place: bearingWords(bearing), depth: mm(depthOf(handle)) });
  }
  if (name === "seam") return text("handle.point at", { seam, place: bearingWords(bearing), height });
  return text(name === "top" ? "handle.top at" : "handle.bottom at", { place: edgePlace(handle), height });
}

function newHandle(key) {
  const button = document.createElement("button");
  button.type = "button";
  button.dataset.key = key;
  button.setAttribute("role", "slider");
  button.addEventListener("pointerdown", (event) => startDrag(event, nearest(event)));
  button.addEventListener("keydown", (event) => handleKey(event, button));
  button.addEventListener("focus", () => bringToFront(button.handle.at));
  box.append(button);
  return button;
}

/** Put every point where its place on the limb is seen; where two would lie over one another, both give way. */
export function placeHandles() {
  const placed = [...box.children].map((button) => {
    const { at } = button.handle;
    return { button, place: toPixels(...seen(at)), behind: !faces(at, middleAt(at[2])) };
  });
  spread(placed.filter(({ behind }) => !behind).map(({ place }) => place));
  for (const { button, place: [x, y], behind } of placed) {
    button.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
    button.classList.toggle("behind", behind);
    button.hidden = view.show === "leather";
  }
}

/** Push places apart, along or across, until a finger can tell each from the next; they are changed as they stand. */
function spread(places) {
  const pairs = places.flatMap((one, n) => places.slice(n + 1).map((other) => [one, other]));
  for (let turn = 0; turn < GIVING; turn++) {
    for (const [one, other] of pairs) {
      const way = [other[0] - one[0], other[1] - one[1]];
      const k = Math.abs(way[0]) < Math.abs(way[1]) ? 1 : 0;
      const push = (APART - Math.abs(way[k])) / 2;
      if (push <= 0) continue;
      const towards = way[k] < 0 ? -1 : 1;
      one[k] -= towards * push;
      other[k] += towards * push;
    }
  }
}

/** Turn the limb so that a place reached by keyboard is seen. */
export function bringToFront(at) {
  const middle = middleAt(at[2]);
  if (dragging?.button || faces(at, middle)) return;
  view.turn = -Math.atan2(layout.hand * (at[1] - middle[1]), at[0] - middle[0]);
  redraw();
}

const round = (value, digits) => Number(value.toFixed(digits));

/** How deep a dart is with its tip where it has been moved to, mm along the leather. */
function depthOf({ n, height, edge }) {
  const { start, height: tip } = state.curves.darts[n];
  const now = Number.parseFloat(state.job.dart[n].depth);
  const deeper = (edge === "top" ? start - height : height - start) / Math.abs(start - tip);
  return Math.max(LEAST_DEPTH, now * deeper);
}

function changesOf(handle) {
  if (handle.name === "dart") {
    const at = (key) => ["dart", handle.n, key];
    const { bearing, height } = state.curves.darts[handle.n];
    const changes = [];
    if (Math.abs(handle.bearing - bearing) > 0.05) {
      changes.push([at("along"), round(((handle.bearing % 360) + 360) % 360, 1)]);
    }
    if (Math.abs(handle.height - height) > 0.05) changes.push([at("depth"), `${round(depthOf(handle), 1)} mm`]);
    return changes;
  }
  if (handle.name === "seam") {
    const along = handle.whole
      ? round(((handle.bearing % 360) + 360) % 360, 1)
      : jobPoints(withHandle(curves.seams[handle.s].handles, handle));
    return [[["seam", handle.s, "along"], along]];
  }
  if (handle.quarter) return [[["edges", handle.name, handle.quarter], `${round(handle.height, 1)} mm`]];
  const points = withHandle(curves[handle.name].handles, handle);
  return [[["edges", handle.name, "points"], points.map((p) => [p.bearing, `${round(p.height, 1)} mm`])]];
}

/** The handles of a line, one of them where it has been moved to. */
function withHandle(handles, moved) {
  return handles.map((other, n) => (n === moved.n ? moved : other));
}

/** Points of a line as a job file has them. */
export function jobPoints(points) {
  return points.map(({ bearing, height }) => [round(bearing, 2), `${round(height, 2)} mm`]);
}

const askCurves = latest(async (handle) => {
  try {
    const answer = await curvesOf(changesOf(handle));
    if (dragging?.key !== handle.key) return;
    curves = answer;
    makeHandles();
    redraw();
  } catch (error) {
    if (!(error instanceof RefusedError)) throw error; // the place cannot be: the line stays where it could
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
  const { handle } = button;
  const copies = { handle: { ...handle }, start: { ...handle } };
  dragging = { key: handle.key, button, startY: event.clientY, ...copies, moved: false, from: inStage(event) };
  button.classList.add("held");
  button.addEventListener("pointermove", drag);
  button.addEventListener("pointerup", endDrag);
  button.addEventListener("pointercancel", endDrag);
}

/** Where a held point is led to: a finger, which hides what lies under it, moves it by as many mm as it moves. */
function ledTo(event) {
  const at = inStage(event);
  if (event.pointerType !== "touch") return at;
  const { from } = dragging;
  const share = Math.min(1, FINGER * view.scale);
  return at.map((n, k) => from[k] + share * (n - from[k]));
}

function drag(event) {
  if (!dragging) return;
  const { handle, start } = dragging;
  const at = ledTo(event);
  if (goesRound(handle)) {
    const place = picture.chartAt(...at);
    if (place) {
      const { bearing, height } = nearTurn(place, start.bearing);
      handle.bearing = bearing;
      if (!handle.whole) handle.height = height;
      dragging.moved = true;
    }
  } else {
    handle.height = start.height - (at[1] - dragging.from[1]) / view.scale / Math.cos(view.tip);
    if (Math.abs(event.clientY - dragging.startY) > 1) dragging.moved = true;
  }
  handle.height = Math.min(state.limb.heights[1], Math.max(state.limb.heights[0], handle.height));
  dragging.at = at;
  sayHeld();
  askCurves(handle);
  if (dragging.moved) tryChanges(changesOf(handle), sayHeld);
}

/** Say beside a point that is held where it is now, and what the leather would ask for. */
function sayHeld() {
  if (!dragging) return;
  const lines = [handleText(dragging.handle), ...heldWords()];
  const button = [...box.children].find((one) => one.dataset.key === dragging.key);
  showReading(lines, ...(dragging.at ?? toPixels(...seen(button.handle.at))));
  if (!dragging.at) announce(lines.join(", "));
}

/** The same place with a bearing within half a turn of another. */
export function nearTurn({ bearing, height }, other) {
  return { height, bearing: bearing + 360 * Math.round((other - bearing) / 360) };
}

async function endDrag(event) {
  const { button, handle, moved } = dragging;
  release(button);
  dragging = { key: handle.key, handle };
  if (moved && event.type !== "pointercancel") {
    await settle(handle);
    return;
  }
  dragging = null;
  takeBackTrial();
  takeBack();
}

function release(button) {
  button.classList.remove("held");
  button.removeEventListener("pointermove", drag);
  button.removeEventListener("pointerup", endDrag);
  button.removeEventListener("pointercancel", endDrag);
  hideReading();
}

/** Put a point that is held, by pointer or by keys, back to where it was. */
function giveUp() {
  if (dragging.button) release(dragging.button);
  clearTimeout(timer);
  timer = 0;
  dragging = null;
  takeBackTrial();
  takeBack();
  hideReading();
  announce(text("held.back"));
}

/** Take a point's new place into the job; until that is answered, no older state moves it back. */
async function settle(handle) {
  const mine = dragging;
  const taken = await attempt(() => set(changesOf(handle)));
  if (dragging !== mine) return; // it has been taken up again
  dragging = null;
  hideReading();
  if (taken) letGo();
  else takeBackTrial();
  takeBack();
}

/** mm up the limb and degrees round it that a key moves a point. */
const KEY_STEPS = {
  ArrowUp: [1, 0], ArrowDown: [-1, 0], PageUp: [10, 0], PageDown: [-10, 0], ArrowLeft: [0, -1], ArrowRight: [0, 1],
};

/** Whether a point is moved round the limb too: not one of an edge. */
const goesRound = ({ name }) => !EDGES.includes(name);

/** Whether a key moves a point: an edge's up and down, others any way, a whole seam round the limb alone. */
function movesPoint(pressed, handle) {
  const [up, along] = KEY_STEPS[pressed];
  return Boolean(handle.whole ? along : goesRound(handle) ? up || along : up);
}

/** Whether a point can be taken away: not one of the heights at an edge's sides. */
const canGo = (pressed, handle) => !handle.quarter;

const pointKey = keysOf("keys.point", [
  { keys: ["ArrowUp", "ArrowDown"], says: "keys.point up", when: movesPoint, act: movePoint },
  { keys: ["PageUp", "PageDown"], says: "keys.point far", when: movesPoint, act: movePoint },
  { keys: ["ArrowLeft", "ArrowRight"], says: "keys.point along", when: movesPoint, act: movePoint },
  { keys: ["Escape"], says: "keys.point back", when: () => Boolean(dragging?.button || timer), act: giveUp },
  { keys: ["Delete"], says: "keys.point delete", when: canGo, act: (pressed, handle) => deletePoint(handle) },
]);

function handleKey(event, button) {
  // A curve that answers an earlier key must not set it back.
  pointKey(event, dragging?.key === button.dataset.key ? dragging.handle : button.handle, button);
}

function movePoint(pressed, handle, button) {
  const [up, along] = KEY_STEPS[pressed];
  const next = { ...handle };
  if (goesRound(handle)) next.bearing += along * layout.hand;
  if (!handle.whole) next.height += up;
  dragging = { key: handle.key, handle: next };
  askCurves(next).then(() => { if (dragging?.key === handle.key) bringToFront(next.at); });
  announce(handleText(next));
  button.handle = next;
  tryChanges(changesOf(next), sayHeld);
  if (timedKey === handle.key) clearTimeout(timer); // another point's move is still taken
  timedKey = handle.key;
  timer = setTimeout(() => {
    timer = 0;
    settle(next);
  }, PAUSE);
}

/** Take a dart away, or a point of a drawn seam or of an edge; two must stay. */
function deletePoint({ name, s, n, whole }) {
  if (name === "dart") return attempt(() => post(`/do/remove-dart?dart=${n}`));
  if (name !== "seam") return attempt(() => post(`/do/remove-edge-point?edge=${name}&point=${n}`));
  if (whole) return announce(text("handle.no points"));
  const points = curves.seams[s].handles;
  if (points.length <= 2) return announce(text("handle.two points"));
  attempt(() => set([[["seam", s, "along"], jobPoints(points.filter((_, k) => k !== n))]]));
}
