// The jobs that are kept: laid on the bench by a click, named, and deleted one by one.

import { button, byId, fill, h, rebuild, setText } from "/static/dom.js";
import { attempt } from "/static/messages.js";
import { post, state } from "/static/requests.js";
import { text } from "/static/texts.js";

const box = byId("jobs");
const list = byId("job-list");
const rows = new Map(); // by the job's id
let shown = "";

/** Show the list; whoever is at one of its buttons stays at that job. */
export function showJobs(now) {
  rebuild(box, () => makeJobs(now));
}

function makeJobs({ jobs, put_away: away }) {
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
  for (const id of [...rows.keys()].filter((known) => jobs.every((job) => job.id !== known))) {
    rows.get(id).remove();
    rows.delete(id);
  }
  jobs.forEach((job, n) => {
    if (!rows.has(job.id)) rows.set(job.id, jobRow(job.id));
    const row = rows.get(job.id);
    row.show(job);
    if (list.children[n] !== row) list.insertBefore(row, list.children[n] ?? null);
  });
  const at = document.activeElement;
  const lost = (held || wasBack) && (!box.contains(at) || at.disabled);
  const next = rows.get(held)?.querySelector("button:not(:disabled)") ?? byId("jobs-away").firstElementChild;
  if (lost) (next ?? byId("jobs-count")).focus();
}

/** The deleted job that can still be put back. */
function putBack(name) {
  return [button(text("jobs.put back", { job: name }), () => attempt(() => post("/do/put-back"))), " ",
    h("span", { class: "hint" }, text("jobs.put back hint"))];
}

/** A job's row. It stays while the job does, and what it says changes: a button that has been pressed once is not put
 * back by what is told of the job meanwhile. */
function jobRow(id) {
  let job = null;
  const open = button(text("jobs.open"), () => attempt(() => post(asked("open-kept", id))));
  const called = h("div");
  const rename = button(text("jobs.name"), () => nameIn(called, job), { "data-name": "" });
  const remove = asksTwice(text("jobs.delete"), text("jobs.sure"), () => post(asked("delete-kept", id)));
  const row = h("li", { "data-job": id }, called, h("p", { class: "actions" }, open, rename, remove));
  row.show = (now) => {
    job = now;
    const { name, limb, when, current, trouble } = job;
    const said = [limb, when, current && text("jobs.one here"), trouble].filter(Boolean).join(", ");
    row.className = trouble ? "wrong" : "";
    fill(called, h("strong", {}, name), h("span", { class: "soft" }, said));
    open.disabled = current || Boolean(trouble);
    rename.disabled = Boolean(trouble);
    open.setAttribute("aria-label", text("jobs.open named", { job: name }));
    rename.setAttribute("aria-label", text("jobs.name named", { job: name }));
    remove.named(text("jobs.delete named", { job: name }));
  };
  return row;
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

/** A button that does what cannot be taken back once it is pressed again, before it is left. */
export function asksTwice(words, sure, act) {
  let label = null;
  const made = button(words, () => {
    if (made.dataset.sure) return attempt(act);
    made.dataset.sure = "yes";
    made.removeAttribute("aria-label");
    made.textContent = sure;
    return undefined;
  });
  made.named = (said) => {
    label = said;
    if (label && !made.dataset.sure) made.setAttribute("aria-label", label);
  };
  made.addEventListener("blur", () => {
    delete made.dataset.sure;
    made.textContent = words;
    made.named(label);
  });
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
