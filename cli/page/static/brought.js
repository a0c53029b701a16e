// What is dropped or chosen: files with the folders that they lie in, as they are sent to the server together.

const HEAD = 64; // bytes by which the server tells a picture; the rest of one is no part of a scan

const PICTURES = [[0xff, 0xd8, 0xff], [0x89, 0x50, 0x4e, 0x47], [0x47, 0x49, 0x46, 0x38], [0x52, 0x49, 0x46, 0x46]];

async function isPicture(file) {
  const head = new Uint8Array(await file.slice(0, 12).arrayBuffer());
  const film = String.fromCharCode(...head.slice(4, 8)) === "ftyp";
  return film || PICTURES.some((mark) => mark.every((byte, n) => head[n] === byte));
}

/** A file as it is sent: its path, and its bytes, of a picture the first ones alone. */
async function sent(path, file) {
  return { path, part: await isPicture(file) ? file.slice(0, HEAD) : file };
}

export function chosenFiles(list) {
  return Promise.all([...list].map((file) => sent(file.name, file)));
}

const asked = (ask) => new Promise((done, fail) => { ask(done, fail); });

/** Files of an entry and of the folders in it, until there are more than `most`. */
async function filesOf(entry, found, most) {
  if (found.length > most) return;
  const path = entry.fullPath.replace(/^\/+/, "");
  if (entry.isFile) {
    found.push(await sent(path, await asked((done, fail) => entry.file(done, fail))));
    return;
  }
  const reader = entry.createReader();
  // A folder is read in pieces, the last of which is empty.
  for (let piece = [null]; piece.length;) {
    piece = await asked((done, fail) => reader.readEntries(done, fail));
    for (const inner of piece) await filesOf(inner, found, most);
  }
}

/** What was dropped; it is asked for at once, as a drop's entries are gone when its event is over. */
export function droppedFiles(dropped, most) {
  const items = [...dropped.items].filter(({ kind }) => kind === "file");
  const entries = items.map((item) => item.webkitGetAsEntry?.());
  if (!entries.length || !entries.every(Boolean)) return chosenFiles(dropped.files);
  const found = [];
  return entries.reduce((before, entry) => before.then(() => filesOf(entry, found, most)), Promise.resolve())
    .then(() => found);
}
