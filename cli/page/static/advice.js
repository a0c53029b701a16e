// What to change where the leather cannot follow: each piece of advice in words, and a button that follows it.

import { post } from "/static/requests.js";
import { attempt, unbroken } from "/static/messages.js";
import { text, textParts } from "/static/texts.js";

const byId = (id) => document.getElementById(id);
const roomy = matchMedia("(min-width: 62rem)");

const report = document.createElement("a");
Object.assign(report, { href: "/read", target: "_blank", rel: "noopener", textContent: text("advice.report") });
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
  byId("advice-list").replaceChildren(...made.advice.map(({ words }, number) => {
    const item = document.createElement("li");
    const row = document.createElement("div");
    const line = document.createElement("p");
    line.textContent = unbroken(words);
    const use = document.createElement("button");
    use.type = "button";
    use.textContent = text("advice.use");
    use.setAttribute("aria-label", text("advice.use named", { advice: words.split(". ")[0] }));
    use.addEventListener("click", () => attempt(() => post(`/do/use-advice?advice=${number}`)));
    row.append(line, use);
    item.append(row);
    return item;
  }));
}
