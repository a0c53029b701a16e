// The page: hears what is on the bench, and hands it to those who show it.

import { showAdvice } from "/static/advice.js";
import { showBench, startBench } from "/static/bench.js";
import { byId, setText } from "/static/dom.js";
import { showReadable } from "/static/files.js";
import { attempt, clearError, showError } from "/static/messages.js";
import { showBands, showRegions } from "/static/regions.js";
import { NO_ANSWER, listen, post, state, whenChanged } from "/static/requests.js";
import { showVerdict, showWork } from "/static/verdict.js";
import { showOrder } from "/static/workorder.js";

byId("undo").addEventListener("click", () => attempt(() => post("/do/undo")));
byId("redo").addEventListener("click", () => attempt(() => post("/do/redo")));
addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || event.target.matches("input, textarea, select")) return;
  const key = event.key.toLowerCase();
  if (key !== "z" && key !== "y") return;
  event.preventDefault();
  const again = key === "y" || event.shiftKey;
  if (again ? state.can_redo : state.can_undo) attempt(() => post(again ? "/do/redo" : "/do/undo"));
});
byId("stop").addEventListener("click", () => attempt(() => post("/do/stop")));
byId("go-on").addEventListener("click", () => attempt(() => post("/do/go-on")));

function showTitle(now) {
  const scan = now.job?.scan.file.replace(/\.[^.]*$/, "");
  setText("job-title", now.job ? now.job.output.title || scan : "");
  byId("undo").disabled = !now.can_undo;
  byId("redo").disabled = !now.can_redo;
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
  showVerdict(now);
  showAdvice(now, before);
  showOrder(now, before);
  showRegions(now);
});

startBench();
listen((lost) => {
  if (lost) showError(NO_ANSWER);
  else if (byId("message").querySelector("p").textContent === NO_ANSWER) clearError();
});
