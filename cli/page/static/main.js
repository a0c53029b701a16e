// The page: hears what is on the bench, and hands it to those who show it.

import { showAdvice } from "/static/advice.js";
import { showBench, startBench } from "/static/bench.js";
import { showBands } from "/static/colourbar.js";
import { byId, setText } from "/static/dom.js";
import { startDrawer } from "/static/drawer.js";
import { showReadable } from "/static/files.js";
import { showJobs } from "/static/jobs.js";
import { keysOf } from "/static/keys.js";
import { startKeySheet } from "/static/keysheet.js";
import { attempt, showError } from "/static/messages.js";
import { showRegions } from "/static/regions.js";
import { post, state, whenChanged } from "/static/requests.js";
import { showRound, startRound } from "/static/round.js";
import { showVerdict, showWork } from "/static/verdict.js";
import { startWindows } from "/static/windows.js";
import { showOrder } from "/static/workorder.js";

byId("undo").addEventListener("click", () => attempt(() => post("/do/undo")));
byId("redo").addEventListener("click", () => attempt(() => post("/do/redo")));
const stepKey = keysOf("keys.steps", [
  { keys: ["z"], ctrl: true, shift: false, says: "keys.undo", act: () => step(state.can_undo, "/do/undo") },
  { keys: ["y"], ctrl: true, shift: false, says: "keys.redo", act: () => step(state.can_redo, "/do/redo") },
  { keys: ["z"], ctrl: true, shift: true, says: "keys.redo", act: () => step(state.can_redo, "/do/redo") },
]);
function step(can, address) {
  if (can) attempt(() => post(address));
}
addEventListener("keydown", (event) => {
  if (!event.target.matches("input, textarea, select")) stepKey(event);
});
byId("stop").addEventListener("click", () => attempt(() => post("/do/stop")));
byId("go-on").addEventListener("click", () => attempt(() => post("/do/go-on")));

function showTitle(now) {
  const scan = now.job?.scan.file.replace(/\.[^.]*$/, "");
  setText("job-title", now.job ? now.job.output.title || scan : "");
  byId("undo").disabled = !now.can_undo;
  byId("redo").disabled = !now.can_redo;
}

/** Say once what was not laid down or kept. */
function showRefused({ refused }, before) {
  if (refused && refused.number !== before?.refused?.number) showError(refused.sentence);
}

let shown = ""; // what was shown last, but for how far the work has come

whenChanged((now, before) => {
  document.body.dataset.revision = now.revision;
  const wanted = JSON.stringify({ ...now, revision: 0, work: now.work && now.work.stopped });
  if (wanted === shown) {
    showWork(now);
    return;
  }
  shown = wanted;
  showBench(now, before); // first: what it fetches is under way while the rest is shown
  if (!before) {
    showBands(now.ramp);
    showReadable(now.upload);
  }
  showTitle(now);
  showRound(now, before);
  showJobs(now);
  showRefused(now, before);
  showVerdict(now);
  showAdvice(now);
  showOrder(now, before);
  showRegions(now);
});

startBench();
startDrawer();
startRound();
startKeySheet();
startWindows();
