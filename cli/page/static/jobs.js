// The jobs that are kept: laid on the bench by a click, named, and deleted one by one.

import { button, byId, h, setText } from "/static/dom.js";
import { attempt } from "/static/messages.js";
import { post } from "/static/requests.js";
import { text } from "/static/texts.js";

const box = byId("jobs");
const list = byId("job-list");
let shown = "";

/** Show the list; whoever is at one of its buttons stays at that job. */
export function showJobs({ jobs }) {
  const wanted = JSON.stringify(jobs);
  if (wanted === shown) return;
  shown = wanted;
  box.hidden = !jobs.length;
  if (!jobs.length) box.open = false;
  setText("jobs-count", text("jobs.count", { count: jobs.length }));
  const held = document.activeElement?.closest("#job-list li")?.dataset.job;
  list.replaceChildren(...jobs.map(item));
  if (held) (list.querySelector(`[data-job="${held}"] button`) ?? byId("jobs-count")).focus();
}

function item(job) {
  const { id, name, limb, when, current, trouble } = job;
  const said = [limb, when, current && text("jobs.one here"), trouble].filter(Boolean).join(", ");
  const open = button(text("jobs.open"), () => attempt(() => post(asked("open-kept", id))), {
    "aria-label": text("jobs.open named", { job: name }), disabled: current || Boolean(trouble),
  });
  return h("li", { "data-job": id, class: trouble ? "wrong" : "" },
    h("div", {}, h("strong", {}, name), h("span", { class: "soft" }, said)), open, remove(job));
}

function remove({ id, name }) {
  return asksTwice(text("jobs.delete"), text("jobs.sure"), () => post(asked("delete-kept", id)), {
    "aria-label": text("jobs.delete named", { job: name }),
  });
}

/** A button that does what cannot be taken back once it is pressed again. */
export function asksTwice(words, sure, act, attributes = {}) {
  const made = button(words, () => {
    if (made.dataset.sure) return attempt(act);
    made.dataset.sure = "yes";
    made.removeAttribute("aria-label");
    made.textContent = sure;
    return undefined;
  }, attributes);
  return made;
}

function asked(what, id) {
  return `/do/${what}?${new URLSearchParams({ job: id })}`;
}

byId("jobs-all").append(asksTwice(text("jobs.delete all"), text("jobs.delete all sure"), () => post("/do/clear-all")));

// A click beside the list, or Escape, closes it.
addEventListener("pointerdown", (event) => { if (!box.contains(event.target)) box.open = false; });
box.addEventListener("keydown", (event) => {
  if (event.key !== "Escape" || !box.open) return;
  box.open = false;
  byId("jobs-count").focus();
});
