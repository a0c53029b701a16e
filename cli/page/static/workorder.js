// The work order: the questions of the job, in the order in which a maker would ask them.

import { post, set, state } from "/static/requests.js";
import { button, byId, fill, h } from "/static/dom.js";
import { complaint, field, plain } from "/static/form.js";
import { QUARTERS, sideName, tapePlace, wantedKind } from "/static/kinds.js";
import { pickFront, pickJoint, pickLimb } from "/static/pick.js";
import { dartParts, dartsAnswer } from "/static/forms/darts.js";
import { edgeForms } from "/static/forms/edges.js";
import { finishAnswer, finishParts } from "/static/forms/finish.js";
import { hardeningParts, pieceParts, piecesAnswer } from "/static/forms/pieces.js";
import { formerAnswer, formerForms } from "/static/forms/former.js";
import { hideForms, hidesAnswer } from "/static/forms/hides.js";
import { bodyForms, liningForms, overField } from "/static/forms/layers.js";
import { cardLink, filesList, outputForms } from "/static/forms/output.js";
import { ornamentAnswer, ornamentForms } from "/static/forms/ornament.js";
import { plateForms, platesAnswer } from "/static/forms/plates.js";
import { stripForm } from "/static/forms/strips.js";
import { moreTapes } from "/static/forms/tapes.js";
import { tryOnAnswer, tryOnForms } from "/static/forms/tryon.js";
import { linksTo, question, showQuestions, unsettled } from "/static/question.js";
import { addSeam, seamForms, seamsAnswer } from "/static/seams.js";
import { mm, attempt } from "/static/messages.js";
import { text, textParts } from "/static/texts.js";

function girthNamed(name) {
  return state.limb?.girths.find((girth) => girth.name === name);
}

// Which scan?

const scanWords = h("ul", { class: "facts" });
question("scan", [
  scanWords,
  h("p", { class: "actions" },
    button(text("choose.scan"), () => byId("scan-file").click()),
    button(text("choose.demo"), () => attempt(() => post("/do/demo"))),
    button(text("choose.job"), () => byId("job-file").click())),
  overField, cardLink,
], () => {
  if (state.awaited) return ["open", text("scan.awaited", { file: state.awaited })];
  if (!state.scan_name) return ["open", text(state.receiving ? "scan.arriving" : "scan.drop")];
  return [state.limb ? "done" : "open", [state.scan_name, scanSize()].filter(Boolean).join(", ")];
});

function scanSize() {
  const { scan } = state;
  if (!scan) return "";
  if (scan.points) return text("scan.points");
  return text("scan.faces", { faces: scan.faces.toLocaleString("en").replaceAll(",", " ") });
}

// Which limb?

const oneOfSeveral = h("p", { class: "actions" },
  button(text("limb.click"), () => pickLimb(), { id: "pick-limb" }),
  button(text("limb.click back"), () => attempt(() => set([[["scan", "pick"], "auto"]])), { id: "auto-limb" }));
oneOfSeveral.show = () => {
  const picked = state.job.scan.pick !== "auto";
  oneOfSeveral.hidden = !picked && state.failure?.pick !== "limb";
  oneOfSeveral.children[0].disabled = !state.scan;
  oneOfSeveral.children[1].hidden = !picked;
};
const limbField = field(text("limb.kind"), ["scan", "limb"], { choices: [] });
const showLimbs = limbField.show;
limbField.show = () => {
  if (!limbField.input.options.length) {
    limbField.input.append(h("option", { value: "auto" }, text("limb.as found")));
    limbField.input.append(...state.kinds.map(({ name, label }) => h("option", { value: name }, label)));
  }
  showLimbs();
};
const limbUnasked = () => state.job.scan.limb === "auto" || state.job.scan.side === "auto";
const agreeLimb = button("", () => {
  const { kind, side } = state.limb;
  return attempt(() => set([[["scan", "limb"], kind], [["scan", "side"], side]]));
}, { id: "agree-limb" });
const limbAgreed = h("p", { class: "actions" }, agreeLimb);
limbAgreed.show = () => {
  // Where the kind is only assumed, all kinds are offered alike, and none is right before it is chosen.
  limbAgreed.hidden = !state.limb || !limbUnasked() || state.limb.kind_assumed;
  if (state.limb) agreeLimb.textContent = text("limb.agree", { limb: sidedLimb(state.limb.side) });
};
function sidedLimb(side) {
  return text(side === "left" ? "limb.is left" : "limb.is right", { limb: wantedKind().label });
}
const jointButtons = h("p", { class: "actions" },
  button("", () => pickJoint(), { id: "pick-joint" }),
  button(text("joint.find"), () => attempt(() => set([[["scan", "joint"], "auto"]])), { id: "auto-joint" }));
jointButtons.show = () => {
  jointButtons.children[0].textContent = text("joint.click", { joint: wantedKind().joint });
  jointButtons.children[0].disabled = !state.scan;
  jointButtons.children[1].hidden = state.job.scan.joint === "auto";
};
question("limb", [
  oneOfSeveral,
  limbAgreed,
  limbField,
  field(text("limb.side"), ["scan", "side"], {
    choices: [["auto", text("limb.as found")], ["left", text("limb.left")], ["right", text("limb.right")]],
    hint: text("limb.side hint"),
  }),
  jointButtons,
], () => {
  const { pick } = state.job.scan;
  if (limbUnasked()) {
    return ["open", state.limb ? text("limb.asked", { limb: sidedLimb(state.limb.side) }) : text("limb.which")];
  }
  const sided = sidedLimb(state.job.scan.side);
  const limb = pick === "auto" ? sided : text("limb.one of several", { limb: sided });
  const doubt = state.limb?.doubt || state.limb?.joint_asked;
  return doubt ? ["open", text("limb.doubt", { limb, doubt })] : ["done", limb];
});

// True to size?

const tapeAt = ["scan", "tape"];
const placeSelect = h("select", { id: "tape-at" });
const tapeGirth = h("input", {
  id: "tape-girth", type: "text", autocomplete: "off",
  placeholder: text("size.example"), "aria-describedby": "tape-hint",
});
const tapeHint = h("span", { class: "hint", id: "tape-hint" });

async function takeTape() {
  const girth = tapeGirth.value.trim();
  const others = (state.job.scan.tape ?? []).slice(1);
  const own = girth ? [{ at: placeSelect.value, girth }] : [];
  if (await tapeWrong.during(() => set([[tapeAt, [...own, ...others]]]))) tapeWrong.end();
  else tapeRefusedAt = JSON.stringify(state.job.scan.tape);
}
const tapeForm = h("form", { class: "fields", onsubmit: (event) => { event.preventDefault(); takeTape(); } },
  h("p", { class: "field" }, h("label", { for: "tape-girth" }, text("size.tape")), tapeGirth, tapeHint),
  h("p", { class: "field" }, h("label", { for: "tape-at" }, text("size.where")), placeSelect),
  h("p", { class: "actions" }, h("button", { type: "submit" }, text("size.scale"))));
const tapeWrong = complaint(tapeForm.firstElementChild, tapeGirth);
let tapeRefusedAt = "";
tapeGirth.addEventListener("keydown", (event) => {
  if (event.key !== "Escape" || !tapeWrong.stands) return;
  tapeWrong.end();
  tapeGirth.value = state.job.scan.tape[0]?.girth ?? "";
});
tapeForm.show = () => {
  const places = wantedKind().tape_places.map(({ at, label }) => [at, label]);
  const tape = state.job.scan.tape[0];
  if (tape && !places.some(([value]) => value === tape.at)) {
    places.push([tape.at, text("size.at height", { height: tape.at })]);
  }
  const chosen = tape?.at ?? (places.some(([value]) => value === placeSelect.value) ? placeSelect.value : "widest");
  fill(placeSelect, ...places.map(([value, words]) => h("option", { value }, words)));
  placeSelect.value = chosen;
  const kept = tapeWrong.stands && tapeRefusedAt === JSON.stringify(state.job.scan.tape);
  if (!kept) tapeWrong.end();
  if (!kept && document.activeElement !== tapeGirth) tapeGirth.value = tape?.girth ?? "";
  const girth = girthNamed(chosen);
  const figures = girth && { length: mm(girth.tape), inches: (girth.tape / 25.4).toFixed(1) };
  tapeHint.textContent = girth ? text(tape ? "size.measures now" : "size.measures", figures) : text("size.hint");
};
placeSelect.addEventListener("change", () => tapeForm.show());
const agreeUnit = button("", () => attempt(() => set([[["scan", "unit"], state.scan.unit]])), { id: "agree-unit" });
const unitAgreed = h("p", { class: "actions" }, agreeUnit);
unitAgreed.show = () => {
  unitAgreed.hidden = !state.asked.look.includes("size");
  agreeUnit.textContent = text("size.agree", { unit: state.scan?.unit ?? "" });
};
question("size", [
  unitAgreed, tapeForm, moreTapes,
  field(text("size.unit"), ["scan", "unit"], {
    choices: ["auto", "mm", "cm", "m", "in", "none"].map((unit) => [unit, text(`size.unit.${unit}`)]),
    hint: text("size.unit hint"),
  }),
], () => {
  const [tape] = state.job.scan.tape;
  if (!tape) {
    const girth = girthNamed("widest")?.words.toLowerCase();
    return ["open", state.limb ? text("size.no tape yet", { girth }) : text("size.no tape")];
  }
  const girth = plain(tape.girth);
  const place = tapePlace(tape.at)?.taped;
  if (place) return ["done", text("size.taped", { place, girth })];
  return ["done", text("size.taped at height", { height: tape.at, girth })];
});

// Where is its front?

const frontButtons = h("p", { class: "actions" },
  button(text("front.agree"), () => attempt(() => post("/do/agree-front")), { id: "agree-front" }),
  button(text("front.click"), () => pickFront(), { id: "pick-front" }),
  button(text("front.find"), () => attempt(() => set([[["scan", "front"], "auto"]])), { id: "auto-front" }));
frontButtons.show = () => {
  frontButtons.children[0].hidden = state.front_agreed || !state.limb || state.job.scan.front !== "auto";
  frontButtons.children[1].disabled = !state.scan;
  frontButtons.children[2].hidden = state.job.scan.front === "auto";
};
const frontWords = h("p", { class: "soft" });
frontWords.show = () => { frontWords.textContent = state.fronts; };
question("front", [frontWords, frontButtons], () => {
  if (state.job.scan.front !== "auto") return [state.limb ? "done" : "open", text("front.set")];
  if (!state.limb) return ["open", text("front.how")];
  const part = state.limb.front_from;
  return state.front_agreed ? ["done", text("front.agreed", { part })] : ["open", text("front.look", { part })];
});

// What is worn beneath?

const sameUnder = () => new Set(QUARTERS.map((q) => state.job.wear.under[q])).size === 1;
const under = field(text("under.layers"), ["wear", "under"], {
  read: (value) => (!value ? "" : sameUnder() ? value.front : text("under.differs")),
  hint: text("under.hint"),
});
const underSides = h("details", { class: "more" }, h("summary", {}, text("under.sides")),
  h("div", { class: "four" }, ...QUARTERS.map((quarter) => {
    const one = field(quarter, ["wear", "under", quarter]);
    one.quarter = quarter;
    return one;
  })));
underSides.show = () => {
  for (const one of underSides.querySelectorAll(".field")) {
    one.show();
    one.querySelector("label").textContent = sideName(one.quarter);
  }
};
question("under", [
  under, underSides,
  field(text("under.ease"), ["wear", "ease"], { hint: text("under.ease hint") }),
  bodyForms,
], () => {
  const ease = plain(state.job.wear.ease);
  if (!sameUnder()) return ["done", text("under.by side", { ease })];
  return ["done", text("under.same", { under: plain(state.job.wear.under.front), ease })];
});

// Which leather?

const own = h("div", { class: "four" }, ...[
  ["stretch_along", "leather.stretch along"], ["stretch_across", "leather.stretch across"],
  ["squeeze_along", "leather.squeeze along"], ["squeeze_across", "leather.squeeze across"],
].map(([name, key]) => field(text(key), ["leather", "limits", name], { read: (value) => percentText(value) })));
function percentText(value) {
  return typeof value === "number" ? `${Number((100 * value).toFixed(2))} %` : value ?? "";
}
own.show = () => {
  own.hidden = typeof state.job.leather.limits === "string";
  for (const one of own.children) one.show();
};
const PRESETS = ["cased", "dry"];
const stripWords = h("p", { class: "soft" });
const strips = h("div", { class: "fields" }, stripWords,
  h("p", { class: "actions" }, button(text("leather.bring strips"), () => byId("job-file").click())));
strips.show = () => {
  const { name, awaited } = state.strips;
  stripWords.textContent = awaited
    ? text("leather.strips awaited", { file: awaited })
    : name ? text("leather.strips there", { file: name }) : text("leather.strips");
};
const isStrips = (limits) => typeof limits === "string" && !PRESETS.includes(limits);
function limitsChoice(limits) {
  return typeof limits !== "string" ? "own" : isStrips(limits) ? "strips" : limits;
}
const limitsField = field(text("leather.limits"), ["leather", "limits"], {
  choices: [...PRESETS, "strips", "own"].map((limits) => [limits, text(`leather.limits.${limits}`)]),
  read: (value) => limitsChoice(value),
  write: (choice) => ({ own: state.own_limits, strips: state.strips.name }[choice] ?? choice),
});
const showLimits = limitsField.show;
limitsField.show = () => {
  limitsField.input.options[2].hidden = !state.strips.name && !state.strips.awaited;
  showLimits();
};
question("leather", [
  field(text("leather.thickness"), ["leather", "thickness"], { hint: text("leather.thickness hint") }),
  limitsField, own, strips, stripForm,
  field(text("leather.grain"), ["leather", "grain"], {
    choices: [["up the limb", text("leather.grain.up")], ["across the limb", text("leather.grain.across")]],
  }),
  field(text("leather.room"), ["leather", "room"], { hint: text("leather.room hint"), read: (value) => String(value) }),
  field(text("leather.aim"), ["leather", "aim"], {
    choices: [["most even", text("leather.aim.even")], ["forms itself", text("leather.aim.itself")]],
    hint: text("leather.aim hint"),
  }),
  ...hardeningParts,
  liningForms,
], () => {
  const { thickness, limits } = state.job.leather;
  if (state.strips.awaited) return ["open", text("leather.bring", { file: state.strips.awaited })];
  return ["done", text(`leather.formed ${limitsChoice(limits)}`, { thickness: plain(thickness) })];
});

// Where does it end?

question("edges", [
  h("p", { class: "soft" }, text("edges.how")),
  ...edgeForms,
], () => {
  if (!state.curves) return ["later", text("edges.later")];
  const heights = (name) => {
    const found = state.curves[name].handles.map((handle) => Math.round(handle.height));
    const [low, high] = [Math.min(...found), Math.max(...found)];
    return low === high ? mm(low) : text("mm range", { low: `${low}`.replace("-", "−"), high: mm(high) });
  };
  return ["done", text("edges.at", { top: heights("top"), bottom: heights("bottom") })];
});

// Where does it open?

question("opening", [seamForms, addSeam], seamsAnswer);

// What else is cut into it, and what is done to it

question("darts", dartParts, dartsAnswer);
question("finish", finishParts, finishAnswer);
question("pieces", pieceParts, piecesAnswer);

// What else there may be

question("plates", plateForms, platesAnswer);
question("ornament", ornamentForms, ornamentAnswer);
question("tried", tryOnForms, tryOnAnswer);
question("hides", hideForms, hidesAnswer);
question("former", formerForms, formerAnswer);

// Take it away

const pieceWords = h("div");
const cautions = h("ul");
const cut = h("div", { class: "cutting" }, pieceWords,
  h("p", {}, h("a", { href: "/read", target: "_blank", rel: "noopener" }, text("files.report"))),
  h("details", { class: "more" }, h("summary", {}, text("files.before")), cautions));
cut.show = () => {
  const { made } = state;
  cut.hidden = !made?.current;
  if (cut.hidden) return;
  fill(pieceWords,
    ...[...made.pieces, ...made.others].map((piece) => h("p", {}, h("strong", {}, `${piece.title}. `), piece.sentence)),
    h("p", {}, made.leather));
  fill(cautions, ...made.cautions.map((words) => h("li", {}, words)));
};
const unasked = h("details", { class: "more" }, h("summary", {}, text("files.unasked")), h("ul"));
unasked.show = () => {
  unasked.hidden = !state.unasked.length;
  const lines = state.unasked.map(({ key, value }) => h("li", {}, h("code", {}, `${key} = ${value}`)));
  fill(unasked.querySelector("ul"), ...lines);
};
const stillOpen = h("p", { class: "still-open" });
question("files", [
  stillOpen,
  field(text("files.title"), ["output", "title"], { hint: text("files.title hint") }),
  filesList, outputForms, unasked, cut,
], () => {
  if (state.made?.current) return ["done", text("files.ready")];
  if (!state.leather) return ["later", text("files.later")];
  return ["open", text(state.work?.stopped || state.failure ? "files.not finished" : "files.being made")];
});

const keeping = byId("keeping");
function showKeeping() {
  const { folder, job } = state;
  const clear = button(text("keeping.clear"), async () => {
    if (clear.dataset.sure) {
      await attempt(() => post("/do/clear"));
      return;
    }
    clear.dataset.sure = "yes";
    clear.textContent = text("keeping.sure");
  });
  keeping.replaceChildren(h("p", {}, ...textParts("keeping", { folder: h("code", {}, folder) })));
  if (job) keeping.append(h("p", {}, clear));
}

/** Show a state in the work order. */
export function showOrder(now, before) {
  if (!before || before.folder !== now.folder || !before.job !== !now.job) showKeeping();
  const sentences = [...(now.limb?.sentences ?? []), ...(now.limb?.cautions ?? [])];
  fill(scanWords, ...sentences.map((words) => h("li", {}, words)));
  showQuestions(now, before);
  const open = unsettled();
  stillOpen.hidden = !now.job || !open.length;
  fill(stillOpen, ...textParts("still open", { questions: linksTo(open) }));
}
