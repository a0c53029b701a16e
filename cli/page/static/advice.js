// What to change where the leather cannot follow: each piece of advice in words, and a button that follows it.

import { post } from "/static/ask.js";
import { tell, unbroken } from "/static/words.js";

const byId = (id) => document.getElementById(id);
const roomy = matchMedia("(min-width: 62rem)");

/** Show the advice for the job as it stands, once it is there; following it is an edit like any other. */
export function showAdvice(now, before) {
  const told = now.made?.current && !now.trouble ? now.made : null;
  byId("advice").hidden = !told?.advice_lead;
  if (!told || (before?.made?.current && JSON.stringify(before.made.advice) === JSON.stringify(told.advice))) return;
  byId("advice-lead").textContent = told.advice_lead;
  // Where nothing must be changed, or on a small screen, it is offered in one line: the bench keeps its room.
  byId("advice").open = roomy.matches && !now.leather?.fits && told.advice.length > 0;
  byId("advice-lines").hidden = !told.advice.length;
  byId("advice-list").replaceChildren(...told.advice.map(({ words }, number) => {
    const item = document.createElement("li");
    const row = document.createElement("div");
    const line = document.createElement("p");
    line.textContent = unbroken(words);
    const use = document.createElement("button");
    use.type = "button";
    use.textContent = "Use this";
    use.setAttribute("aria-label", `Use this: ${words.split(". ")[0]}`);
    use.addEventListener("click", () => tell(() => post(`/do/use-advice?advice=${number}`)));
    row.append(line, use);
    item.append(row);
    return item;
  }));
}
