// How limb and leather are looked at: turned, tipped, moved, sized and shown whole, by buttons and keys alike.

import { button, byId, h } from "/static/dom.js";
import { redraw } from "/static/stage.js";
import { text } from "/static/texts.js";
import { move, turnBy, view, zoom } from "/static/view.js";

const KEY = { turn: 0.12, tip: 0.08, move: 30, size: 1.2 }; // rad, rad, px and a factor, of one key
const CLICK = { turn: Math.PI / 12, tip: Math.PI / 18, move: 60 }; // of one click on a button

const across = { ArrowLeft: -1, ArrowRight: 1 };
const down = { ArrowUp: -1, ArrowDown: 1 };

let showWhole = () => {};

/** Turn or tip the limb as an arrow points. */
export function turnAs(arrow, { turn, tip } = KEY) {
  turnBy((across[arrow] ?? 0) * turn, (down[arrow] ?? 0) * tip);
  redraw();
}

/** Move limb and leather as an arrow points. */
export function moveAs(arrow, step = KEY.move) {
  move((across[arrow] ?? 0) * step, (down[arrow] ?? 0) * step);
  redraw();
}

/** Show them larger or smaller. */
export function sizeAs(key) {
  zoom(key === "-" ? 1 / KEY.size : KEY.size);
  redraw();
}

/** Show all of it, upright. */
export function showAll() {
  view.tip = 0;
  showWhole();
}

const SHAPES = {
  "look.turn left": "M4 8.5C4 6.3 6.7 5 10 5s6 1.3 6 3.5S13.8 12 11 12M13.3 9.7 10.8 12l2.5 2.3M10 1.5V3M10 15v3.5",
  "look.turn right": "M16 8.5C16 6.3 13.3 5 10 5S4 6.3 4 8.5 6.2 12 9 12M6.7 9.7 9.2 12l-2.5 2.3M10 1.5V3M10 15v3.5",
  "look.tip away": "M8.5 4C6.3 4 5 6.7 5 10s1.3 6 3.5 6 3.5-2.2 3.5-5M9.7 13.3l2.3-2.5 2.3 2.5M1.5 10H3M15 10h3.5",
  "look.tip near": "M8.5 16C6.3 16 5 13.3 5 10s1.3-6 3.5-6S12 6.2 12 9M9.7 6.7 12 9.2l2.3-2.5M1.5 10H3M15 10h3.5",
  "look.left": "M16 10H4m4.5-4.5L4 10l4.5 4.5",
  "look.right": "M4 10h12m-4.5-4.5L16 10l-4.5 4.5",
  "look.up": "M10 16V4m-4.5 4.5L10 4l4.5 4.5",
  "look.down": "M10 4v12m-4.5-4.5L10 16l4.5-4.5",
  "look.all": "M3.5 7.5v-4h4M12.5 3.5h4v4M16.5 12.5v4h-4M7.5 16.5h-4v-4M8 6.5h1.5v7H8zM12 8.5h1.5v5H12z",
  "look.about": "M10 2.5v15M2.5 10h15M7.8 4.7 10 2.5l2.2 2.2M7.8 15.3l2.2 2.2 2.2-2.2M4.7 7.8 2.5 10l2.2 2.2"
    + "M15.3 7.8l2.2 2.2-2.2 2.2",
}; // strokes of a drawing 20 by 20

const ACTS = [
  ["look.turn", [
    ["look.turn left", () => turnAs("ArrowLeft", CLICK)],
    ["look.turn right", () => turnAs("ArrowRight", CLICK)],
    ["look.tip away", () => turnAs("ArrowUp", CLICK)],
    ["look.tip near", () => turnAs("ArrowDown", CLICK)],
  ]],
  ["look.move", [
    ["look.left", () => moveAs("ArrowLeft", CLICK.move)],
    ["look.right", () => moveAs("ArrowRight", CLICK.move)],
    ["look.up", () => moveAs("ArrowUp", CLICK.move)],
    ["look.down", () => moveAs("ArrowDown", CLICK.move)],
  ]],
];

function drawn(name) {
  const space = "http://www.w3.org/2000/svg";
  const shape = document.createElementNS(space, "svg");
  shape.setAttribute("viewBox", "0 0 20 20");
  shape.setAttribute("aria-hidden", "true");
  const path = document.createElementNS(space, "path");
  path.setAttribute("d", SHAPES[name]);
  shape.append(path);
  return shape;
}

function lookButton(name, act, more = {}) {
  const words = text(name);
  return button(drawn(name), act, { class: "look", title: words, "aria-label": words, ...more });
}

/** Begin; `whole` shows everything again. Where there is no room for all buttons in a row, one opens the others. */
export function startLook(whole) {
  showWhole = whole;
  const pad = h("div", { id: "look-pad" });
  for (const [name, acts] of ACTS) {
    const group = h("span", { role: "group", "aria-label": text(name) });
    group.append(...acts.map(([what, act]) => lookButton(what, act)));
    pad.append(group);
  }
  const opener = lookButton("look.about", () => {
    opener.setAttribute("aria-expanded", String(pad.classList.toggle("open")));
  }, { id: "look-about", "aria-expanded": "false", "aria-controls": "look-pad" });
  byId("tools").append(h("span", {}, opener), pad, h("span", {}, lookButton("look.all", showAll, { id: "show-all" })));
}
