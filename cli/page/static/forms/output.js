// What is taken away: every file that the job makes, and how files are made.

import { companionButton } from "/static/companion.js";
import { button, h } from "/static/dom.js";
import { field, yesNo } from "/static/form.js";
import { numberField, onlyWhile } from "/static/fields.js";
import { folded } from "/static/forms/entries.js";
import { attempt } from "/static/messages.js";
import { set, state } from "/static/requests.js";
import { text } from "/static/texts.js";

const ALWAYS = ["pattern.pdf", "pattern.dxf", "pattern.svg", "report.html", "job.toml", "calfskin.zip"];
const KINDS = [ // what files beside those are, by how their names begin and end
  [/^mockup\.pdf$/, "mockup.pdf"], [/^mockup\.dxf$/, "mockup.dxf"], [/^fitting\.pdf$/, "fitting.pdf"],
  [/^former-ribs.*\.pdf$/, "ribs.pdf"], [/^former-ribs.*\.dxf$/, "ribs.dxf"], [/^former.*\.stl$/, "printed.stl"],
  [/^field\.pdf$/, "field.pdf"], [/^field\.svg$/, "field.svg"], [/^tooling\.pdf$/, "tooling.pdf"],
  [/^layout.*\.dxf$/, "layout.dxf"], [/^layout.*\.svg$/, "layout.svg"], [/^report\.json$/, "report.json"],
];

function link(name, words, use) {
  return h("li", {}, h("a", { href: `/take/${name}`, download: name, "data-file": name }, words),
    h("span", { class: "hint" }, use));
}

/** A file beside those that every job has: what it is, and its own name where there are several of its kind. */
function besideLink(name, names) {
  const [pattern, kind] = KINDS.find(([one]) => one.test(name));
  const alike = names.filter((other) => pattern.test(other)).length;
  const words = alike > 1 ? text("file named", { what: text(`files.${kind}`), name }) : text(`files.${kind}`);
  return link(name, words, text(`files.${kind} for`));
}

const list = h("ul", { class: "files" },
  ...ALWAYS.map((name) => link(name, text(`files.${name}`), text(`files.${name} for`))));
let beside = "";

/** All files that the job makes. */
export const filesList = list;
filesList.show = () => {
  const ready = state.made?.current ?? false;
  const names = (state.made?.files ?? []).filter((name) => !ALWAYS.includes(name));
  if (beside !== names.join()) {
    beside = names.join();
    for (const old of list.querySelectorAll("[data-beside]")) old.remove();
    const before = list.querySelector("[data-file='job.toml']").parentElement;
    for (const name of names) {
      const item = besideLink(name, names);
      item.setAttribute("data-beside", "");
      before.before(item);
    }
  }
  for (const one of list.querySelectorAll("a")) {
    const open = ready || one.dataset.file === "job.toml";
    if (open) one.setAttribute("href", `/take/${one.dataset.file}`);
    else one.removeAttribute("href");
    one.setAttribute("aria-disabled", String(!open));
  }
};

const prices = h("p", { class: "actions" }, h("span", {}),
  button(text("output.no prices"), () => attempt(() => set([[["shop", "prices"], ""]]))));
prices.show = () => {
  prices.firstElementChild.textContent = text("output.prices", { file: state.job.shop.prices });
};
const bringPrices = companionButton(
  () => text(state.job.shop.prices ? "output.other prices" : "output.bring prices"), ["shop", "prices"],
  { accept: ".toml", hint: text("output.prices hint") });

/** How the files are made. */
export const outputForms = folded(text("output"), () => {
  const { paper, mesh } = state.job.output;
  return `${text(`output.paper.${paper}`)}, ${text(`output.mesh.${mesh}`)}`;
},
field(text("files.paper"), ["output", "paper"], {
  choices: () => state.offered.papers.map((paper) => [paper, text(`output.paper.${paper}`)]),
}),
field(text("output.edge"), ["output", "printer_edge"], { hint: text("output.edge hint") }),
yesNo(text("output.record"), ["output", "fitting_record"], { hint: text("output.record hint") }),
field(text("output.kerf"), ["output", "kerf", "cut"], { hint: text("output.kerf hint") }),
field(text("output.kerf holes"), ["output", "kerf", "holes"], { hint: text("output.kerf holes hint") }),
field(text("output.dxf"), ["output", "dxf"], {
  choices: () => state.offered.dxf.map((version) => [version, text(`output.dxf.${version}`)]),
}),
field(text("output.mesh"), ["output", "mesh"], {
  choices: ["fine", "quick"].map((mesh) => [mesh, text(`output.mesh.${mesh}`)]), hint: text("output.mesh hint"),
}),
yesNo(text("output.bound"), ["output", "bound"], { hint: text("output.bound hint") }),
yesNo(text("output.advice"), ["output", "advice"], { hint: text("output.advice hint") }),
numberField(text("output.hours"), ["shop", "hours"], { hint: text("output.hours hint") }),
onlyWhile(() => Boolean(state.job.shop.prices), prices), bringPrices);

/** The page for measuring somebody who is far away. */
export const cardLink = h("p", {}, h("a", { href: "/card", download: "measuring-card.pdf" }, text("card")), " ",
  h("span", { class: "hint" }, text("card for")));
