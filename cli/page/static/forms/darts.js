// Darts and slashes: set by pointing at the limb, and each with its form.

import { post, state } from "/static/requests.js";
import { button, h } from "/static/dom.js";
import { field, plain } from "/static/form.js";
import { choiceField, onlyWhile, setAt, usualField } from "/static/fields.js";
import { stitches } from "/static/forms/closings.js";
import { bearingOf, bearingWords } from "/static/handles.js";
import { QUARTERS, sideName } from "/static/kinds.js";
import { attempt } from "/static/messages.js";
import { pickDart } from "/static/pick.js";
import { text } from "/static/texts.js";

const words = h("p", { class: "soft" }, text("darts.how"));
const click = button(text("darts.click"), () => pickDart(), { id: "pick-dart" });
const actions = h("p", { class: "actions" }, click);
actions.show = () => { click.disabled = !state.worn; };

/** One form for each dart of the job. */
const forms = h("div", { class: "seams" });
forms.show = () => {
  const { dart: darts } = state.job;
  while (forms.children.length > darts.length) forms.lastElementChild.remove();
  while (forms.children.length < darts.length) {
    const form = dartForm(forms.children.length);
    form.open = true;
    forms.append(form);
  }
  for (const form of forms.children) form.show();
};

export const dartParts = [words, actions, forms];

/** The question's mark, and its answer in words. */
export function dartsAnswer() {
  const { dart: darts } = state.job;
  if (!darts.length) return ["done", text("darts.none")];
  return ["done", darts.map((dart, n) => (n ? dartWords(dart) : capital(dartWords(dart)))).join("; ")];
}

const capital = (said) => said.slice(0, 1).toUpperCase() + said.slice(1);

function dartWords({ kind, edge, along, depth, opening }) {
  const place = bearingWords(bearingOf(along));
  return text(`darts.is ${kind} ${edge}`, { place, depth: plain(depth), opening: plain(opening) });
}

function placeWords({ along, depth }) {
  return text("darts.lies", { place: bearingWords(bearingOf(along)), depth: plain(depth) });
}

function dartForm(n) {
  const at = (key) => ["dart", n, key];
  const dart = () => state.job.dart[n];
  const joined = () => (dart().close !== "auto" ? dart().close : dart().kind === "dart" ? "stitched" : "open");
  const rows = [
    field(text("darts.kind"), at("kind"), {
      choices: [["dart", text("darts.kind.dart")], ["slash", text("darts.kind.slash")]],
    }),
    field(text("darts.edge"), at("edge"), {
      choices: [["top", text("darts.edge.top")], ["bottom", text("darts.edge.bottom")]],
    }),
    choiceField(text("darts.along"), () => [
      ...QUARTERS.map((quarter) => [quarter, text("seam.along side", { side: sideName(quarter) })]),
      ["bearing", text("darts.along bearing")],
    ], {
      now: () => (typeof dart().along === "number" ? "bearing" : dart().along),
      paths: [at("along")],
      take: (chosen) => setAt(at("along"), chosen === "bearing" ? bearingOf(dart().along) + 1 : chosen),
    }),
    onlyWhile(() => typeof dart().along === "number", field(text("darts.degrees"), at("along"), {
      hint: () => text("darts.degrees hint", { next: sideName("outside"), across: sideName("back") }),
      read: (value) => `${value}°`,
      write: (written) => {
        const degrees = Number(written.replace("°", ""));
        return written && Number.isFinite(degrees) ? degrees : written;
      },
    })),
    field(text("darts.depth"), at("depth"), { hint: text("darts.depth hint") }),
    onlyWhile(() => dart().kind === "slash", field(text("darts.opening"), at("opening"), {
      hint: text("darts.opening hint"),
    })),
    choiceField(text("darts.close"), ["stitched", "riveted", "open"].map((one) => [one, text(`darts.close.${one}`)]), {
      now: joined,
      paths: [at("close"), at("kind")],
      take: (chosen) => setAt(at("close"), chosen),
    }),
    onlyWhile(() => joined() === "stitched", stitches(at)),
    onlyWhile(() => joined() === "riveted", field(text("seam.rivet"), at("rivet"), { hint: text("seam.rivet hint") })),
    onlyWhile(() => joined() === "riveted", usualField(text("seam.rivets"), at("pitch"), { usual: "30 mm" })),
    field(text("darts.stop"), at("stop"), { hint: text("darts.stop hint") }),
    field(text("darts.name"), at("name")),
    h("p", { class: "actions" }, button(text("darts.remove"), () => attempt(() => post(`/do/remove-dart?dart=${n}`)), {
      class: "remove-dart",
    })),
  ];
  const title = h("strong");
  const told = h("span");
  const form = h("details", { class: "seam", "data-dart": n },
    h("summary", {}, title, " ", told), h("div", { class: "parts" }, ...rows));
  form.show = () => {
    title.textContent = capital(dart().name);
    told.textContent = placeWords(dart());
    for (const row of rows) row.show?.();
  };
  return form;
}
