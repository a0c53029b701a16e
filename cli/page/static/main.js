// The page: hears what is on the bench, and hands it to those who show it.

import { NO_ANSWER, listen, post, state, whenChanged } from "/static/requests.js";
import { showAdvice } from "/static/advice.js";
import { showBench, startBench } from "/static/bench.js";
import { showOrder, linkTo } from "/static/workorder.js";
import { clearError, showError, attempt, unbroken } from "/static/messages.js";
import { text, textParts } from "/static/texts.js";

const byId = (id) => document.getElementById(id);

// Files in

async function takeFiles(list) {
  const files = [...list];
  const texts = files.filter((file) => /\.toml$/i.test(file.name));
  const scan = files.find((file) => !texts.includes(file));
  for (const file of texts) {
    await attempt(async () => post(`/open-job?name=${encodeURIComponent(file.name)}`, await file.text()));
  }
  if (scan) await takeScan(scan);
}

const megabytes = (bytes) => (bytes / 2 ** 20).toFixed(bytes < 10 * 2 ** 20 ? 1 : 0);

/** Say which files are taken: where one is asked for, and where one is chosen. */
function showReadable({ endings, most_bytes: most, most_faces: faces }) {
  const names = endings.map((ending) => ending.slice(1).toUpperCase());
  put("readable", text("empty.readable", {
    endings: names.slice(0, -1).join(", "),
    last: names.at(-1),
    megabytes: megabytes(most),
    millions: (faces / 1e6).toFixed(0),
  }));
  byId("scan-file").accept = [...endings, ".toml"].join(",");
}

async function takeScan(file) {
  const most = state.upload.most_bytes;
  if (file.size > most) {
    showError(text("scan too large", { file: file.name, megabytes: megabytes(file.size), most: megabytes(most) }));
    return;
  }
  await attempt(() => post(`/scan?name=${encodeURIComponent(file.name)}`, file));
}

for (const button of document.querySelectorAll("[data-choose]")) {
  button.addEventListener("click", () => byId(`${button.dataset.choose}-file`).click());
}
for (const button of document.querySelectorAll("[data-do]")) {
  button.addEventListener("click", () => attempt(() => post(`/do/${button.dataset.do}`)));
}
for (const id of ["scan-file", "job-file"]) {
  byId(id).addEventListener("change", async ({ target }) => {
    await takeFiles(target.files);
    target.value = "";
  });
}

let depth = 0;
const isFiles = (event) => [...(event.dataTransfer?.types ?? [])].includes("Files");
addEventListener("dragenter", (event) => {
  if (!isFiles(event)) return;
  event.preventDefault();
  depth += 1;
  byId("drop").hidden = false;
});
addEventListener("dragover", (event) => { if (isFiles(event)) event.preventDefault(); });
addEventListener("dragleave", (event) => {
  if (!isFiles(event)) return;
  depth -= 1;
  byId("drop").hidden = depth > 0 ? false : true;
});
addEventListener("drop", (event) => {
  event.preventDefault();
  depth = 0;
  byId("drop").hidden = true;
  if (event.dataTransfer?.files.length) takeFiles(event.dataTransfer.files);
});

// Undo and redo

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

// What is said above the bench

function put(id, words) {
  if (byId(id).textContent !== words) byId(id).textContent = words;
}

function headline(now) {
  if (now.failure?.question === "limb") return text("headline.several");
  if (now.failure) return text(now.leather ? "headline.no longer" : "headline.not yet");
  if (now.leather) return now.leather.headline;
  if (now.awaited) return text("headline.awaited", { file: now.awaited });
  if (now.receiving) return text("headline.arriving");
  if (now.work && !now.work.stopped) return text(now.limb ? "headline.limb found" : "headline.reading");
  return text(now.job ? "headline.scan" : "headline.empty");
}

function showVerdict(now) {
  const { leather, failure, work, receiving } = now;
  put("headline", headline(now));
  byId("verdict").className = failure ? "failed" : leather ? (leather.fits ? leather.verdict : `over ${leather.verdict}`) : "";
  const lines = [];
  if (failure) lines.push([failure.sentence, "wrong"]);
  for (const words of leather?.stops ?? []) lines.push([words, "wrong"]);
  const bounds = now.made?.current ? now.made.bounds : [];
  if (leather && !failure) lines.push(...[...leather.sentences, ...bounds].map((words) => [words, ""]), [leather.limits, "soft"]);
  byId("findings").replaceChildren(...lines.map(([words, kind]) => {
    const line = document.createElement("p");
    line.className = kind;
    line.textContent = unbroken(words);
    return line;
  }));
  if (failure) byId("findings").firstChild.append(...textParts("failure.see", { question: linkTo(failure.question) }));
  showWork(work, receiving, leather);
}

function showWork(work, receiving, leather) {
  byId("work").hidden = !work && !receiving;
  const bar = byId("work-bar");
  byId("stop").hidden = !work || work.stopped;
  byId("go-on").hidden = !work?.stopped;
  bar.hidden = Boolean(work?.stopped);
  if (receiving) {
    const [soFar, of] = receiving;
    const arrived = megabytes(soFar);
    put("work-words", of ? text("work.arrived of", { megabytes: arrived, of: megabytes(of) }) : text("work.arrived", { megabytes: arrived }));
    bar.max = of || 1;
    if (of) bar.value = soFar;
    else bar.removeAttribute("value");
  } else if (work) {
    put("work-words", workWords(work, leather));
    bar.max = work.of || 1;
    bar.value = Math.max(0.15, work.number - 1);
  }
}

function workWords(work, leather) {
  if (work.stopped) return text(state.made?.current ? "work.stopped judging" : "work.stopped");
  const stage = text(`stage.${work.name}`);
  return leather && work.goal === "pattern" ? text("work.preview", { stage }) : stage;
}

function showTitle(now) {
  const scan = now.job?.scan.file.replace(/\.[^.]*$/, "");
  put("job-title", now.job ? now.job.output.title || scan : "");
  byId("undo").disabled = !now.can_undo;
  byId("redo").disabled = !now.can_redo;
}

// Legend and regions

/** The bands of colour: squeezed to stretched, each with its figures. */
function showBands({ bands }) {
  byId("bands").replaceChildren(...bands.map(({ kind, words }) => {
    const item = document.createElement("li");
    const colour = document.createElement("i");
    colour.className = kind;
    item.append(colour, `${{ s: "+", q: "−" }[kind[0]] ?? ""}${words}`);
    return item;
  }));
}

function showRegions(now) {
  byId("legend").hidden = !now.leather;
  byId("regions").hidden = !now.leather;
  if (!now.leather) return;
  const several = now.leather.regions.length > 1;
  byId("region-tables").replaceChildren(...now.leather.regions.map(({ panel, rows }) => {
    const table = document.createElement("table");
    const caption = table.createCaption();
    caption.textContent = several ? text("stretch.of piece", { piece: panel }) : text("stretch.of all");
    const head = table.createTHead().insertRow();
    for (const column of ["region", "along", "across", "beyond", "forming"]) {
      const cell = document.createElement("th");
      cell.scope = "col";
      cell.textContent = text(`regions.${column}`);
      head.append(cell);
    }
    const body = table.createTBody();
    for (const row of rows) {
      const line = body.insertRow();
      const name = document.createElement("th");
      name.scope = "row";
      name.textContent = row.name;
      line.append(name);
      for (const words of [row.along, row.across, row.beyond ?? text("regions.none"), row.words]) line.insertCell().textContent = words;
      line.lastChild.className = row.verdict;
    }
    return table;
  }));
}

let shown = ""; // what was shown last, but for how far the work has come

whenChanged((now, before) => {
  document.body.dataset.revision = now.revision;
  const wanted = JSON.stringify({ ...now, revision: 0, work: now.work && now.work.stopped });
  if (wanted === shown) {
    showWork(now.work, now.receiving, now.leather);
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
