// What it is formed on: a former to print, or ribs to cut from board.

import { h } from "/static/dom.js";
import { field } from "/static/form.js";
import { figureField, group, numberField, onlyWhile } from "/static/fields.js";
import { state } from "/static/requests.js";
import { text } from "/static/texts.js";

const at = (...keys) => ["former", ...keys];
const kind = () => state.job.former.kind;
const printed = () => kind() === "print" || kind() === "both";
const ribbed = () => kind() === "ribs" || kind() === "both";

/** The question's parts. */
export const formerForms = [
  field(text("former.kind"), at("kind"), {
    choices: ["none", "print", "ribs", "both"].map((one) => [one, text(`former.kind.${one}`)]),
    hint: text("former.kind hint"),
  }),
  onlyWhile(() => kind() !== "none", group("",
    field(text("former.past"), at("past"), { hint: text("former.past hint") }),
    field(text("former.springback"), at("springback"), { hint: text("former.springback hint") }))),
  onlyWhile(printed, group(text("former.printing"),
    figureField([text("former.wall"), text("former.wall own")], at("wall"), {
      choices: [["solid", text("former.solid")]], first: () => "8 mm", hint: text("former.wall hint"),
    }),
    field(text("former.bed width"), at("bed", 0), { hint: text("former.bed hint") }),
    field(text("former.bed depth"), at("bed", 1)),
    field(text("former.bed height"), at("bed", 2)),
    field(text("former.clearance"), at("clearance"), { hint: text("former.clearance hint") }))),
  onlyWhile(ribbed, group(text("former.ribs"),
    field(text("former.board"), at("board"), { hint: text("former.board hint") }),
    field(text("former.every"), at("every"), { hint: text("former.every hint") }),
    numberField(text("former.spines"), at("spines"), { hint: text("former.spines hint") }),
    field(text("former.play"), at("play"), { hint: text("former.play hint") }),
    field(text("former.cover"), at("cover"), { hint: text("former.cover hint") }))),
  h("p", { class: "soft" }, text("former.how")),
];

/** The question's mark, and its answer in words. */
export function formerAnswer() {
  return ["done", text(`former.is ${kind()}`)];
}
