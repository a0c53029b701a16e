// Where things stand on the bench: mm to pixels, and the limb turned on its own axis.
//
// One scale and one height for limb and leather, so that a line from a place on the one runs level to the other.

export const RULER = 30; // mm between the limb and the ruler
const MARGIN = 22; // mm kept free round everything
const NARROW = 560; // px. On a narrower stage the notes lie over all its width.
const NOTE = 84; // px that a note takes there, and that are kept free above the limb
const TICKS = 36; // px that the ruler's figures take
const APART = 76; // mm between limb and leather, at least
const SETTLED = 12; // turns after which scale and room for the names agree within a pixel
const STEEPEST = 1.2; // rad. Tipped further, the limb would hide its own rings.

export const view = { x: 0, y: 0, scale: 1, width: 1, height: 1, turn: 0, tip: 0, show: "both" };

/**
 * What is to be seen, in mm: half the limb's width, its lowest and highest place, the height of what matters most (the
 * rest may be looked for), what the girths' names take between limb and leather (px), and the leather's box once it is
 * there. The limb stands on the bench with its lowest place; a scan whose limb is not found yet only lies there.
 */
export const layout = { reach: 80, low: 0, high: 400, enough: 400, hand: 1, names: 0, stands: false, leather: null };

let apart = APART;

export function leatherLeft() {
  return layout.reach + apart;
}

/** Show all of what is to be shown. */
export function fit() {
  // The names keep their size in pixels, so the room for them and the scale settle one another.
  apart = APART;
  for (let turn = 0; turn < SETTLED; turn++) {
    frameAll(view.show);
    apart = Math.max(APART, layout.names / view.scale);
  }
  frameAll(view.show);
}

function frameAll(show) {
  let left = -layout.reach - RULER - Math.max(34, TICKS / view.scale);
  let right = layout.reach + 30;
  let { low } = layout;
  let high = Math.min(layout.high, layout.enough);
  if (layout.leather && show !== "limb") {
    right = leatherLeft() + layout.leather.width;
    if (show === "leather") {
      left = leatherLeft() - 60;
      low = layout.leather.low;
      high = layout.leather.high;
    }
    low = Math.min(low, layout.leather.low);
    high = Math.max(high, layout.leather.high);
  }
  const wide = right - left + 2 * MARGIN;
  const tall = high - low + 2 * MARGIN;
  const note = view.width < NARROW ? NOTE : 0;
  view.scale = Math.min(view.width / wide, (view.height - note) / tall);
  view.x = (left + right) / 2;
  // The bench keeps to the lower rim; room that is left over is air above it.
  view.y = show === "leather" ? (low + high) / 2 : low - MARGIN + view.height / 2 / view.scale;
}

export function move(dx, dy) {
  view.x -= dx / view.scale;
  view.y += dy / view.scale;
}

/** Change the size, the place (px) under the pointer staying where it is. */
export function zoom(factor, px = view.width / 2, py = view.height / 2) {
  const [x, y] = toWorld(px, py);
  view.scale = Math.min(40, Math.max(0.15, view.scale * factor));
  view.x = x - (px - view.width / 2) / view.scale;
  view.y = y + (py - view.height / 2) / view.scale;
}

export function turnBy(turn, tip) {
  view.turn += turn;
  view.tip = Math.max(-STEEPEST, Math.min(STEEPEST, view.tip + tip));
}

export function toWorld(px, py) {
  return [view.x + (px - view.width / 2) / view.scale, view.y - (py - view.height / 2) / view.scale];
}

export function toPixels(x, y) {
  return [view.width / 2 + (x - view.x) * view.scale, view.height / 2 - (y - view.y) * view.scale];
}

/** A limb place (front, lateral, height) as it is seen: x and y in mm on the bench, z towards the eye. */
export function seen([front, lateral, height]) {
  const middle = (layout.low + layout.high) / 2;
  const across = layout.hand * lateral;
  const cos = Math.cos(view.turn);
  const sin = Math.sin(view.turn);
  const x = across * cos + front * sin;
  const near = front * cos - across * sin;
  const up = height - middle;
  const [cosTip, sinTip] = [Math.cos(view.tip), Math.sin(view.tip)];
  return [x, middle + up * cosTip - near * sinTip, up * sinTip + near * cosTip];
}

/** Whether a place on the limb looks towards the eye, by its direction from the limb's middle line. */
export function faces([front, lateral], middle = [0, 0]) {
  const across = layout.hand * (lateral - middle[1]);
  return (front - middle[0]) * Math.cos(view.turn) - across * Math.sin(view.turn) > 0;
}
