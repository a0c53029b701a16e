// Files brought to the bench: chosen, dropped, and sent to the server.

import { chosenFiles, droppedFiles } from "/static/brought.js";
import { byId, setText } from "/static/dom.js";
import { attempt, showError, showNote } from "/static/messages.js";
import { bring, post, state } from "/static/requests.js";
import { text } from "/static/texts.js";

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
  byId("scan-file").accept = [...endings, ".bin", ".mtl", ".jpg", ".png", ".toml", ".csv"].join(",");
}

async function take(list) {
  let brought;
  try {
    brought = await list;
  } catch (error) {
    if (!(error instanceof DOMException)) throw error;
    showError(text("brought unreadable"));
    return;
  }
  const most = state.upload.most_bytes;
  const size = brought.reduce((sum, { part }) => sum + part.size, 0);
  if (brought.length > state.upload.most_files) {
    showError(text("brought too many", { most: state.upload.most_files }));
  } else if (size > most) {
    showError(text("brought too large", { megabytes: megabytes(size), most: megabytes(most) }));
  } else {
    let told = "";
    await attempt(async () => { told = await bring(brought); });
    if (told) showNote(told);
  }
}

for (const button of document.querySelectorAll("[data-choose]")) {
  button.addEventListener("click", () => byId(`${button.dataset.choose}-file`).click());
}
for (const button of document.querySelectorAll("[data-do]")) {
  button.addEventListener("click", () => attempt(() => post(`/do/${button.dataset.do}`)));
}
for (const id of ["scan-file", "job-file"]) {
  byId(id).addEventListener("change", async ({ target }) => {
    await take(chosenFiles(target.files));
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
  if (event.dataTransfer) take(droppedFiles(event.dataTransfer, state.upload.most_files));
});
