// Pins: findings at their place on limb and leather, read on hover, focus and tap, each leading to its question.

import { button, byId, h, rebuild } from "/static/dom.js";
import { closeDrawer } from "/static/drawer.js";
import { middleAt } from "/static/drawing.js";
import { bringToFront } from "/static/handles.js";
import { leatherOn } from "/static/scene.js";
import { hideReading, redraw, showReading } from "/static/stage.js";
import { text } from "/static/texts.js";
import { faces, layout, seen, toPixels, view } from "/static/view.js";
import { linkTo } from "/static/question.js";

const SIZE = 24; // px of a pin, which stands above its place and to the right, and of a knob's room about its middle
const LINE = 44; // characters of a line beside a pin
const box = h("div", { id: "pins" });
byId("handles").before(box);
let shown = "";

/** Take the pins of a state. */
export function takePins(now) {
  const wanted = JSON.stringify(now.pins);
  if (wanted === shown) return;
  shown = wanted;
  const both = (pin, n) => ["limb", "leather"].map((where) => pinButton(pin, n + 1, where));
  rebuild(box, () => {
    box.replaceChildren(...now.pins.flatMap(both));
    redraw();
  });
}

function pinButton(pin, number, where) {
  const words = text(`pin.${where}`, { number, words: pin.words });
  const made = button(String(number), () => follow(pin), { class: `pin ${pin.severity}`, "aria-label": words });
  Object.assign(made, { pin, where });
  made.addEventListener("pointerenter", () => read(made));
  made.addEventListener("pointerleave", hideReading);
  made.addEventListener("focus", () => {
    if (where === "limb") bringToFront(pin.at);
    read(made);
  });
  made.addEventListener("blur", hideReading);
  return made;
}

/** Go to the question that a pin is about; where it has none, to all that is told. */
function follow({ question }) {
  hideReading();
  if (question) {
    closeDrawer();
    linkTo(question).click();
  } else if (byId("told").hidden) byId("tell").click();
}

/** Show a pin's words beside it, in lines that a stage has room for. */
function read(made) {
  const lines = made.pin.words.split(" ").reduce((all, word) => {
    const longer = `${all.at(-1)} ${word}`.trim();
    return longer.length > LINE ? [...all, word] : [...all.slice(0, -1), longer];
  }, [""]);
  showReading(lines, ...made.place);
}

/** How far up a pin stands whose place is at a pixel: clear of what is `taken` (left and lower ends), so that each can
 *  be pressed. */
function clear(x, below, taken) {
  const inWay = ([left, low]) => Math.abs(left - x) < SIZE && Math.abs(low - y) < SIZE;
  let y = below;
  for (let other = taken.find(inWay); other; other = taken.find(inWay)) y = other[1] - SIZE - 1;
  return y;
}

/** Put every pin where its place is seen. */
export function placePins() {
  const knobs = [...document.querySelectorAll(".handle:not(.behind)")].map((knob) => toPixels(...seen(knob.handle.at)));
  const taken = knobs.map(([x, y]) => [x - SIZE / 2, y + SIZE / 2]);
  for (const made of box.children) {
    const { at, chart } = made.pin;
    const onLeather = made.where === "leather" ? leatherOn(...chart) : null;
    const there = made.where === "limb" ? view.show !== "leather" : onLeather && view.show !== "limb" && layout.leather;
    made.hidden = !there;
    if (!there) continue;
    const [x, below] = made.where === "limb" ? toPixels(...seen(at)) : toPixels(...onLeather.flat);
    const y = clear(x, below, taken);
    taken.push([x, y]);
    made.place = [x, y];
    made.style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
    made.classList.toggle("behind", made.where === "limb" && !faces(at, middleAt(at[2])));
  }
}
