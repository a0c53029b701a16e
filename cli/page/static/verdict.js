// What is said above the bench: whether the leather can follow, what stands in the way, and how far the work has come.

import { byId, h, setText } from "/static/dom.js";
import { megabytes } from "/static/files.js";
import { unbroken } from "/static/messages.js";
import { state } from "/static/requests.js";
import { text, textParts } from "/static/texts.js";
import { linkTo } from "/static/workorder.js";

/** Show the verdict of a state, with what it rests on. */
export function showVerdict(now) {
  setText("headline", headline(now));
  byId("verdict").className = verdictClass(now);
  byId("findings").replaceChildren(...findings(now).map(([words, kind]) => h("p", { class: kind }, unbroken(words))));
  const { failure } = now;
  if (failure) byId("findings").firstChild.append(...textParts("failure.see", { question: linkTo(failure.question) }));
  showWork(now);
}

function headline(now) {
  if (now.failure?.question === "limb") return text("headline.several");
  if (now.failure) return text(now.leather ? "headline.no longer" : "headline.not yet");
  if (now.leather) return now.leather.headline;
  if (now.awaited) return text("headline.awaited", { file: now.awaited });
  if (now.receiving) return text("headline.arriving");
  if (now.work && !now.work.stopped) return text(now.limb ? "headline.limb found" : "headline.reading");
  return text(now.job ? "headline.scan" : "headline.empty");
}

function verdictClass({ leather, failure }) {
  if (failure) return "failed";
  if (!leather) return "";
  return leather.fits ? leather.verdict : `over ${leather.verdict}`;
}

/** Sentences, each with its class. */
function findings({ leather, failure, made }) {
  const wrong = [...(failure ? [failure.sentence] : []), ...(leather?.stops ?? [])].map((words) => [words, "wrong"]);
  if (!leather || failure) return wrong;
  const bounds = made?.current ? made.bounds : [];
  return [...wrong, ...[...leather.sentences, ...bounds].map((words) => [words, ""]), [leather.limits, "soft"]];
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
