// Points set by clicks on the scan or the limb: which limb is meant, its front, its joint, the line of a seam, darts and edges.

import { button } from "/static/dom.js";
import { post, set, state } from "/static/requests.js";
import { setMarker } from "/static/drawing.js";
import { jobPoints, nearTurn } from "/static/handles.js";
import { wantedKind } from "/static/kinds.js";
import * as picture from "/static/scene.js";
import { redraw, bringStageIn, stage } from "/static/stage.js";
import { announce, attempt } from "/static/messages.js";
import { text } from "/static/texts.js";

const asking = document.getElementById("asking");
const area = document.getElementById("pointer-area");

let wanted = null; // { scan: the setting that takes a point of it }, { seam: its number }, { place: what is done }, or { places }
let clicked = [];
let begun = () => {};

/** Call `listener` whenever points begin to be asked for. */
export function whenPicking(listener) {
  begun = listener;
}

/** Whether a point is being asked for. */
export function isPicking() {
  return wanted !== null;
}

/** Let the maker click one limb of several in the scan. */
export function pickLimb() {
  picture.showWhole(true);
  begin({ scan: "pick" }, text("pick.limb"));
}

/** Ask for that click unasked, where the scan turns out to show several: the keys stay where they are. */
export function awaitLimb() {
  wait({ scan: "pick" }, text("pick.limb"));
}

/** Let the maker click the front on the limb. */
export function pickFront() {
  begin({ scan: "front" }, wantedKind().front_hint);
}

/** Let the maker click the joint that edges hang on. */
export function pickJoint() {
  begin({ scan: "joint" }, wantedKind().joint_hint);
}

/** Let the maker click the line of a seam, from below upwards. */
export function pickSeam(number) {
  begin({ seam: number }, text("pick.seam"));
}

/** Let the maker click where a dart goes. */
export function pickDart() {
  begin({ place: (where) => post(`/do/add-dart?${where}`) }, text("pick.dart"));
}

/** Let the maker click a place that an edge goes through. */
export function pickEdgePoint(name) {
  const words = text(name === "top" ? "pick.top" : "pick.bottom");
  begin({ place: (where) => post(`/do/add-edge-point?edge=${name}&${where}`) }, words);
}

/** Let the maker click places on the limb: `words` ask for each, the last of them again and again; `take` gets them as
 * soon as there are `most`, or from `least` on when that is said to be all. */
export function pickPlaces({ words, take, most, least = most }) {
  begin({ places: { words, take, most, least } }, words[0]);
}

function begin(what, words) {
  wait(what, words);
  bringStageIn();
  area.focus({ preventScroll: true });
}

function wait(what, words) {
  wanted = what;
  clicked = [];
  begun();
  stage.classList.add("picking");
  askFor(words);
  redraw();
}

export function endPicking() {
  if (wanted?.scan === "pick") picture.showWhole(false);
  wanted = null;
  clicked = [];
  stage.classList.remove("picking");
  askFor("");
  setMarker(null);
  redraw();
}

function askFor(words) {
  done.hidden = true;
  asking.hidden = !words;
  asking.firstElementChild.textContent = words;
}

asking.querySelector("button").addEventListener("click", endPicking);
const done = button(text("pick.done"), takePlaces, { hidden: true });
asking.append(done);

/** Take a further place; all of them, once there are as many as can be. */
async function addPlace() {
  const { words, most, least } = wanted.places;
  if (clicked.length === most) {
    await takePlaces();
    return;
  }
  setMarker({ worn: clicked.at(-1).at });
  askFor(words[Math.min(clicked.length, words.length - 1)]);
  done.hidden = clicked.length < least;
  redraw();
}

async function takePlaces() {
  const { take } = wanted.places;
  const places = clicked;
  endPicking();
  await attempt(() => take(places));
}

/** Take the place under a pixel as the point that is asked for. */
export async function pickAt(px, py) {
  const setting = wanted.scan;
  const at = setting ? picture.scanAt(px, py) : picture.chartAt(px, py);
  if (!at) {
    announce(text("pick.beside"));
    return;
  }
  if (setting) {
    endPicking();
    const point = at.map((value) => value / state.scan.unit_mm);
    await attempt(() => set([[["scan", setting], setting === "pick" ? point : { point }]]));
    return;
  }
  if (wanted.place) {
    const { place } = wanted;
    const { bearing, height } = at;
    endPicking();
    await attempt(() => place(`bearing=${bearing.toFixed(2)}&height=${height.toFixed(1)}`));
    return;
  }
  clicked.push(clicked.length ? { ...nearTurn(at, clicked[0].bearing), at: at.at } : at);
  if (wanted.places) {
    await addPlace();
    return;
  }
  if (clicked.length === 1) {
    setMarker({ worn: at.at });
    askFor(text("pick.seam end"));
    redraw();
    return;
  }
  const changes = [[["seam", wanted.seam, "along"], jobPoints(clicked)]];
  endPicking();
  await attempt(() => set(changes));
}
