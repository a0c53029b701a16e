// Words: lengths and places as a maker says them, and what is said in passing.

import { zeroName } from "/static/kinds.js";
import { RefusedError } from "/static/requests.js";
import { text } from "/static/texts.js";

const message = document.getElementById("message");
const quiet = document.createElement("p");
quiet.className = "hidden";
quiet.setAttribute("role", "status");
document.body.append(quiet);

message.querySelector("button").addEventListener("click", () => { message.hidden = true; });

/** Whole millimetres with a true minus. */
export function mm(number) {
  return text("mm", { length: `${Math.round(number)}`.replace("-", "−") });
}

/** A height on the limb as a maker says it. */
export function heightWords(height) {
  return text(height < 0 ? "below" : "above", { height: Math.abs(Math.round(height)), zero: zeroName() });
}

/** The same words, no figure parted from its unit where a line ends. */
export function unbroken(text) {
  return text.replace(/(\d) (?=%|mm\b)/g, "$1\u00a0");
}

/** Say something that only who does not see must hear. */
export function announce(words) {
  quiet.textContent = words;
}

/** Show a sentence until it is closed, or until something works. */
export function showError(words) {
  show(words, false);
}

/** Show a sentence that is no error, in the same place and as long. */
export function showNote(words) {
  show(words, true);
}

function show(words, isNote) {
  message.classList.toggle("note", isNote);
  message.querySelector("p").textContent = words;
  message.hidden = false;
}

export function clearError() {
  message.hidden = true;
}

/** Do something; where the server refuses it in a sentence, show it, and put back what was there. */
export async function attempt(work, putBack = () => {}) {
  clearError(); // before: what is told meanwhile stays
  try {
    await work();
    return true;
  } catch (error) {
    if (!(error instanceof RefusedError)) throw error;
    putBack();
    showError(error.message);
    return false;
  }
}
