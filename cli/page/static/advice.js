// What to change where the leather cannot follow: each piece of advice in words, and a button that follows it.

import { button, byId, h } from "/static/dom.js";
import { attempt, unbroken } from "/static/messages.js";
import { post } from "/static/requests.js";
import { text, textParts } from "/static/texts.js";

const roomy = matchMedia("(min-width: 62rem)");

const report = h("a", { href: "/read", target: "_blank", rel: "noopener" }, text("advice.report"));
byId("advice-lines").append(...textParts("advice.lines", { report }));

/** Show the advice for the job as it stands, once it is there; following it is an edit like any other. */
export function showAdvice(now, before) {
  const made = now.made?.current && !now.failure ? now.made : null;
  byId("advice").hidden = !made?.advice_lead;
  if (!made || (before?.made?.current && JSON.stringify(before.made.advice) === JSON.stringify(made.advice))) return;
  byId("advice-lead").textContent = made.advice_lead;
  // Where nothing must be changed, or on a small screen, it is offered in one line: the bench keeps its room.
  byId("advice").open = roomy.matches && !now.leather?.fits && made.advice.length > 0;
  byId("advice-lines").hidden = !made.advice.length;
  byId("advice-list").replaceChildren(...made.advice.map(adviceItem));
}

function adviceItem({ change, words }, number) {
  const follow = button(text("advice.use"), () => attempt(() => post(`/do/use-advice?advice=${number}`)), {
    "aria-label": text("advice.use named", { advice: change }),
  });
  return h("li", {}, h("div", {}, h("p", {}, unbroken(words)), follow));
}
