// Something on top: plates that are riveted on, and rows of lames.

import { button, h } from "/static/dom.js";
import { field, plain, yesNo } from "/static/form.js";
import { choiceField, group, onlyWhile, usualField } from "/static/fields.js";
import { entries } from "/static/forms/entries.js";
import { lamesEntries } from "/static/forms/lames.js";
import { bearingOf, bearingWords, jobPoints } from "/static/handles.js";
import { QUARTERS, sideName } from "/static/kinds.js";
import { pickPlaces } from "/static/pick.js";
import { set, state } from "/static/requests.js";
import { text } from "/static/texts.js";

const ENDS = ["top", "bottom"];
const WIDE = 40; // degrees to either side of the front that a plate is given to begin with

const plates = () => state.job.plate;

/** The lowest and the highest place of the leather's edges, mm. */
function reach() {
  const heights = ENDS.flatMap((name) => state.curves?.[name].handles ?? []).map((handle) => handle.height);
  return heights.length ? [Math.min(...heights), Math.max(...heights)] : [0, 300];
}

/** A plate's corners as degrees and mm: those of its region, or those round about its outline. */
function corners({ curve, around, heights }) {
  if (curve.length) {
    const [degrees, up] = [curve.map(([at]) => at), curve.map(([, height]) => Number.parseFloat(height))];
    return [Math.min(...degrees), Math.max(...degrees), Math.min(...up), Math.max(...up)];
  }
  let [left, right] = around === "all" ? [-WIDE, WIDE] : around.map(bearingOf);
  if (left > right) left -= 360;
  const [low, high] = reach();
  const third = (high - low) / 4;
  const [down, up] = heights === "all" ? [low + third, high - third] : heights.map(Number.parseFloat);
  return [left, right, down, up];
}

const lengths = (...heights) => heights.map((height) => `${Math.round(height)} mm`);

/** The changes that let plate `n` be the part of the leather between two places of the limb. */
function region(n, [one, other]) {
  const round = [one.bearing, other.bearing].map((degrees) => Math.round(degrees)).sort((a, b) => a - b);
  const up = [one.height, other.height].sort((a, b) => a - b);
  return [[["plate", n, "curve"], []], [["plate", n, "around"], round], [["plate", n, "heights"], lengths(...up)]];
}

/** The changes that let it be what lies inside an outline. */
function outline(n, points) {
  return [[["plate", n, "around"], "all"], [["plate", n, "heights"], "all"], [["plate", n, "curve"], jobPoints(points)]];
}

function placed(n, way) {
  const [left, right, low, high] = corners(plates()[n]);
  if (way === "region") return region(n, [{ bearing: left, height: low }, { bearing: right, height: high }]);
  const at = [[left, low], [right, low], [right, high], [left, high]];
  return outline(n, at.map(([bearing, height]) => ({ bearing, height })));
}

function pointing(n) {
  const two = button(text("plates.point corners"), () => pickPlaces({
    words: [text("plates.point one"), text("plates.point other")], most: 2, take: (points) => set(region(n, points)),
  }), { class: "point-corners" });
  const round = button(text("plates.point outline"), () => pickPlaces({
    words: [text("plates.point first"), text("plates.point more")], least: 3, most: 40,
    take: (points) => set(outline(n, points)),
  }));
  const ways = h("p", { class: "actions" }, two, round);
  ways.show = () => { two.disabled = round.disabled = !state.worn; };
  return ways;
}

/** Degrees from the front as they are shown and written. */
export const degreesField = (label, path) => field(label, path, {
  hint: () => text("plates.degrees hint", { front: sideName("front"), outside: sideName("outside") }),
  read: (value) => (value === undefined ? "" : `${bearingOf(value)}°`),
  write: (written) => {
    const degrees = Number(written.replace("°", ""));
    return Number.isFinite(degrees) && written ? degrees : written;
  },
});

function whole(n, key, title, own) {
  const path = ["plate", n, key];
  return choiceField(title, [["all", text(`plates.${key} all`)], ["own", text(`plates.${key} own`)]], {
    now: () => (plates()[n][key] === "all" ? "all" : "own"),
    take: (way) => set([[path, way === "all" ? "all" : own()]]),
    paths: [path],
  });
}

function rivetSides(n) {
  const path = ["plate", n, "rivets"];
  const some = () => (Array.isArray(plates()[n].rivets) ? plates()[n].rivets : []);
  const sides = [...ENDS, ...QUARTERS].map((side) => yesNo(
    () => (ENDS.includes(side) ? text(`plates.side ${side}`) : sideName(side)), path, {
      read: (value) => value.includes(side),
      write: (on) => (on ? [...some(), side] : some().filter((one) => one !== side)),
    }));
  return group("",
    choiceField(text("plates.rivets"), [["all round", text("plates.rivets round")], ["some", text("plates.rivets some")]], {
      now: () => (Array.isArray(plates()[n].rivets) ? "some" : "all round"),
      take: (way) => set([[path, way === "some" ? [...ENDS] : way]]),
      paths: [path],
    }),
    onlyWhile(() => Array.isArray(plates()[n].rivets), group("", ...sides)));
}

/** What a plate may lie on: the leather, of several pieces each, and every other plate. */
function grounds(n) {
  const others = plates().filter((_, k) => k !== n).map(({ name }) => [name, text("plates.on plate", { name })]);
  const { panels } = state.offered;
  const pieces = panels.length > 1 ? panels.map((name) => [name, text("plates.on piece", { name })]) : [];
  const found = [["base", text("plates.on base")], ...pieces, ...others];
  const { on } = plates()[n];
  return found.some(([name]) => name === on) ? found : [...found, [on, on]];
}

function plateParts(n) {
  const at = (key) => ["plate", n, key];
  const inOutline = () => plates()[n].curve.length > 0;
  return [
    pointing(n),
    choiceField(text("plates.place"), [["region", text("plates.place region")], ["outline", text("plates.place outline")]], {
      now: () => (inOutline() ? "outline" : "region"),
      take: (way) => set(placed(n, way)),
      paths: [at("curve"), at("around"), at("heights")],
    }),
    onlyWhile(() => !inOutline(), group("",
      whole(n, "around", text("plates.around"), () => corners(plates()[n]).slice(0, 2).map(Math.round)),
      onlyWhile(() => plates()[n].around !== "all", group("",
        degreesField(text("plates.from"), [...at("around"), 0]), degreesField(text("plates.to"), [...at("around"), 1]))),
      whole(n, "heights", text("plates.heights"), () => lengths(...corners(plates()[n]).slice(2))),
      onlyWhile(() => plates()[n].heights !== "all", group("",
        field(text("plates.low"), [...at("heights"), 0]), field(text("plates.high"), [...at("heights"), 1]))))),
    onlyWhile(inOutline, field(text("plates.corners"), at("corners"), {
      choices: [["smooth", text("plates.corners.smooth")], ["sharp", text("plates.corners.sharp")]],
      hint: () => text("plates.corners hint", { count: plates()[n].curve.length }),
    })),
    field(text("plates.inset"), at("inset"), { hint: text("plates.inset hint") }),
    usualField(text("plates.thickness"), at("thickness"), {
      usual: () => plain(state.job.leather.thickness), hint: text("plates.thickness hint"),
    }),
    field(text("plates.on"), at("on"), { choices: () => grounds(n) }),
    rivetSides(n),
    field(text("plates.rivet"), at("rivet"), { hint: text("plates.rivet hint") }),
    usualField(text("plates.pitch"), at("pitch"), { usual: () => "30 mm", hint: text("plates.pitch hint") }),
    field(text("plates.punch"), at("punch"), {
      choices: ["two", "all", "none"].map((which) => [which, text(`plates.punch.${which}`)]),
      hint: text("plates.punch hint"),
    }),
    field(text("plates.name"), at("name")),
  ];
}

const signed = (degrees) => `${degrees}`.replace("-", "−");

function aroundWords(around) {
  if (around === "all") return text("plates.around all");
  const [from, to] = around;
  if (typeof from === "number" && typeof to === "number") {
    return text("plates.degrees", { from: signed(from), to: signed(to) });
  }
  return text("plates.between", { from: bearingWords(bearingOf(from)), to: bearingWords(bearingOf(to)) });
}

function plateWords({ curve, around, heights }) {
  if (curve.length) return text("plates.in outline");
  const round = aroundWords(around);
  const up = heights === "all" ? text("plates.heights all")
    : text("plates.between", { from: plain(heights[0]), to: plain(heights[1]) });
  return text("plates.region", { round, up });
}

function newPlate() {
  const names = new Set([...plates(), ...state.job.seam, ...state.job.dart].map(({ name }) => name));
  const number = [...Array(names.size + 1).keys()].find((k) => !names.has(text("plates.new", { number: k + 1 })));
  const [low, high] = reach();
  const quarter = (high - low) / 4;
  return {
    name: text("plates.new", { number: number + 1 }), around: [-WIDE, WIDE], heights: lengths(low + quarter, high - quarter),
  };
}

/** The question's parts. */
export const plateForms = [
  h("p", { class: "soft" }, text("plates.how")),
  entries(["plate"], {
    name: (n) => plates()[n].name,
    words: (n) => plateWords(plates()[n]),
    parts: plateParts,
    blank: newPlate,
    add: text("plates.add"),
    remove: text("plates.remove"),
  }),
  h("p", { class: "soft" }, text("lames.how")),
  lamesEntries,
];

/** The question's mark, and its answer in words. */
export function platesAnswer() {
  const { plate, lames } = state.job;
  if (!plate.length && !lames.length) return ["done", text("plates.none")];
  const rows = lames.map(({ name, count }) => text("lames.is", { name, count }));
  return ["done", [...plate.map(({ name }) => name), ...rows].join(", ")];
}
