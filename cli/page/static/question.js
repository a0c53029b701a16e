// The frame of a question: its mark and words, the buttons that lift what stands in its way, and links to it.

import { state, set } from "/static/requests.js";
import { button, byId, fill, h, rebuild } from "/static/dom.js";
import { attempt } from "/static/messages.js";
import { pickFront, pickJoint } from "/static/pick.js";
import { text } from "/static/texts.js";

const list = byId("questions");
const questions = [];
const UNSETTLED = ["failed", "open", "look"];
const TOLD = ["look", "usual"]; // marks whose words are shown too
let opened = null; // the question that the page itself has opened
const PICKS = { front: pickFront, joint: pickJoint };

/** A question: its parts, and what its answer is in a state. */
export function question(id, parts, answer) {
  const title = text(`${id}.question`);
  const mark = h("span", { class: "mark", "aria-hidden": "true" });
  const word = h("span", { class: "hidden" });
  const reply = h("span", { class: "answer" });
  const lifting = h("p", { class: "actions answers", hidden: true });
  const body = h("div", { class: "parts" }, lifting, ...parts);
  const summary = h("summary", {}, mark, h("span", { class: "title" }, title, word), reply);
  summary.addEventListener("click", (event) => {
    opened = null;
    if (summary.getAttribute("aria-disabled") === "true") event.preventDefault();
  });
  const details = h("details", { name: "work-order" }, summary, body);
  const item = h("li", { id: `question-${id}` }, details);
  list.append(item);
  questions.push({ id, title, details, summary, item, word, reply, lifting, parts, answer });
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

/** Links to several questions. */
export function linksTo(ids) {
  return h("span", {}, ...ids.flatMap((id, n) => (n ? [" · ", linkTo(id)] : [linkTo(id)])));
}

/** The questions that are not answered yet, or by the scan alone. */
export function unsettled() {
  return questions.filter(({ id, item }) => id !== "files" && UNSETTLED.includes(item.className)).map(({ id }) => id);
}

/** Show a state in all questions. */
export function showQuestions(now, before) {
  for (const one of questions) showQuestion(one, now, before);
  if (!before && !now.job) openFor(questions[0]);
  if (before && !before.limb && now.limb) openNext();
}

function showQuestion(one, now, before) {
  const { id, details, summary, item, word, reply, parts } = one;
  const answerable = now.job !== null || id === "scan";
  const [mark, words] = answerable ? one.answer() : ["later", ""];
  summary.setAttribute("aria-disabled", String(!answerable));
  if (!answerable) details.open = false;
  const stopped = now.verdict.stops.filter((stop) => stop.question === id).map((stop) => stop.words);
  const inTrouble = now.failure?.question === id || stopped.length > 0;
  const shown = inTrouble ? "failed" : markOf(id, mark);
  item.className = shown;
  word.className = TOLD.includes(shown) ? "came" : "hidden";
  word.textContent = ` (${text(`mark.${shown}`)}) `;
  fill(reply, words, ...stopped.map((stop) => h("span", { class: "stop" }, stop)));
  showAnswers(one, now.answers[id] ?? []);
  if (now.job) for (const part of parts) showPart(part);
  if (now.failure?.question === id && before?.failure?.sentence !== now.failure.sentence) openFor(one);
}

/** A question's mark: how it came by its answer, which the server knows, goes before how far the work is. */
function markOf(id, mark) {
  const known = state.job && state.asked.marks[id];
  if (!known || mark === "later") return mark;
  return known === "answered" ? "done" : known;
}

/** The buttons that lift what stands in the way. */
function showAnswers({ lifting }, answers) {
  const wanted = JSON.stringify(answers);
  if (lifting.dataset.answers === wanted) return;
  lifting.dataset.answers = wanted;
  rebuild(lifting, () => {
    lifting.hidden = !answers.length;
    lifting.replaceChildren(...answers.map(({ words, changes, pick }) => button(words,
      pick ? () => PICKS[pick]() : () => attempt(() => set(changes)))));
  });
}

/** Show a part, or the fields that it is made of. */
function showPart(part) {
  if (part.show) part.show();
  else for (const one of part.querySelectorAll(".field")) one.show();
}

function openNext() {
  const open = questions.find((one) => UNSETTLED.includes(one.item.className));
  if (open) openFor(open);
}

/** Open a question for the maker, unless that would close one that the maker has opened or is at. */
function openFor({ details }) {
  const had = questions.find((one) => one.details.open)?.details;
  if (had && (had !== opened || had.querySelector(".parts").contains(document.activeElement))) return;
  details.open = true;
  opened = details;
}
