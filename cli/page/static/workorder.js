// The work order: the questions of the job, in the order in which a maker would ask them.

import { post, set, state } from "/static/requests.js";
import { button, field, h, plain } from "/static/form.js";
import { QUARTERS, sideName, tapePlace, wantedKind } from "/static/kinds.js";
import { pickFront, pickLimb } from "/static/pick.js";
import { addSeam, seamForms, seamsAnswer } from "/static/seams.js";
import { mm, attempt } from "/static/messages.js";

const list = document.getElementById("questions");
const MARKS = { done: "answered", open: "open", failed: "in trouble", later: "comes later" };
const questions = [];

/** A question: its title, its parts, and what its answer is in a state. */
function question(id, title, parts, answer) {
  const mark = h("span", { class: "mark", "aria-hidden": "true" });
  const word = h("span", { class: "hidden" });
  const reply = h("span", { class: "answer" });
  const body = h("div", { class: "parts" }, ...parts);
  const summary = h("summary", {}, mark, h("span", { class: "title" }, title, word), reply);
  summary.addEventListener("click", (event) => {
    if (summary.getAttribute("aria-disabled") === "true") event.preventDefault();
  });
  const details = h("details", { name: "work-order" }, summary, body);
  const item = h("li", { id: `question-${id}` }, details);
  list.append(item);
  questions.push({ id, title, details, summary, item, word, reply, parts, answer });
}

/** A link from what is said elsewhere to the question that it is about. */
export function linkTo(id) {
  const { title, details, summary } = questions.find((one) => one.id === id);
  return h("a", { href: `#question-${id}`, onclick: (event) => {
    event.preventDefault();
    details.open = true;
    summary.scrollIntoView({ block: "center" });
    summary.focus({ preventScroll: true });
  } }, title);
}

function girthNamed(name) {
  return state.limb?.girths.find((girth) => girth.name === name);
}

// Which scan?

const scanWords = h("ul", { class: "facts" });
question("scan", "Which scan is it?", [
  scanWords,
  h("p", { class: "actions" },
    button("Choose a scan", () => document.getElementById("scan-file").click()),
    button("Try the demo leg", () => attempt(() => post("/do/demo"))),
    button("Open a job file", () => document.getElementById("job-file").click())),
], () => {
  if (state.awaited) return ["open", `The job is about ${state.awaited}: bring that scan too.`];
  if (!state.scan_name) return ["open", state.receiving ? "It is arriving." : "Drop it on the bench."];
  const { scan } = state;
  const size = scan ? (scan.points ? "a cloud of points" : `${scan.faces.toLocaleString("en").replaceAll(",", " ")} faces`) : "";
  return [state.limb ? "done" : "open", [state.scan_name, size].filter(Boolean).join(", ")];
});

// Which limb?

const oneOfSeveral = h("p", { class: "actions" },
  button("Click it in the scan", () => pickLimb(), { id: "pick-limb" }),
  button("Take the click back", () => attempt(() => set([[["scan", "pick"], "auto"]])), { id: "auto-limb" }));
oneOfSeveral.show = () => {
  const picked = state.job.scan.pick !== "auto";
  oneOfSeveral.hidden = !picked && state.failure?.question !== "limb";
  oneOfSeveral.children[0].disabled = !state.scan;
  oneOfSeveral.children[1].hidden = !picked;
};
const limbField = field("Limb", ["scan", "limb"], { choices: [] });
const showLimbs = limbField.show;
limbField.show = () => {
  if (!limbField.input.options.length) {
    limbField.input.append(...state.kinds.map(({ name, label }) => h("option", { value: name }, label)));
  }
  showLimbs();
};
question("limb", "Which limb is it?", [
  oneOfSeveral,
  limbField,
  field("Side", ["scan", "side"], { choices: [["left", "left"], ["right", "right"]], hint: "The wearer’s own left or right." }),
], () => {
  const { side, pick } = state.job.scan;
  const named = `${side === "left" ? "Left" : "Right"} ${wantedKind().label}${pick === "auto" ? "" : ", one of several in the scan"}`;
  const doubt = state.limb?.doubt;
  return doubt ? ["open", `${named}? ${doubt}`] : ["done", named];
});

// True to size?

const tapeAt = ["scan", "tape"];
const placeSelect = h("select", { id: "tape-at" });
const tapeGirth = h("input", { id: "tape-girth", type: "text", autocomplete: "off", placeholder: "386 mm", "aria-describedby": "tape-hint" });
const tapeHint = h("span", { class: "hint", id: "tape-hint" });

async function takeTape() {
  const girth = tapeGirth.value.trim();
  const others = (state.job.scan.tape ?? []).slice(1);
  const own = girth ? [{ at: placeSelect.value, girth }] : [];
  const fine = await attempt(() => set([[tapeAt, [...own, ...others]]]));
  tapeGirth.toggleAttribute("aria-invalid", !fine);
}
const tapeForm = h("form", { class: "fields", onsubmit: (event) => { event.preventDefault(); takeTape(); } },
  h("p", { class: "field" }, h("label", { for: "tape-girth" }, "Girth by tape"), tapeGirth, tapeHint),
  h("p", { class: "field" }, h("label", { for: "tape-at" }, "Where"), placeSelect),
  h("p", { class: "actions" }, h("button", { type: "submit" }, "Scale the scan to it")));
tapeForm.show = () => {
  const places = wantedKind().tape_places.map(({ at, label }) => [at, label]);
  const tape = state.job.scan.tape[0];
  if (tape && !places.some(([value]) => value === tape.at)) places.push([tape.at, `at ${tape.at}`]);
  const chosen = tape?.at ?? (places.some(([value]) => value === placeSelect.value) ? placeSelect.value : "widest");
  placeSelect.replaceChildren(...places.map(([value, words]) => h("option", { value }, words)));
  placeSelect.value = chosen;
  if (document.activeElement !== tapeGirth) tapeGirth.value = tape?.girth ?? "";
  tapeGirth.removeAttribute("aria-invalid");
  const girth = girthNamed(chosen);
  tapeHint.textContent = girth
    ? `The scan ${tape ? "now measures" : "as it is measures"} ${mm(girth.tape)} (${(girth.tape / 25.4).toFixed(1)} in) there.`
    : "Millimetres, or 15.2 in.";
};
placeSelect.addEventListener("change", () => tapeForm.show());
question("size", "Is it true to size?", [
  tapeForm,
  field("Unit of the file", ["scan", "unit"], {
    choices: [["auto", "as found"], ["mm", "mm"], ["cm", "cm"], ["m", "m"], ["in", "inch"]],
    hint: "A phone’s scan may miss the true size by up to 30 %: one girth by tape puts it right.",
  }),
], () => {
  const [tape] = state.job.scan.tape;
  if (!tape) return ["open", state.limb ? `No tape girth yet. The scan says: ${girthNamed("widest")?.words.toLowerCase()}.` : "One girth by tape tells."];
  const place = tapePlace(tape.at)?.taped ?? `At ${tape.at}`;
  return ["done", `${place} ${plain(tape.girth)} by tape`];
});

// Where is its front?

const frontButtons = h("p", { class: "actions" },
  button("Yes, that is the front", () => attempt(() => post("/do/agree-front")), { id: "agree-front" }),
  button("Click it on the limb", () => pickFront(), { id: "pick-front" }),
  button("Find it again", () => attempt(() => set([[["scan", "front"], "auto"]])), { id: "auto-front" }));
frontButtons.show = () => {
  frontButtons.children[0].hidden = state.front_agreed || !state.limb || state.job.scan.front !== "auto";
  frontButtons.children[1].disabled = !state.scan;
  frontButtons.children[2].hidden = state.job.scan.front === "auto";
};
const frontWords = h("p", { class: "soft" });
frontWords.show = () => { frontWords.textContent = state.fronts; };
question("front", "Where is its front?", [frontWords, frontButtons], () => {
  if (state.job.scan.front !== "auto") return [state.limb ? "done" : "open", "Where you set it."];
  if (!state.limb) return ["open", "Found from the foot or the hand, or clicked."];
  if (state.front_agreed) return ["done", `Found from the ${state.limb.front_from}, and you agree.`];
  return ["open", `Found from the ${state.limb.front_from}. Look at it: is it right?`];
});

// What is worn beneath?

const sameUnder = () => new Set(QUARTERS.map((q) => state.job.wear.under[q])).size === 1;
const under = field("Clothing and padding", ["wear", "under"], {
  read: (value) => (!value ? "" : sameUnder() ? value.front : "differs by side"),
  hint: "How thick it is beneath the leather: thick stockings 3 mm.",
});
const underSides = h("details", { class: "more" }, h("summary", {}, "Not the same all round"),
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
question("under", "What is worn beneath?", [
  under, underSides,
  field("Ease on the girth", ["wear", "ease"], { hint: "So that it can be worn: 5 to 15 mm is usual." }),
], () => {
  const { under: layers, ease } = state.job.wear;
  return ["done", `${sameUnder() ? `${plain(layers.front)} beneath it` : "Padding that differs by side"}, ${plain(ease)} of ease`];
});

// Which leather?

const own = h("div", { class: "four" }, ...[
  ["stretch_along", "stretch along the grain"], ["stretch_across", "stretch across it"],
  ["squeeze_along", "squeeze along the grain"], ["squeeze_across", "squeeze across it"],
].map(([name, words]) => field(words, ["leather", "limits", name], { read: (value) => percentText(value) })));
function percentText(value) {
  return typeof value === "number" ? `${Number((100 * value).toFixed(2))} %` : value ?? "";
}
own.show = () => {
  own.hidden = typeof state.job.leather.limits === "string";
  for (const one of own.children) one.show();
};
const FORMED = { cased: "formed cased", dry: "formed dry" };
const stripWords = h("p", { class: "soft" });
const strips = h("div", { class: "fields" }, stripWords,
  h("p", { class: "actions" }, button("Bring a strip test", () => document.getElementById("job-file").click())));
strips.show = () => {
  const { name, awaited } = state.strips;
  stripWords.textContent = awaited
    ? `The job goes by the strip test “${awaited}”: bring that file too.`
    : name ? `The strip test “${name}” is on the bench.` : "Strips of your own leather, pulled and measured, tell more than any preset.";
};
const isStrips = (limits) => typeof limits === "string" && !FORMED[limits];
const limitsField = field("How it is formed", ["leather", "limits"], {
  choices: [["cased", "cased (wet)"], ["dry", "dry"], ["strips", "by my strip test"], ["own", "by my own figures"]],
  read: (value) => (typeof value !== "string" ? "own" : isStrips(value) ? "strips" : value),
  write: (text) => ({ own: state.own_limits, strips: state.strips.name }[text] ?? text),
});
const showLimits = limitsField.show;
limitsField.show = () => {
  limitsField.input.options[2].hidden = !state.strips.name && !state.strips.awaited;
  showLimits();
};
question("leather", "Which leather?", [
  field("Thickness", ["leather", "thickness"], { hint: "Measure it. 8 oz is 3.2 mm." }),
  limitsField, own, strips,
  field("Its grain runs", ["leather", "grain"], { choices: [["up the limb", "up the limb"], ["across the limb", "across the limb"]] }),
], () => {
  const { thickness, limits } = state.job.leather;
  if (state.strips.awaited) return ["open", `Bring the strip test “${state.strips.awaited}”.`];
  const formed = FORMED[limits] ?? (isStrips(limits) ? "by your strip test" : "by your own figures");
  return ["done", `${plain(thickness)} thick, ${formed}`];
});

// Where does it end?

const edgeParts = ["top", "bottom"].map((name) => {
  const fields = QUARTERS.map((quarter) => {
    const one = field(quarter, ["edges", name, quarter], {
      read: (value) => (value && value !== "auto" ? value : edgeHeight(name, quarter)),
      write: (text) => text || "auto",
    });
    one.quarter = quarter;
    return one;
  });
  const usual = button("The usual clearance", () => attempt(() => set([[["edges", name], "auto"]])));
  const part = h("fieldset", {}, h("legend", {}, `${name === "top" ? "Top" : "Bottom"} edge, heights`),
    h("div", { class: "four" }, ...fields), usual);
  part.show = () => {
    const { points } = state.job.edges[name];
    part.querySelector(".four").hidden = Boolean(points.length);
    for (const one of fields) {
      one.show();
      one.querySelector("label").textContent = sideName(one.quarter);
      one.classList.toggle("usual", state.job.edges[name][one.quarter] === "auto");
    }
    const { shape } = state.job.edges[name];
    usual.disabled = !points.length && shape === "auto" && QUARTERS.every((quarter) => state.job.edges[name][quarter] === "auto");
  };
  return part;
});
function edgeHeight(name, quarter) {
  const handle = state.curves?.[name].handles.find((one) => one.quarter === quarter);
  return handle ? `${Number(handle.height.toFixed(1))} mm` : "usual";
}
question("edges", "Where does it end?", [
  h("p", { class: "soft" }, "Drag the round points on the limb up and down, or write the heights. An empty field takes the usual clearance."),
  ...edgeParts,
], () => {
  if (!state.curves) return ["later", "At the usual clearances."];
  const heights = (name) => {
    const found = state.curves[name].handles.map((handle) => Math.round(handle.height));
    const [low, high] = [Math.min(...found), Math.max(...found)];
    return low === high ? mm(low) : `${low} to ${mm(high)}`.replace("-", "−");
  };
  return ["done", `Top at ${heights("top")}, bottom at ${heights("bottom")}`];
});

// Where does it open?

question("opening", "Where does it open?", [seamForms, addSeam], seamsAnswer);

// Take it away

const files = h("ul", { class: "files" });
const FILES = [
  ["pattern.pdf", "Sheets to print", "True size, to join for a try-on in paper and for the knife"],
  ["pattern.dxf", "DXF", "For a laser or a plotter, in mm"],
  ["pattern.svg", "SVG", "The same drawing for a drawing program"],
  ["report.html", "Report", "Stretch, girths, cautions: read it before you cut"],
  ["job.toml", "Job file", "Everything you set here; calfskin make makes the same files from it"],
  ["calfskin.zip", "All of it, with the scan", "In one archive, to put away or to go on with elsewhere"],
];
const links = FILES.map(([name, title, words]) => h("li", {},
  h("a", { href: `/take/${name}`, download: name, "data-file": name }, title), h("span", { class: "hint" }, words)));
files.append(...links);
files.show = () => {
  const ready = state.made?.current ?? false;
  for (const link of files.querySelectorAll("a")) {
    const open = ready || link.dataset.file === "job.toml";
    if (open) link.setAttribute("href", `/take/${link.dataset.file}`);
    else link.removeAttribute("href");
    link.setAttribute("aria-disabled", String(!open));
  }
};
const cut = h("div", { class: "cutting" });
cut.show = () => {
  cut.replaceChildren();
  if (!state.made?.current) return;
  for (const piece of state.made.pieces) cut.append(h("p", {}, h("strong", {}, `${piece.title}. `), piece.sentence));
  cut.append(h("p", {}, state.made.leather));
  const report = h("a", { href: "/read", target: "_blank", rel: "noopener" }, "Read the report here");
  cut.append(h("p", {}, report));
  cut.append(h("details", { class: "more" }, h("summary", {}, "Before you cut, form and wear"),
    h("ul", {}, ...state.made.cautions.map((words) => h("li", {}, words)))));
};
const unasked = h("details", { class: "more" }, h("summary", {}, "What the job file says beside this"), h("ul"));
unasked.show = () => {
  unasked.hidden = !state.unasked.length;
  unasked.querySelector("ul").replaceChildren(...state.unasked.map(({ key, value }) => h("li", {}, h("code", {}, `${key} = ${value}`))));
};
question("files", "Take it away", [
  h("div", { class: "two" }, field("Title on the piece", ["output", "title"], { hint: "Empty: the scan’s name." }), field("Paper", ["output", "paper"], { choices: [["A4", "A4"], ["Letter", "Letter"]] })),
  files, unasked, cut,
], () => {
  if (state.made?.current) return ["done", "The files are ready."];
  return state.leather ? ["open", state.work?.stopped || state.failure ? "Not finished." : "They are being made."] : ["later", "When the leather lies flat."];
});

const keeping = document.getElementById("keeping");
function showKeeping() {
  const { folder, job } = state;
  const clear = button("Clear the bench and delete them", async () => {
    if (clear.dataset.sure) {
      await attempt(() => post("/do/clear"));
      return;
    }
    clear.dataset.sure = "yes";
    clear.textContent = "Press again: the scan and the job are deleted from this computer";
  }, { class: "clear" });
  keeping.replaceChildren(
    h("p", {}, "A scan is a picture of a body. It and the job are kept on this computer alone, in ", h("code", {}, folder),
      ", until you clear the bench. Nothing is sent anywhere."));
  if (job) keeping.append(h("p", {}, clear));
}

/** Show a state in the work order. */
export function showOrder(now, before) {
  if (!before || before.folder !== now.folder || !before.job !== !now.job) showKeeping();
  scanWords.replaceChildren(...[...(now.limb?.sentences ?? []), ...(now.limb?.cautions ?? [])].map((words) => h("li", {}, words)));
  for (const one of questions) {
    const answerable = now.job !== null || one.id === "scan";
    const [mark, words] = answerable ? one.answer() : ["later", ""];
    one.summary.setAttribute("aria-disabled", String(!answerable));
    if (!answerable) one.details.open = false;
    const inTrouble = now.failure?.question === one.id;
    const shown = inTrouble ? "failed" : mark;
    one.item.className = shown;
    one.word.textContent = ` (${MARKS[shown]}) `;
    one.reply.textContent = words;
    if (now.job) for (const part of one.parts) showPart(part);
    if (inTrouble && before?.failure?.sentence !== now.failure.sentence) one.details.open = true;
  }
  if (!before) questions[0].details.open = !now.job;
  if (before && !before.limb && now.limb) openNext();
}

/** Show a part, or the fields that it is made of. */
function showPart(part) {
  if (part.show) part.show();
  else for (const one of part.querySelectorAll(".field")) one.show();
}

function openNext() {
  const open = questions.find((one) => one.item.className === "open");
  if (open) open.details.open = true;
}
