// Where it ends: either edge as is usual, by a shape of the trade, by heights, or through points of its own.

import { post, state } from "/static/requests.js";
import { button, h } from "/static/dom.js";
import { field } from "/static/form.js";
import { choiceField, group, onlyWhile, usualField } from "/static/fields.js";
import { bearingWords } from "/static/handles.js";
import { QUARTERS, sideName, zeroName } from "/static/kinds.js";
import { attempt } from "/static/messages.js";
import { pickEdgePoint } from "/static/pick.js";
import { text } from "/static/texts.js";

const WAYS = ["auto", "straight", "swept", "arched", "heights", "points"];
const BY = { swept: "60 mm", arched: "20 mm" }; // what a shape goes by where nobody says

/** The forms of both edges. */
export const edgeForms = ["top", "bottom"].map(edgeForm);

function edgeForm(name) {
  const at = (key) => ["edges", name, key];
  const edge = () => state.job.edges[name];
  const way = () => {
    if (edge().points.length) return "points";
    if (edge().shape !== "auto") return edge().shape;
    return QUARTERS.some((quarter) => edge()[quarter] !== "auto") ? "heights" : "auto";
  };
  const telling = choiceField(text("edges.way"), WAYS.map((one) => [one, text(`edges.way.${one}`)]), {
    now: way,
    paths: [["edges", name]],
    take: (chosen) => post(`/do/tell-edge?edge=${name}&way=${chosen}`),
  });
  const shaped = (...shapes) => () => shapes.includes(way());
  const height = onlyWhile(shaped("straight", "swept", "arched"), usualField(
    () => text(`edges.height ${way()}`), at("height"), { usual: () => text("edges.usual height") }));
  const by = onlyWhile(shaped("swept", "arched"), usualField(
    () => text(`edges.by ${way()}`), at("by"), { usual: () => BY[way()] }));
  return group(text(name === "top" ? "edges.top" : "edges.bottom"),
    telling, height, by, sideHeights(name, way), onlyWhile(() => way() === "points", pointsOf(name)));
}

/** The heights at the four sides. */
function sideHeights(name, way) {
  const fields = QUARTERS.map((quarter) => {
    const row = usualField(() => sideName(quarter), ["edges", name, quarter], {
      usual: () => edgeHeight(name, quarter),
    });
    const { show } = row;
    row.show = () => {
      row.classList.toggle("usual", state.job.edges[name][quarter] === "auto");
      show();
    };
    return row;
  });
  const four = h("div", { class: "four" }, ...fields);
  const hint = h("p", { class: "hint" });
  const box = group("", hint, four);
  box.show = () => {
    const own = QUARTERS.some((quarter) => state.job.edges[name][quarter] !== "auto");
    box.hidden = way() === "points" || (way() !== "auto" && !own);
    hint.textContent = text("edges.sides", { zero: zeroName() });
    for (const row of fields) row.show();
  };
  return box;
}

function edgeHeight(name, quarter) {
  const handle = state.curves?.[name].handles.find((one) => one.quarter === quarter);
  return handle ? `${Number(handle.height.toFixed(1))} mm` : text("edges.usual height");
}

/** The points of an edge as figures, each of which can be taken away, and the ways to one more. */
function pointsOf(name) {
  const list = h("div", { class: "fields" });
  const click = button(text("edges.click"), () => pickEdgePoint(name), { "data-pick-edge": name });
  const between = button(text("edges.point between"), () => attempt(() => pointBetween(name)));
  const box = h("div", { class: "fields" }, list, h("p", { class: "actions" }, click, between));
  let known = -1;
  box.show = () => {
    click.disabled = between.disabled = !state.curves;
    const { points } = state.job.edges[name];
    if (known !== points.length) list.replaceChildren(...points.map((_, n) => pointRow(name, n)));
    known = points.length;
    for (const row of list.children) row.show();
  };
  return box;
}

function pointRow(name, n) {
  const path = ["edges", name, "points"];
  const points = () => state.job.edges[name].points;
  const row = field(() => bearingWords(points()[n][0]), path, {
    read: (all) => all[n]?.[1] ?? "",
    write: (height) => points().map((point, k) => (k === n ? [point[0], height] : point)),
  });
  const away = button("×", () => attempt(() => post(`/do/remove-edge-point?edge=${name}&point=${n}`)), {
    class: "away",
  });
  const { show } = row;
  row.classList.add("with-button");
  row.append(away);
  row.show = () => {
    show();
    away.hidden = points().length < 3;
    away.setAttribute("aria-label", text("edges.point away", { place: bearingWords(points()[n][0]) }));
  };
  return row;
}

/** One point more, on the edge as it is, in the middle of the widest stretch between two. */
function pointBetween(name) {
  const turns = state.curves[name].handles.map(({ bearing }) => bearing);
  const gaps = turns.map((turn, n) => (n + 1 < turns.length ? turns[n + 1] : turns[0] + 360) - turn);
  const n = gaps.indexOf(Math.max(...gaps));
  const bearing = (turns[n] + gaps[n] / 2) % 360;
  const { points } = state.curves[name]; // once round the limb from the front, the last as the first
  const height = points[Math.round((bearing / 360) * (points.length - 1))][2];
  return post(`/do/add-edge-point?edge=${name}&bearing=${bearing.toFixed(2)}&height=${height.toFixed(1)}`);
}
