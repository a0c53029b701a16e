// The jobs that are kept: laid on the bench by a click, named, and deleted one by one.

import { button, byId, h, setText } from "/static/dom.js";
import { attempt } from "/static/messages.js";
import { post, state } from "/static/requests.js";
import { text } from "/static/texts.js";

const box = byId("jobs");
const list = byId("job-list");
let shown = "";

/** Show the list; whoever is at one of its buttons stays at that job. */
export function showJobs({ jobs, put_away: away }) {
  const wanted = JSON.stringify([jobs, away]);
  if (wanted === shown || list.contains(naming)) return;
  shown = wanted;
  box.hidden = !jobs.length && !away;
  if (box.hidden) box.open = false;
  byId("jobs-all").hidden = !jobs.length;
  const wasBack = byId("jobs-away").contains(document.activeElement);
  byId("jobs-away").replaceChildren(...(away ? putBack(away) : []));
  setText("jobs-count", text("jobs.count", { count: jobs.length }));
  const held = document.activeElement?.closest("#job-list li")?.dataset.job;
  list.replaceChildren(...jobs.map(item));
  const next = list.querySelector(`[data-job="${held}"] button:not(:disabled)`) ?? byId("jobs-away").firstElementChild;
  if (held || wasBack) (next ?? byId("jobs-count")).focus();
}

/** The deleted job that can still be put back. */
function putBack(name) {
  return [button(text("jobs.put back", { job: name }), () => attempt(() => post("/do/put-back"))), " ",
    h("span", { class: "hint" }, text("jobs.put back hint"))];
}

function item(job) {
  const { id, name, limb, when, current, trouble } = job;
  const said = [limb, when, current && text("jobs.one here"), trouble].filter(Boolean).join(", ");
  const open = button(text("jobs.open"), () => attempt(() => post(asked("open-kept", id))), {
    "aria-label": text("jobs.open named", { job: name }), disabled: current || Boolean(trouble),
  });
  const called = h("div", {}, h("strong", {}, name), h("span", { class: "soft" }, said));
  const rename = button(text("jobs.name"), () => nameIn(called, job), {
    "aria-label": text("jobs.name named", { job: name }), "data-name": "", disabled: Boolean(trouble),
  });
  return h("li", { "data-job": id, class: trouble ? "wrong" : "" }, called,
    h("p", { class: "actions" }, open, rename, remove(job)));
}

let naming = null; // the field in which a name is being written: the list waits for it

/** Let a job be named in its own line: Enter or leaving the field takes the name, Escape leaves it. */
function nameIn(called, { id, name }) {
  const field = h("input", { "aria-label": text("jobs.name named", { job: name }), maxlength: "80" });
  field.value = name;
  let left = false;
  const leave = async (takes, stays) => {
    if (left) return;
    left = true;
    const given = field.value.trim();
    naming = null;
    shown = "";
    if (takes && given && given !== name) await attempt(() => post(asked("name-kept", id, { name: given })));
    showJobs(state);
    if (stays) list.querySelector(`[data-job="${id}"] [data-name]`)?.focus();
  };
  field.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" && event.key !== "Escape") return;
    event.stopPropagation();
    event.preventDefault();
    leave(event.key === "Enter", true);
  });
  field.addEventListener("blur", () => leave(true, false));
  naming = field;
  called.replaceChildren(field);
  field.focus();
  field.select();
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

function asked(what, id, more = {}) {
  return `/do/${what}?${new URLSearchParams({ job: id, ...more })}`;
}

byId("jobs-all").append(asksTwice(text("jobs.delete all"), text("jobs.delete all sure"), () => post("/do/clear-all")));

// A click beside the list, or Escape, closes it.
addEventListener("pointerdown", (event) => { if (!box.contains(event.target)) box.open = false; });
box.addEventListener("keydown", (event) => {
  if (event.key !== "Escape" || !box.open) return;
  box.open = false;
  byId("jobs-count").focus();
});
