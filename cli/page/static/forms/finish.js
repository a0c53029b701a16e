// How its edges are finished: lips, strips that are folded over or bound round, lines along them, and corners.

import { state } from "/static/requests.js";
import { field, plain, yesNo } from "/static/form.js";
import { group, numberField, onlyWhile, usualField } from "/static/fields.js";
import { text } from "/static/texts.js";

const WAYS = ["raw", "turned", "bound"];
const edges = (...path) => ["edges", ...path];
const none = (length) => !Number.parseFloat(length);
const flare = () => state.job.edges.flare;
const finish = () => state.job.edges.finish;
const lines = () => state.job.edges.lines;
const finished = (way) => () => finish().top === way || finish().bottom === way;
const ways = WAYS.map((way) => [way, text(`finish.way ${way}`)]);

export const finishParts = [
  group(text("finish.lips"),
    field(text("finish.lip top"), edges("flare", "top"), { hint: text("finish.lip hint") }),
    field(text("finish.lip bottom"), edges("flare", "bottom")),
    onlyWhile(() => !none(flare().top) || !none(flare().bottom),
      field(text("finish.lip depth"), edges("flare", "depth"), { hint: text("finish.lip depth hint") }))),
  group(text("finish.edges"),
    field(text("edges.top"), edges("finish", "top"), { choices: ways }),
    field(text("edges.bottom"), edges("finish", "bottom"), { choices: ways }),
    onlyWhile(finished("turned"), field(text("finish.turn"), edges("finish", "turn"))),
    onlyWhile(finished("turned"), field(text("finish.skived"), edges("finish", "skived"), {
      hint: text("finish.skived hint"),
    })),
    onlyWhile(finished("bound"), field(text("finish.binding"), edges("finish", "binding"))),
    onlyWhile(finished("bound"), field(text("finish.cover"), edges("finish", "cover"), {
      hint: text("finish.cover hint"),
    }))),
  group(text("finish.lines"),
    field(text("finish.border"), edges("lines", "border"), { hint: text("finish.lines hint") }),
    field(text("finish.stitch"), edges("lines", "stitch")),
    onlyWhile(() => !none(lines().stitch), numberField(text("stitches"), edges("lines", "stitches"), {
      hint: text("stitches hint"),
    })),
    onlyWhile(() => !none(lines().stitch), field(text("stitch hole"), edges("lines", "hole"))),
    field(text("finish.bevel"), edges("lines", "bevel"), { hint: text("finish.bevel hint") })),
  usualField(text("finish.corners"), ["piece", "corners"], { usual: "6 mm", hint: text("finish.corners hint") }),
  yesNo(text("finish.tooling"), ["piece", "tooling"], { hint: text("finish.tooling hint") }),
];

/** The question's mark, and its answer in words. */
export function finishAnswer() {
  const told = ["top", "bottom"].filter((name) => finish()[name] !== "raw")
    .map((name) => text(`finish.is ${finish()[name]} ${name}`));
  for (const name of ["top", "bottom"]) {
    if (!none(flare()[name])) told.push(text(`finish.lip is ${name}`, { amount: plain(flare()[name]) }));
  }
  for (const line of ["border", "stitch", "bevel"]) {
    if (!none(lines()[line])) told.push(text(`finish.is ${line}`, { amount: plain(lines()[line]) }));
  }
  const words = told.length ? told.join(", ") : text("finish.is raw");
  return ["done", words.slice(0, 1).toUpperCase() + words.slice(1)];
}
