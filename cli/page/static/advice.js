// What to change where the leather cannot follow: each piece of advice is seen before it is taken, and may be given
// back after.

import { button, byId, h, rebuild } from "/static/dom.js";
import { attempt, unbroken } from "/static/messages.js";
import { RefusedError, adviceTried, latest, post } from "/static/requests.js";
import { text, textParts } from "/static/texts.js";
import { hideTrial, showTrial } from "/static/trial.js";

const PAUSE = 120; // ms. A pointer that only passes over shows nothing.

const report = h("a", { href: "/read", target: "_blank", rel: "noopener" }, text("advice.report"));
byId("advice-lines").append(...textParts("advice.lines", { report }));

let shown = "";
let looked = null; // the item that is being looked at

/** Show the advice for the job as it stands, once it is there, and the one that was followed, while it may be given
 *  back. Following it is an edit like any other. */
export function showAdvice(now) {
  const made = now.made?.current && !now.failure && now.made.advice_lead ? now.made : null;
  const { followed } = now;
  byId("advice").hidden = !made && !followed;
  const wanted = JSON.stringify([made?.advice_lead, made?.advice, followed]);
  if (wanted === shown) return;
  shown = wanted;
  rebuild(byId("advice"), () => makeAdvice(made, followed));
}

function makeAdvice(made, followed) {
  leave();
  byId("advice-lead").textContent = made ? made.advice_lead : text("advice.followed lead");
  byId("advice").open = Boolean(followed) || Boolean(made?.advice.length);
  byId("advice-lines").hidden = !made?.advice.length;
  const held = byId("advice").contains(document.activeElement);
  const items = (made?.advice ?? []).map(adviceItem);
  byId("advice-list").replaceChildren(...(followed ? [followedItem(followed)] : []), ...items);
  if (held) (byId("advice-list").querySelector("button") ?? byId("advice-lead")).focus();
}

function adviceItem(advice, number) {
  const { change, words } = advice;
  const follow = button(text("advice.use"), () => attempt(() => post(`/do/use-advice?advice=${number}`)), {
    "aria-label": text("advice.use named", { advice: change }),
  });
  const item = h("li", {}, h("div", {}, h("p", {}, unbroken(words)), follow));
  item.addEventListener("pointerenter", () => lookAt(item, number, advice));
  item.addEventListener("pointerleave", () => { if (!item.contains(document.activeElement)) leave(item); });
  follow.addEventListener("focus", () => lookAt(item, number, advice));
  follow.addEventListener("blur", () => leave(item));
  return item;
}

/** The advice that was followed: its figures before and after, and the way back. */
function followedItem({ change, ...figures }) {
  const giveBack = button(text("advice.give back"), () => attempt(() => post("/do/give-back-advice")), {
    id: "give-back", "aria-label": text("advice.give back named", { advice: change }),
  });
  const said = h("p", {}, h("b", {}, text("advice.followed")), ` ${unbroken(change)} `,
    h("span", { class: "soft" }, unbroken(beforeAfter(figures).join(", "))));
  return h("li", { class: "followed" }, h("div", {}, said, giveBack));
}

/** The figures before a change and after it. */
function beforeAfter({ stretch, squeeze }) {
  return [["advice.stretch", stretch], ["advice.squeeze", squeeze]]
    .map(([key, [before, after]]) => text(key, { before, after }));
}

// What it would make is shown while the pointer rests on it or its button has the focus

function lookAt(item, number, advice) {
  if (looked === item) return;
  leave();
  looked = item;
  item.classList.add("looked");
  setTimeout(() => { if (looked === item) fetchTrial(item, number, advice); }, PAUSE);
}

const fetchTrial = latest(async (item, number, advice) => {
  if (looked !== item) return;
  try {
    const answer = await adviceTried(number);
    if (looked === item) showTrial(answer, beforeAfter(advice));
  } catch (error) {
    if (!(error instanceof RefusedError)) throw error; // the job has changed since; its own advice will come
  }
});

function leave(item = looked) {
  if (!item || item !== looked) return;
  item.classList.remove("looked");
  looked = null;
  hideTrial();
}
