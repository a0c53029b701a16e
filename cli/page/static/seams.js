// Where it opens: every seam with its name, its line and its kind.

import { post, set, state } from "/static/requests.js";
import { button, h } from "/static/dom.js";
import { field, plain } from "/static/form.js";
import { seamClosing } from "/static/forms/closings.js";
import { bearingOf, bearingWords, jobPoints } from "/static/handles.js";
import { QUARTERS, sideName } from "/static/kinds.js";
import { pickSeam } from "/static/pick.js";
import { showError, attempt } from "/static/messages.js";
import { text } from "/static/texts.js";

const KINDS = ["laced", "strapped", "open", "snapped", "stitched", "riveted"];

/** One form for each seam of the job. */
export const seamForms = h("div", { class: "seams" });

seamForms.show = () => {
  const { seam: seams } = state.job;
  while (seamForms.children.length > seams.length) seamForms.lastElementChild.remove();
  while (seamForms.children.length < seams.length) {
    const form = seamForm(seamForms.children.length);
    form.open = seams.length === 1 || Boolean(seamForms.children.length);
    seamForms.append(form);
  }
  seamForms.classList.toggle("single", seams.length === 1);
  if (seams.length === 1) seamForms.firstElementChild.open = true;
  for (const form of seamForms.children) form.show();
};

/** The button for one seam more. */
export const addSeam = h("p", { class: "actions" },
  button(text("seam.add"), () => attempt(() => post("/do/add-seam")), { id: "add-seam" }));

/** The question's mark, and its answer in words. */
export function seamsAnswer() {
  return ["done", state.job.seam.map(seamWords).map((words, n) => (n ? words : capital(words))).join("; ")];
}

const capital = (words) => words.slice(0, 1).toUpperCase() + words.slice(1);

function seamWords({ along, kind, gap }) {
  return text(`seam.is ${kind}`, { line: lineWords(along), gap: plain(gap) });
}

function lineWords(along) {
  if (Array.isArray(along)) return text("seam.line own");
  if (typeof along === "number") return text("seam.line bearing", { bearing: bearingWords(along) });
  return text("seam.line side", { side: sideName(along) });
}

function seamForm(n) {
  const at = (key) => ["seam", n, key];
  const seam = () => state.job.seam[n];
  const title = h("strong");
  const words = h("span");
  const parts = [
    wayOf(n),
    placeField(n),
    pointsTable(n),
    field(text("seam.kind"), at("kind"), { choices: KINDS.map((kind) => [kind, text(`seam.kind.${kind}`)]) }),
    seamClosing(n),
    field(text("seam.name"), at("name")),
    h("p", { class: "actions" }, button(text("seam.remove"), () => attempt(() => post(`/do/remove-seam?seam=${n}`)))),
  ];
  const summary = h("summary", {}, title, " ", words);
  const form = h("details", { class: "seam", "data-seam": n }, summary, h("div", { class: "parts" }, ...parts));
  form.show = () => {
    title.textContent = capital(seam().name);
    words.textContent = seamWords(seam());
    parts.at(-1).hidden = state.job.seam.length === 1;
    for (const part of parts) part.show?.();
  };
  return form;
}

/** The ways to draw its line on the limb. */
function wayOf(n) {
  const click = button(text("seam.click"), () => pickSeam(n), { class: "pick-seam" });
  const add = button(text("seam.add point"), () => addPoint(n), { class: "add-point" });
  const ways = h("p", { class: "actions" }, click, add);
  ways.show = () => {
    click.disabled = !state.worn;
    add.hidden = !Array.isArray(state.job.seam[n].along);
  };
  return ways;
}

function placeField(n) {
  const row = field(text("seam.along"), ["seam", n, "along"], {
    choices: [...QUARTERS, "bearing", "own"].map((value) => [value, value]),
    read: (value) => (typeof value === "string" ? value : typeof value === "number" ? "bearing" : "own"),
    write: (value) => (value === "own" ? straightLine(n) : value === "bearing" ? bearing(n) : value),
  });
  const { show } = row;
  row.show = () => {
    const options = [...row.input.options];
    QUARTERS.forEach((quarter, k) => {
      options[k].textContent = text("seam.along side", { side: sideName(quarter) });
    });
    options[4].textContent = text("seam.along bearing", { bearing: bearingWords(bearing(n)) });
    options[4].hidden = typeof state.job.seam[n].along !== "number";
    options[5].textContent = text("seam.along own");
    row.input.disabled = !state.curves;
    show();
  };
  return row;
}

function bearing(n) {
  const { along } = state.job.seam[n];
  return Array.isArray(along) ? Math.round(along[0][0]) : bearingOf(along);
}

function straightLine(n) {
  const { bottom, top } = state.curves;
  const heights = [...bottom.handles, ...top.handles].map((handle) => handle.height);
  return jobPoints([Math.min(...heights), Math.max(...heights)].map((height) => ({ bearing: bearing(n), height })));
}

/** The points of a drawn line as figures. */
function pointsTable(n) {
  const table = h("div", { class: "points" });
  table.show = () => {
    const { along } = state.job.seam[n];
    table.hidden = !Array.isArray(along);
    if (table.hidden || table.contains(document.activeElement)) return;
    const heads = ["seam.point", "seam.from front", "seam.height"].map((key) => h("th", { scope: "col" }, text(key)));
    const rows = along.map((point, k) => pointRow(n, k, point));
    table.replaceChildren(h("table", {}, h("thead", {}, h("tr", {}, ...heads)), h("tbody", {}, ...rows)));
  };
  return table;
}

function pointRow(n, k, [degrees, height]) {
  const number = k + 1;
  const shown = `${Number(degrees)}°`;
  const across = h("input", { type: "text", value: shown, "aria-label": text("seam.point degrees", { number }) });
  const up = h("input", { type: "text", value: height, "aria-label": text("seam.point height", { number }) });
  const putBack = () => {
    across.value = shown;
    up.value = height;
  };
  const take = () => {
    const turned = Number(across.value.replace("°", ""));
    if (Number.isNaN(turned)) {
      showError(text("seam.no degrees", { text: across.value }));
      putBack();
      return;
    }
    const points = state.job.seam[n].along.map((point, i) => (i === k ? [turned, up.value] : point));
    attempt(() => set([[["seam", n, "along"], points]]), putBack);
  };
  across.addEventListener("change", take);
  up.addEventListener("change", take);
  return h("tr", {}, h("th", { scope: "row" }, `${number}`), h("td", {}, across), h("td", {}, up));
}

/** One point more, in the middle of the longest part of a drawn line. */
function addPoint(n) {
  const points = state.job.seam[n].along.map(
    ([degrees, height]) => ({ bearing: Number(degrees), height: Number.parseFloat(height) }));
  const gaps = points.slice(1).map((point, k) => point.height - points[k].height);
  const k = gaps.indexOf(Math.max(...gaps));
  const [below, above] = [points[k], points[k + 1]];
  points.splice(k + 1, 0, { bearing: (below.bearing + above.bearing) / 2, height: (below.height + above.height) / 2 });
  attempt(() => set([[["seam", n, "along"], jobPoints(points)]]));
}
