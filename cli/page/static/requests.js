// What the page asks of its server, and the state that every answer brings.

import { text } from "/static/texts.js";

const listeners = new Set();
let revision = -1;
export let state = null;

/** Call `listener` with every newer state, and with the one before it. */
export function whenChanged(listener) {
  listeners.add(listener);
}

/** Take a state that has arrived, unless a newer one is known. */
function takeState(arrived) {
  if (arrived.revision < revision) return;
  const before = state;
  revision = arrived.revision;
  state = arrived;
  for (const listener of listeners) listener(arrived, before);
}

/** An error that the server answered with a sentence; `path` is where in the job it lies, empty where it is not told. */
export class RefusedError extends Error {
  constructor(sentence, path = []) {
    super(sentence);
    this.path = path;
  }
}

async function answered(response) {
  if (response.ok) return response;
  const kind = response.headers.get("content-type") ?? "";
  if (!kind.startsWith("application/json")) throw new RefusedError((await response.text()).trim());
  const { sentence, path } = await response.json();
  throw new RefusedError(sentence, path);
}

async function ask(address, options) {
  let response;
  try {
    response = await fetch(address, options);
  } catch {
    throw new RefusedError(text("no answer"));
  }
  return answered(response);
}

/** Do something on the bench; the new state is taken. */
export async function post(address, body = "") {
  takeState(await (await ask(address, { method: "POST", body })).json());
}

/** Files, each with its path, as one body. */
function oneBody(brought) {
  const head = new TextEncoder().encode(JSON.stringify(brought.map(({ path, part }) => [path, part.size])));
  const length = new DataView(new ArrayBuffer(4));
  length.setUint32(0, head.length, true);
  return new Blob([length, head, ...brought.map(({ part }) => part)]);
}

/** Bring a file that the job names at a path. */
export function bringTo(path, file) {
  return post(`/companion/${path.join(".")}`, oneBody([{ path: file.name, part: file }]));
}

/** Bring files, each with its path, together; the sentence on what of them is not needed, "" where all is. */
export async function bring(brought) {
  const answer = await (await ask("/bring", { method: "POST", body: oneBody(brought) })).json();
  takeState(answer.state);
  return answer.told;
}

/** Set values of the job: pairs of a path and a value. */
export function set(changes) {
  return post("/set", JSON.stringify(changes));
}

/** The latest of many askings: at most one is under way, and of those that wait only the newest is asked. */
export function latest(work) {
  let waiting = null;
  let busy = false;
  return async function next(...args) {
    waiting = args;
    if (busy) return;
    busy = true;
    try {
      while (waiting) {
        const these = waiting;
        waiting = null;
        await work(...these);
      }
    } finally {
      busy = false;
    }
  };
}

/** The leather that changes would make, coarse, without making them; null where something newer came first. */
export async function leatherTried(changes) {
  return parcel(await ask("/try", { method: "POST", body: JSON.stringify(changes) }));
}

/** The curves that changes would make, without making them. */
export async function curvesOf(changes) {
  return (await ask("/curves", { method: "POST", body: JSON.stringify(changes) })).json();
}

/** The leather and lines that a piece of advice would make, counted from 0. */
export async function adviceTried(number) {
  return (await ask(`/advised/${number}`)).json();
}

const KINDS = { f4: Float32Array, u4: Uint32Array, u1: Uint8Array };

const NOTHING = 204; // HTTP status of an answer without content

/** A payload: its head, and its arrays by name, typed. It throws RefusedError where another has taken its place. */
export async function payload(kind, number) {
  const answer = await ask(`/payload/${kind}?${number}`);
  const found = await parcel(answer);
  if (found === null) throw new RefusedError(text("no longer there"));
  return found;
}

/** What an answer holds: its head, and its arrays by name, typed; null where it holds nothing. */
async function parcel(answer) {
  if (answer.status === NOTHING) return null;
  const bytes = await answer.arrayBuffer();
  const length = new DataView(bytes).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, 4, length)));
  const arrays = {};
  for (const [name, { kind: type, shape, start }] of Object.entries(head.arrays)) {
    const size = shape.reduce((product, n) => product * n, 1);
    arrays[name] = new KINDS[type](bytes, 4 + length + start, size);
  }
  return { head, arrays };
}

/** An address that lets another window in: { address, minutes }. */
export async function anotherWindow() {
  return (await ask("/another-window", { method: "POST" })).json();
}

const AGAIN = 2000; // ms between two attempts to hear again, where the browser makes none by itself

/** Hear of every change until the page is left; `lost` is told whether nothing can be heard. */
export function listen(lost) {
  const stream = new EventSource("/events");
  stream.onopen = () => lost(false);
  stream.onmessage = (event) => takeState(JSON.parse(event.data));
  stream.onerror = () => {
    lost(true);
    if (stream.readyState === EventSource.CLOSED) setTimeout(() => listen(lost), AGAIN);
  };
}
