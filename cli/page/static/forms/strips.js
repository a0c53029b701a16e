// A strip test as a form: what was read of each strip, kept as the file that calfskin leather reads.

import { button, h } from "/static/dom.js";
import { RefusedError, post, state } from "/static/requests.js";
import { folded } from "/static/forms/entries.js";
import { clearError } from "/static/messages.js";
import { text } from "/static/texts.js";

const OF_ALL = ["load", "width", "thickness"];
const READINGS = ["L0", "L1", "L2", "L3", "L4"];
const USUAL = { load: "10 kg", width: "20 mm", thickness: "" };

const heads = OF_ALL.map((name) => h("input", { type: "text", id: `strips-${name}`, autocomplete: "off" }));
const rows = h("tbody");
const wrong = h("p", { class: "wrong" });
let shown = "";
let touched = false;

function row(strip) {
  const number = rows.children.length + 1;
  const way = h("select", { "aria-label": text("strip grain of", { number }) },
    ...["along", "across"].map((one) => h("option", { value: one }, text(`strips.${one}`))));
  way.value = strip.direction || "along";
  const cells = READINGS.map((name) => h("input", {
    type: "text", autocomplete: "off", value: strip[name] ?? "", "aria-label": text("strip reading of", { name, number }),
  }));
  return h("tr", {}, h("th", { scope: "row" }, `${number}`), ...[way, ...cells].map((one) => h("td", {}, one)));
}

function take(readings) {
  OF_ALL.forEach((name, k) => { heads[k].value = readings?.[name] ?? USUAL[name]; });
  const strips = readings?.strip ?? ["along", "along", "along", "across", "across", "across"].map(
    (direction) => ({ direction }));
  rows.replaceChildren();
  for (const strip of strips) rows.append(row(strip));
}

/** What stands in the form; a strip of which nothing was read is left out. */
function written() {
  const strip = [...rows.children].map((line) => {
    const [way, ...cells] = line.querySelectorAll("select, input");
    return { direction: way.value, ...Object.fromEntries(READINGS.map((name, k) => [name, cells[k].value.trim()])) };
  }).filter((one) => READINGS.some((name) => one[name]));
  const more = state.offered.readings ?? {};
  return { ...more, ...Object.fromEntries(OF_ALL.map((name, k) => [name, heads[k].value.trim()])), strip };
}

async function keep() {
  try {
    await post("/readings", JSON.stringify(written()));
    touched = false;
    wrong.remove();
    clearError();
    form.show();
  } catch (error) {
    if (!(error instanceof RefusedError)) throw error;
    wrong.remove();
    wrong.setAttribute("role", "alert");
    wrong.textContent = error.message;
    form.append(wrong);
  }
}

const form = h("form", { class: "fields strips", onsubmit: (event) => { event.preventDefault(); keep(); } },
  h("p", { class: "soft" }, text("strips.how"), " ",
    h("a", { href: "/strip-sheet", download: "strip-test.pdf" }, text("strips.sheet"))),
  ...OF_ALL.map((name, k) => h("p", { class: "field" }, h("label", { for: heads[k].id }, text(`strips.${name}`)), heads[k])),
  h("div", { class: "wide" }, h("table", {},
    h("caption", {}, text("strips.table")),
    h("thead", {}, h("tr", {}, ...["strips.strip", "strips.grain"].map((key) => h("th", { scope: "col" }, text(key))),
      ...READINGS.map((name) => h("th", { scope: "col" }, text(`strips.${name}`))))),
    rows)),
  h("p", { class: "actions" },
    h("button", { type: "submit" }, text("strips.keep")),
    button(text("strips.add"), () => {
      rows.append(row({}));
      rows.lastElementChild.querySelector("select").focus();
    })));
form.addEventListener("input", () => { touched = true; });
form.addEventListener("keydown", (event) => {
  if (event.key !== "Escape" || !touched) return;
  event.stopPropagation();
  touched = false;
  wrong.remove();
  take(state.offered.readings);
});
form.show = () => {
  const now = JSON.stringify(state.offered.readings);
  if (touched || now === shown) return;
  shown = now;
  take(state.offered.readings);
};

/** The strip test: folded, with what stands. */
export const stripForm = folded(text("strips"), () => {
  const count = state.offered.readings?.strip.length ?? 0;
  return count ? text("strips read", { count }) : text("strips unread");
}, form);
