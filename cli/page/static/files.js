// Files brought to the bench: chosen, dropped, and sent to the server.

import { byId, setText } from "/static/dom.js";
import { attempt, showError } from "/static/messages.js";
import { post, state } from "/static/requests.js";
import { text } from "/static/texts.js";

async function takeFiles(list) {
  const files = [...list];
  const texts = files.filter((file) => /\.toml$/i.test(file.name));
  const scan = files.find((file) => !texts.includes(file));
  for (const file of texts) {
    await attempt(async () => post(`/open-job?name=${encodeURIComponent(file.name)}`, await file.text()));
  }
  if (scan) await takeScan(scan);
}

export const megabytes = (bytes) => (bytes / 2 ** 20).toFixed(bytes < 10 * 2 ** 20 ? 1 : 0);

/** Say which files are taken: where one is asked for, and where one is chosen. */
export function showReadable({ endings, most_bytes: most, most_faces: faces }) {
  const names = endings.map((ending) => ending.slice(1).toUpperCase());
  setText("readable", text("empty.readable", {
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
  byId("drop").hidden = depth <= 0;
});
addEventListener("drop", (event) => {
  event.preventDefault();
  depth = 0;
  byId("drop").hidden = true;
  if (event.dataTransfer?.files.length) takeFiles(event.dataTransfer.files);
});
