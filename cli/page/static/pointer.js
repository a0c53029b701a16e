// The pointer on the bench: turning, moving, sizing, and the finger that shows one place on limb and leather.
//
// On glass one finger up or down scrolls the page, as everywhere on it: the stage may take most of a small window, and
// what lies below must stay within reach. Two fingers turn and tip the limb (or move the leather); apart, they enlarge.

import { setMarker } from "/static/drawing.js";
import { bearingWords, bringToFront } from "/static/handles.js";
import { endPicking, isPicking, pickAt } from "/static/pick.js";
import { keysOf } from "/static/keys.js";
import { moveAs, showAll, sizeAs, startLook, turnAs } from "/static/look.js";
import * as picture from "/static/scene.js";
import { redraw, hideReading, inStage, showReading, stage } from "/static/stage.js";
import { move, seen, layout, toPixels, turnBy, view, zoom } from "/static/view.js";
import { heightWords, announce } from "/static/messages.js";
import { text } from "/static/texts.js";

const area = document.getElementById("pointer-area");
const fingerButton = document.getElementById("finger");
const CLICK = 5; // px. A pointer that moves less has clicked.
const STEP = 5; // mm that a key moves the finger
const pointers = new Map();
let pressed = null;
let finger = null; // the place that the keys hold

/** Where a point is set by keys: the middle of what is seen. */
export function crossAt() {
  return isPicking() && document.activeElement === area ? [toPixels(0, 0)[0], view.height / 2] : null;
}

/** Begin; `whole` shows everything again. */
export function startPointer(whole) {
  startLook(whole);
  area.addEventListener("pointerdown", press);
  area.addEventListener("pointermove", moved);
  area.addEventListener("pointerup", release);
  area.addEventListener("pointercancel", release);
  area.addEventListener("contextmenu", (event) => event.preventDefault());
  for (const kind of ["touchstart", "touchmove"]) area.addEventListener(kind, keepTwo, { passive: false });
  area.addEventListener("pointerleave", () => { if (!pointers.size && !finger) liftFinger(); });
  area.addEventListener("dblclick", showAll);
  stage.addEventListener("wheel", (event) => {
    event.preventDefault();
    zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0016)), ...inStage(event));
    redraw();
  }, { passive: false });
  area.addEventListener("focus", redraw);
  area.addEventListener("blur", redraw);
  area.addEventListener("keydown", key);
  fingerButton.addEventListener("click", () => {
    if (finger) {
      liftFinger();
      return;
    }
    layFinger();
    area.focus({ preventScroll: true });
  });
}

/** Two fingers are the bench's: the browser would scroll by them or enlarge the whole page. */
function keepTwo(event) {
  if (event.touches.length > 1 && event.cancelable) event.preventDefault();
}

const distance = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);

function press(event) {
  const at = inStage(event);
  area.setPointerCapture(event.pointerId);
  pointers.set(event.pointerId, at);
  const moves = event.button === 2 || event.button === 1 || event.shiftKey || picture.overLeather(...at);
  pressed = { at, moves, far: false };
  hideReading();
}

function moved(event) {
  const at = inStage(event);
  const before = pointers.get(event.pointerId);
  if (!before) {
    if (event.pointerType === "mouse") look(at);
    return;
  }
  const [dx, dy] = [at[0] - before[0], at[1] - before[1]];
  if (pointers.size === 2) {
    const [other] = [...pointers].filter(([id]) => id !== event.pointerId).map(([, place]) => place);
    zoom(distance(at, other) / Math.max(1, distance(before, other)), (at[0] + other[0]) / 2, (at[1] + other[1]) / 2);
    carry(dx / 2, dy / 2);
    pressed.far = true;
  } else {
    if (distance(at, pressed.at) > CLICK) pressed.far = true;
    // One finger that goes sideways turns; up and down it would have scrolled.
    if (pressed.far) carry(dx, event.pointerType === "touch" ? 0 : dy);
  }
  pointers.set(event.pointerId, at);
  redraw();
}

/** Move what lies on the bench, or turn and tip the limb, by pixels of a pointer. */
function carry(dx, dy) {
  if (pressed.moves) move(dx, dy);
  else turnBy(dx * 0.009, dy * 0.006);
}

function release(event) {
  const at = pointers.get(event.pointerId);
  pointers.delete(event.pointerId);
  if (!at || pointers.size) return;
  const click = !pressed.far && event.type === "pointerup";
  pressed = null;
  if (!click) return;
  if (isPicking()) pickAt(...at);
  else look(at);
}

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const pointing = () => isPicking();
const feeling = () => finger !== null;
const free = () => !feeling();

const key = keysOf("keys.limb", [
  { keys: ["ArrowLeft", "ArrowRight"], shift: false, says: "keys.turn", when: free, act: (arrow) => turnAs(arrow) },
  { keys: ["ArrowUp", "ArrowDown"], shift: false, says: "keys.tip", when: free, act: (arrow) => turnAs(arrow) },
  { keys: Object.keys(ARROWS), shift: true, says: "keys.move", act: (arrow) => moveAs(arrow) },
  { keys: ["+", "="], says: "keys.larger", act: sizeAs },
  { keys: ["-"], says: "keys.smaller", act: sizeAs },
  { keys: ["0"], says: "keys.all", act: showAll },
  { keys: ["Enter"], says: "keys.feel", when: () => free() && !pointing(), act: layFinger },
  { keys: Object.keys(ARROWS), shift: false, says: "keys.finger", when: feeling, act: moveFinger },
  { keys: ["Escape"], says: "keys.lift", when: () => feeling() && !pointing(), act: liftFinger },
  { keys: ["Enter"], says: "keys.set", when: pointing, act: () => pickAt(...crossAt()) },
  { keys: ["Escape"], says: "keys.leave", when: pointing, act: () => endPicking() },
]);

/** Tell the place under the pointer, and show it on limb and leather. */
function look(at) {
  if (isPicking()) return;
  dropKeys();
  const place = picture.leatherAt(...at);
  setMarker(place);
  redraw();
  if (place) showReading(placeWords(place), ...at);
  else hideReading();
}

// The finger that keys move

/** Lay it where the leather must stretch most: there is always such a place. */
function layFinger() {
  const place = picture.mostStretched();
  if (!place) {
    announce(text("finger.none"));
    return;
  }
  finger = place;
  fingerButton.setAttribute("aria-pressed", "true");
  showFinger();
}

/** Let go of the place: the keys turn the limb again. */
export function liftFinger() {
  dropKeys();
  setMarker(null);
  hideReading();
  redraw();
}

function dropKeys() {
  finger = null;
  fingerButton.setAttribute("aria-pressed", "false");
}

function moveFinger(arrow) {
  const [across, up] = ARROWS[arrow];
  const [height, bearing] = finger.chart;
  const radius = Math.hypot(finger.worn[0], finger.worn[1]);
  const next = picture.leatherOn(height + STEP * up, bearing + (STEP / radius) * across * layout.hand);
  if (!next) {
    announce(text("finger.end"));
    return;
  }
  finger = next;
  showFinger();
}

function showFinger() {
  bringToFront(finger.worn);
  setMarker(finger);
  const words = placeWords(finger);
  showReading(words, ...toPixels(...(view.show === "limb" ? seen(finger.worn) : finger.flat)));
  announce(words.join(", "));
  redraw();
}

/** After a change the same place of the limb is felt on the new leather. */
export function followLeather() {
  if (!finger) return;
  const place = picture.leatherOn(...finger.chart);
  if (!place) {
    liftFinger();
    return;
  }
  finger = place;
  setMarker(place);
}

/** A share with its sign, but for one that rounds to nothing. */
function signedPercent(ratio) {
  const figure = (100 * ratio).toFixed(1).replace(/^(?=[1-9]|0\.[1-9])/, "+");
  return text("percent", { share: figure.replace("-0.0", "0.0").replace("-", "−") });
}

function placeWords({ along, across, chart, beyond }) {
  return [
    text("finger.along", { share: signedPercent(along) }),
    text("finger.across", { share: signedPercent(across) }),
    text("finger.place", { side: nearestSide(chart[1]), height: heightWords(chart[0]) }),
    ...(beyond ? [text("finger.beyond")] : []),
  ];
}

function nearestSide(bearing) {
  return bearingWords(90 * Math.round((bearing * 180) / Math.PI / 90));
}
