// The round: what lies where on the bench, told step by step beside the thing itself, and left at any step.

import { button, byId, h, setText } from "/static/dom.js";
import { closeDrawer } from "/static/drawer.js";
import { bringToFront } from "/static/handles.js";
import { keysOf } from "/static/keys.js";
import { attempt } from "/static/messages.js";
import { post, state } from "/static/requests.js";
import { text } from "/static/texts.js";

const SEEN = "round-seen"; // a cookie, as those of this computer outlive the page's port
const YEAR = 365 * 24 * 3600; // s
const APART = 14; // px between the card and what it speaks of

const one = (selector) => document.querySelector(selector);
const all = (selector) => [...document.querySelectorAll(selector)];

/** Each step: its words, what it speaks of, and what has to be seen for that. */
const STEPS = [
  { says: "limb", about: () => all("#behind .ruler, #drawing .rings") },
  { says: "leather", about: () => all("#drawing .leather") },
  { says: "edges", about: () => all("[data-key='top-front'], [data-key='bottom-front']") },
  { says: "seam", about: () => all(".handle.seam").slice(0, 1), before: () => showSeam() },
  { says: "colours", about: () => [byId("colour-bar")] },
  { says: "verdict", about: () => [byId("verdict")] },
  { says: "order", about: () => [one("#questions > li.open") ?? one("#questions > li")], before: () => showFront() },
  { says: "files", about: () => [byId("question-files")] },
];

const title = h("h2", { id: "round-title", tabindex: "-1" });
const words = h("p", { id: "round-words" });
const count = h("span", { class: "soft" });
const back = button(text("round.back"), () => step(at - 1), { id: "round-back" });
const next = button(text("round.next"), () => step(at + 1), { id: "round-next", class: "main" });
const card = h("section", { id: "round-card", "aria-labelledby": "round-title" },
  title, words,
  h("p", { class: "actions" }, count, back, next, button(text("round.leave"), leave, { id: "round-leave" })));
const ring = h("i", { id: "round-ring" });
let at = -1;
let giveBack = null; // what had the focus before

function showSeam() {
  const [point] = all(".handle.seam");
  if (point) bringToFront(point.handle.at);
}

function showFront() {
  one("[data-turn='0']").click();
}

/** Begin the round over what lies on the bench; over the demo leg where nothing does. */
async function begin() {
  giveBack = document.activeElement;
  if (!state.job && !(await attempt(() => post("/do/demo")))) return;
  closeDrawer();
  card.hidden = ring.hidden = false;
  step(0);
  requestAnimationFrame(follow);
}

function step(number) {
  if (number >= STEPS.length) {
    leave();
    return;
  }
  at = Math.max(0, number);
  const { says, before } = STEPS[at];
  before?.();
  setText("round-title", text(`round.step ${says}`));
  setText("round-words", text(`round.step ${says} words`));
  count.textContent = text("round.count", { number: at + 1, of: STEPS.length });
  back.disabled = at === 0;
  next.textContent = text(at + 1 < STEPS.length ? "round.next" : "round.done");
  const [first] = shownOf(at);
  first?.scrollIntoView({ block: "nearest" });
  title.focus({ preventScroll: true });
}

function leave() {
  at = -1;
  card.hidden = ring.hidden = true;
  document.cookie = `${SEEN}=1; path=/; max-age=${YEAR}; samesite=strict`;
  showOffer();
  (giveBack?.isConnected && giveBack.checkVisibility() ? giveBack : byId("round")).focus({ preventScroll: true });
}

/** What a step speaks of, as far as it is there to be seen. */
function shownOf(number) {
  return STEPS[number].about().filter((element) => element?.getClientRects().length);
}

const boxOf = (element) => element.getBoundingClientRect();

/** The part of an element that the stage shows. */
function within(element, stage) {
  const { left, right, top, bottom } = boxOf(element);
  const clip = (value, least, most) => Math.max(least, Math.min(most, value));
  return {
    left: clip(left, stage.left, stage.right), right: clip(right, stage.left, stage.right),
    top: clip(top, stage.top, stage.bottom), bottom: clip(bottom, stage.top, stage.bottom),
  };
}

/** Keep ring and card beside the thing, whatever moves. */
function follow() {
  if (at < 0) return;
  const stage = byId("stage").getBoundingClientRect();
  const seenOf = (element) => (byId("stage").contains(element) ? within(element, stage) : boxOf(element));
  const boxes = shownOf(at).map(seenOf);
  ring.hidden = !boxes.length;
  const box = boxes.length ? {
    left: Math.min(...boxes.map(({ left }) => left)), right: Math.max(...boxes.map(({ right }) => right)),
    top: Math.min(...boxes.map(({ top }) => top)), bottom: Math.max(...boxes.map(({ bottom }) => bottom)),
  } : { left: stage.right, right: stage.right, top: stage.top, bottom: stage.top };
  Object.assign(ring.style, {
    left: `${box.left - 6}px`, top: `${box.top - 6}px`, width: `${box.right - box.left + 12}px`,
    height: `${box.bottom - box.top + 12}px`,
  });
  const [x, y] = beside(box);
  card.style.translate = `${Math.round(x)}px ${Math.round(y)}px`;
  requestAnimationFrame(follow);
}

/** Where the card stands: the first side of a thing on which there is room for it, else the window's lower end. */
function beside({ left, right, top, bottom }) {
  const { offsetWidth: wide, offsetHeight: tall } = card;
  const keep = (value, most) => Math.max(8, Math.min(most - 8, value));
  const x = keep((left + right - wide) / 2, innerWidth - wide);
  const y = keep((top + bottom - tall) / 2, innerHeight - tall);
  if (right + APART + wide < innerWidth) return [right + APART, y];
  if (left - APART - wide > 0) return [left - APART - wide, y];
  const above = keep(top - APART - tall, innerHeight - tall);
  if (above + tall <= top) return [x, above];
  if (bottom + APART + tall < innerHeight) return [x, bottom + APART];
  return [x, keep(innerHeight, innerHeight - tall)];
}

/** Whoever was not shown round yet is offered it first on the empty bench. */
function showOffer() {
  const seen = document.cookie.split("; ").includes(`${SEEN}=1`);
  byId("round-offer").classList.toggle("main", !seen);
}

/** Forget that somebody was shown round, as everything else is forgotten when the bench is cleared. */
export function showRound(now, before) {
  if (now.job || !before?.job) return;
  document.cookie = `${SEEN}=; path=/; max-age=0; samesite=strict`;
  if (at >= 0) {
    at = -1;
    card.hidden = ring.hidden = true;
  }
  showOffer();
}

const cardKey = keysOf("keys.round", [{ keys: ["Escape"], says: "keys.leave round", act: leave }]);

/** Begin: a quiet button that is always there, and one on the empty bench. */
export function startRound() {
  one(".history").prepend(button(text("round"), begin, { id: "round" }));
  one("#empty .actions").append(button(text("round.offer"), begin, { id: "round-offer" }));
  card.hidden = ring.hidden = true;
  card.addEventListener("keydown", (event) => cardKey(event));
  document.body.append(ring, card);
  showOffer();
}
