// What is said above the bench: whether the leather can follow, what stands in the way, and how far the work has come.

import { button, byId, fill, h, rebuild, setText } from "/static/dom.js";
import { countTold } from "/static/drawer.js";
import { megabytes } from "/static/files.js";
import { attempt, unbroken } from "/static/messages.js";
import { post, state } from "/static/requests.js";
import { text, textParts } from "/static/texts.js";
import { linkTo, linksTo } from "/static/question.js";

/** Show the verdict of a state, with what it rests on. */
export function showVerdict(now) {
  setText("headline", headline(now));
  byId("verdict").className = verdictClass(now);
  showStops(now.verdict);
  const found = findings(now);
  const told = found.map(([words, kind]) => h("p", { class: kind }, unbroken(words)));
  const { failure } = now;
  if (failure) told[0].append(...wayTo(failure.question));
  else if (now.asked.look.length) told.unshift(h("p", { class: "look" }, ...lookFirst(now)));
  fill(byId("findings"), ...told);
  showGravest(now, found);
  const { stops, settled } = now.verdict;
  countTold(stops.length + settled.length + told.length);
  showWork(now);
}

const wayTo = (question) => textParts("failure.see", { question: linkTo(question) });

/** What the scan alone has answered, and is to be looked at before anything is cut. */
const lookFirst = ({ asked }) => textParts("verdict.look", { questions: linksTo(asked.look) });

/** The gravest of what is told, in one line, and the way to its question where it has one. */
function showGravest(now, found) {
  const { failure, verdict, asked } = now;
  const [stop] = verdict.stops;
  if (!failure && !stop && asked.look.length) {
    fill(byId("gravest"), h("span", { class: "said" }, ...lookFirst(now)));
    return;
  }
  const words = failure?.sentence ?? stop?.words ?? found[0]?.[0] ?? "";
  const question = failure?.question ?? stop?.question ?? "";
  const way = question ? [h("span", { class: "way" }, ...wayTo(question))] : [];
  fill(byId("gravest"), h("span", { class: "said" }, unbroken(words)), ...way);
}

function headline(now) {
  if (now.failure?.pick === "limb") return text("headline.several");
  if (now.failure) return text(now.leather ? "headline.no longer" : "headline.not yet");
  if (now.verdict.stops.length) return now.verdict.headline;
  if (now.leather) return now.leather.headline;
  if (now.awaited) return text("headline.awaited", { file: now.awaited });
  if (now.receiving) return text("headline.arriving");
  if (now.work && !now.work.stopped) return text(now.limb ? "headline.limb found" : "headline.reading");
  return text(now.job ? "headline.scan" : "headline.empty");
}

function verdictClass({ leather, failure, verdict, asked }) {
  if (failure) return "failed";
  if (verdict.stops.length) return "stopped";
  if (!leather) return "";
  if (leather.fits && asked.look.length) return "look";
  return leather.fits ? leather.verdict : `over ${leather.verdict}`;
}

/** Sentences, each with its class. */
function findings({ leather, failure, made, verdict }) {
  const wrong = [...(failure ? [failure.sentence] : []), ...(leather?.troubles ?? [])].map((words) => [words, "wrong"]);
  const told = verdict.told.map((words) => [words, ""]);
  if (!leather || failure) return [...wrong, ...told];
  const bounds = made?.current ? made.bounds : [];
  const beneath = verdict.beneath ? [verdict.beneath] : [];
  const said = [...beneath, ...leather.sentences, ...bounds].map((words) => [words, ""]);
  return [...wrong, ...told, ...said, [leather.limits, "soft"]];
}

let shownStops = "";

/** Show what stands against cutting, and what the maker has settled; who was at a button stays at its stop. */
function showStops({ stops, settled }) {
  const wanted = JSON.stringify([stops, settled]);
  if (wanted === shownStops) return;
  shownStops = wanted;
  rebuild(byId("stops").parentElement, () => makeStops(stops, settled));
}

function makeStops(stops, settled) {
  const held = document.activeElement?.dataset.stop;
  byId("stops").hidden = !stops.length;
  byId("settled").hidden = !settled.length;
  byId("stops").replaceChildren(...stops.map((stop) => stopItem(stop, sureButton)));
  byId("settled").replaceChildren(...settled.map((stop) => stopItem(stop, unsureButton)));
  if (held) (document.querySelector(`[data-stop='${CSS.escape(held)}']`) ?? byId("headline")).focus();
}

/** A stop in words, the way to its question, and where a figure settles it a button. */
function stopItem(stop, made) {
  const said = h("p", {}, unbroken(stop.words), ...textParts("failure.see", { question: linkTo(stop.question) }));
  return h("li", {}, said, ...(stop.figure === null ? [] : [made(stop)]));
}

function sureButton({ key, figure, words }) {
  return button(text("verdict.sure"), () => say("/do/be-sure", key, figure), {
    "aria-label": text("verdict.sure named", { stop: words }), "data-stop": key,
  });
}

function unsureButton({ key, figure, words }) {
  return button(text("verdict.not sure"), () => say("/do/be-unsure", key, figure), {
    "aria-label": text("verdict.not sure named", { stop: words }), "data-stop": key,
  });
}

/** Say of a stop, by the figure that is shown, that one is sure of it, or no longer. */
function say(address, key, figure) {
  return attempt(() => post(`${address}?${new URLSearchParams({ key, figure })}`));
}

/** Show how far the work has come, or how much of a scan has arrived. */
export function showWork({ work, receiving, leather }) {
  const bar = byId("work-bar");
  byId("work").hidden = !work && !receiving;
  byId("stop").hidden = !work || work.stopped;
  byId("go-on").hidden = !work?.stopped;
  bar.hidden = Boolean(work?.stopped);
  if (receiving) {
    const [soFar, of] = receiving;
    setText("work-words", arrivedText(soFar, of));
    bar.max = of || 1;
    if (of) bar.value = soFar;
    else bar.removeAttribute("value");
  } else if (work) {
    setText("work-words", workText(work, leather));
    bar.max = work.of || 1;
    bar.value = Math.max(0.15, work.number - 1);
  }
}

function arrivedText(soFar, of) {
  const arrived = megabytes(soFar);
  return of ? text("work.arrived of", { arrived, of: megabytes(of) }) : text("work.arrived", { arrived });
}

function workText(work, leather) {
  if (work.stopped) return text(state.made?.current ? "work.stopped judging" : "work.stopped");
  const stage = text(`stage.${work.name}`);
  return leather && work.goal === "pattern" ? text("work.preview", { stage }) : stage;
}
