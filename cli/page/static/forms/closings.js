// What holds a seam or a dart: its holes, its overlap and its straps, each asked only of the kind that has it.

import { field } from "/static/form.js";
import { choiceField, figureField, group, numberField, onlyWhile, setAt, usualField } from "/static/fields.js";
import { set, state } from "/static/requests.js";
import { bearingOf } from "/static/handles.js";
import { QUARTERS, sideName } from "/static/kinds.js";
import { text } from "/static/texts.js";

const PITCHES = { laced: "seam.holes", riveted: "seam.rivets", snapped: "seam.snaps" };
const USUAL_PITCH = { laced: "30 mm", riveted: "30 mm", snapped: "50 mm" };
const BESIDE = 0.1; // sine of the least angle between a seam and a side that leather beside it is named by

const millimetres = (length) => Number.parseFloat(length) || 0;

/** Whether leather lies on leather along a seam. */
function overlaps({ kind, overlap }) {
  return kind === "riveted" || kind === "snapped" || (kind === "stitched" && millimetres(overlap) > 0);
}

/** The sides whose leather lies beside a seam. */
function besides({ along }) {
  const bearing = Array.isArray(along) ? Number(along[0][0]) : bearingOf(along);
  return QUARTERS.filter((_, k) => Math.abs(Math.sin(((90 * k - bearing) * Math.PI) / 180)) >= BESIDE);
}

/** What holds seam `n` together: rows for its kind. */
export function seamClosing(n) {
  const at = (key) => ["seam", n, key];
  const seam = () => state.job.seam[n];
  const of = (...kinds) => () => kinds.includes(seam().kind);
  const sides = () => [
    ["auto", text("seam.side usual")],
    ...besides(seam()).map((quarter) => [quarter, text("seam.side", { side: sideName(quarter) })]),
  ];
  return group("",
    onlyWhile(of("laced", "strapped", "open"), field(
      () => text(seam().kind === "laced" ? "seam.lacing gap" : "seam.opening"), at("gap"),
      { hint: () => text(seam().kind === "open" ? "seam.slit hint" : "seam.gap hint") })),
    onlyWhile(of("riveted", "snapped", "stitched"), usualField(text("seam.overlap"), at("overlap"), {
      usual: () => (seam().kind === "stitched" ? text("seam.edge to edge") : "22 mm"), hint: text("seam.overlap hint"),
    })),
    onlyWhile(() => overlaps(seam()), field(text("seam.on top"), at("on_top"), { choices: sides })),
    onlyWhile(() => overlaps(seam()) && seam().kind !== "snapped", figureField(
      [text("seam.skive"), text("seam.skived to")], at("skive"), {
        choices: [["no", text("seam.skive.no")], ["auto", text("seam.skive.half")]],
        first: () => "1.5 mm", hint: text("seam.skived hint"),
      })),
    onlyWhile(of("laced"), field(text("seam.eyelets"), at("eyelet"), { hint: text("seam.eyelets hint") })),
    onlyWhile(of("strapped"), straps(n)),
    onlyWhile(() => seam().kind === "riveted" || (seam().kind === "strapped" && seam().hold === "rivets"),
      field(text("seam.rivet"), at("rivet"), { hint: text("seam.rivet hint") })),
    onlyWhile(of("snapped"), field(text("seam.snap"), at("snap"), { hint: text("seam.snap hint") })),
    onlyWhile(() => seam().kind in PITCHES, usualField(() => text(PITCHES[seam().kind] ?? "seam.holes"), at("pitch"), {
      usual: () => USUAL_PITCH[seam().kind],
    })),
    onlyWhile(of("stitched"), stitches(at)));
}

/** The holes of stitches. */
export function stitches(at) {
  return group("",
    numberField(text("stitches"), at("stitches"), { hint: text("stitches hint") }),
    field(text("stitch hole"), at("stitch"), { hint: text("stitch hole hint") }));
}

function straps(n) {
  const at = (key) => ["seam", n, key];
  const seam = () => state.job.seam[n];
  const way = () => {
    if (seam().straps !== "auto") return "number";
    if (seam().at.length) return "heights";
    return seam().pitch === "auto" ? "usual" : "apart";
  };
  const placing = choiceField(text("straps.placed"),
    ["usual", "number", "apart", "heights"].map((one) => [one, text(`straps.placed.${one}`)]), {
      now: way,
      paths: ["straps", "at", "pitch"].map(at),
      take: (chosen) => {
        if (chosen === "number") return setAt(at("straps"), 3);
        if (chosen === "apart") return setAt(at("pitch"), "80 mm");
        if (chosen === "heights") return setAt(at("at"), twoHeights());
        return set([[at("straps"), "auto"], [at("at"), []], [at("pitch"), "auto"]]);
      },
    });
  const sides = () => [
    ["auto", text("seam.side usual")],
    ...besides(seam()).map((quarter) => [quarter, text("seam.side", { side: sideName(quarter) })]),
  ];
  return group("",
    field(text("straps.width"), at("strap"), { hint: text("straps.width hint") }),
    placing,
    onlyWhile(() => way() === "number", numberField(text("straps.number"), at("straps"))),
    onlyWhile(() => way() === "apart", field(text("straps.apart"), at("pitch"))),
    onlyWhile(() => way() === "heights", field(text("straps.heights"), at("at"), {
      hint: text("straps.heights hint"),
      read: (value) => value.join(", "),
      write: (written) => written.split(/[,;]/).map((part) => part.trim()).filter(Boolean),
    })),
    field(text("straps.held"), at("hold"), {
      choices: [["rivets", text("straps.held.rivets")], ["slots", text("straps.held.slots")]],
    }),
    field(text("straps.buckles"), at("buckles"), { choices: sides }));
}

/** Heights for two straps: a quarter of the leather's length inside either edge. */
function twoHeights() {
  const middle = (name) => {
    const { handles } = state.curves[name];
    return handles.reduce((sum, { height }) => sum + height, 0) / handles.length;
  };
  const [low, high] = [middle("bottom"), middle("top")];
  return [0.25, 0.75].map((share) => `${Math.round(low + share * (high - low))} mm`);
}
