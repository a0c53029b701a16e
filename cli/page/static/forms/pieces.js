// What is cut: one limb's piece or a pair's, as the limb is or in two equal halves, and what its label calls it.

import { companionButton } from "/static/companion.js";
import { state } from "/static/requests.js";
import { field, yesNo } from "/static/form.js";
import { choiceField, onlyWhile, setAt } from "/static/fields.js";
import { text } from "/static/texts.js";

const SCANNED = ["own scan", "mean"]; // a pair of which each limb has a scan
const UNITS = ["auto", "mm", "cm", "m", "in"];
const bothScanned = () => Boolean(state.job.other_scan.file);

export const pieceParts = [
  field(text("pieces.pair"), ["piece", "pair"], {
    choices: () => ["no", "mirrored", ...(bothScanned() ? SCANNED : [])]
      .map((pair) => [pair, text(`pieces.pair.${pair}`)]),
    hint: text("pieces.pair hint"),
  }),
  companionButton(() => text(bothScanned() ? "pieces.other again" : "pieces.other"), ["other_scan", "file"], {
    accept: ".obj,.ply,.stl,.glb,.gltf,.xyz,.zip,.usdz,.usdc,.usda", hint: text("pieces.other hint"),
  }),
  onlyWhile(bothScanned, field(text("pieces.other unit"), ["other_scan", "unit"], {
    choices: UNITS.map((unit) => [unit, unit === "auto" ? text("pieces.other unit auto") : unit]),
    hint: () => text("pieces.other file", { file: state.job.other_scan.file }),
  })),
  field(text("pieces.symmetry"), ["piece", "symmetry"], {
    choices: ["own shape", "centre line"].map((one) => [one, text(`pieces.symmetry.${one}`)]),
    hint: text("pieces.symmetry hint"),
  }),
  field(text("pieces.name"), ["piece", "name"], { hint: text("pieces.name hint") }),
];

/** The question's mark, and its answer in words. */
export function piecesAnswer() {
  const { pair, symmetry } = state.job.piece;
  return ["done", `${text(`pieces.is ${pair}`)}, ${text(`pieces.is ${symmetry}`)}`];
}

const leather = () => state.job.leather;
const lost = () => (typeof leather().hardening === "string" ? leather().hardening : "own");

/** Whether the leather is hardened, and by how much its pieces are cut larger for it. */
export const hardeningParts = [
  yesNo(text("hardened"), ["leather", "hardened"], { hint: text("hardened hint") }),
  onlyWhile(() => leather().hardened, choiceField(text("hardening"), () => [
    ["none", text("hardening.none")],
    ...(state.strips.name ? [["as strips shrank", text("hardening.strips")]] : []),
    ["share", text("hardening.share")],
    ["own", text("hardening.own")],
  ], {
    now: () => (/%$/.test(lost()) ? "share" : lost()),
    paths: [["leather", "hardening"]],
    take: (chosen) => setAt(["leather", "hardening"],
      { share: "5 %", own: { along: "5 %", across: "4 %" } }[chosen] ?? chosen),
  })),
  onlyWhile(() => leather().hardened && /%$/.test(lost()),
    field(text("hardening.lost"), ["leather", "hardening"], { hint: text("hardening hint") })),
  ...["along", "across"].map((way) => onlyWhile(() => leather().hardened && lost() === "own",
    field(text(`hardening.lost ${way}`), ["leather", "hardening", way]))),
];
