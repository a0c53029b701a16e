// The stage: what is drawn when something has changed, and the words beside the pointer.

import { view } from "/static/view.js";

export const stage = document.getElementById("stage");
const reading = document.getElementById("reading");
let dirty = true;

/** Draw all of it again, with the next frame. */
export function redraw() {
  dirty = true;
}

/** Draw with every frame before which something has changed. */
export function drawWith(draw) {
  const frame = () => {
    if (dirty) {
      dirty = false;
      draw();
    }
    requestAnimationFrame(frame);
  };
  frame();
}

/** Scroll so that the stage is seen, where the work order has pushed it out of sight. */
export function bringStageIn() {
  const { bottom } = stage.getBoundingClientRect();
  // Its lower end to the lower rim: above it the verdict keeps its place.
  if (bottom > innerHeight || bottom < innerHeight / 2) stage.scrollIntoView({ block: "end" });
}

/** Where a pointer is, in pixels of the stage. */
export function inStage(event) {
  const box = stage.getBoundingClientRect();
  return [event.clientX - box.left, event.clientY - box.top];
}

/** Show lines of words beside a place. */
export function showReading(lines, x, y) {
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

export function hideReading() {
  reading.hidden = true;
}
