// The leather while a line is held by hand: asked for again and again, coarse, and shown in place of what was laid.

import { RefusedError, latest, leatherTried, state } from "/static/requests.js";
import { text } from "/static/texts.js";

const AGAIN = 150; // ms after which is asked again where something newer came first: a preview is laid meanwhile

let bench = null; // how the bench shows panels that are tried, and what was laid again
let round = 0; // grows with the end of each trial: what is answered later is no longer wanted
let held = false;
let shown = false;
let words = [];
let timer = 0;

/** Set how leather that is tried is shown (its panels' heads, and its arrays), and how it is taken away again. */
export function showTriedBy(show, putBack) {
  bench = { show, putBack };
}

/** Whether a line is held now: what is laid meanwhile is not shown yet. */
export function isHeld() {
  return held;
}

/** What the leather would ask for with the line as it is held, or why it cannot be; nothing before the first answer. */
export function heldWords() {
  return words;
}

/** The leather with these changes is wanted; `heard` is called whenever there is something new to be said of it. */
export function tryChanges(changes, heard) {
  held = true;
  clearTimeout(timer);
  ask(changes, round, heard);
}

const ask = latest(async (changes, mine, heard) => {
  if (mine !== round) return;
  try {
    const answer = await leatherTried(changes);
    if (mine !== round) return;
    if (answer === null) {
      clearTimeout(timer);
      if (held) timer = setTimeout(() => ask(changes, mine, heard), AGAIN);
      return;
    }
    const [most, least] = answer.head.words;
    words = [text("held.most", { share: most }), text("held.least", { share: least })];
    shown = true;
    bench.show(answer);
  } catch (error) {
    if (!(error instanceof RefusedError)) throw error;
    if (mine !== round) return;
    words = [error.message]; // the last leather that can be stays
  }
  heard();
});

/** The line is let go of where it is: what is shown stays until its own leather is laid. */
export function letGo() {
  held = false;
  words = [];
  endTrial();
}

/** Once nothing is held, and nothing more is to come for what is shown, show what was laid. */
export function endTrial() {
  const { leather, failure, work } = state;
  if (!held && (leather?.current || failure || work?.stopped)) takeBackTrial();
}

/** Put back what was laid. */
export function takeBackTrial() {
  const were = shown;
  forgetTrial();
  if (were) bench.putBack();
}

/** The next leather takes the place of what is shown; whether anything was. */
export function forgetTrial() {
  const were = shown;
  round += 1;
  held = false;
  shown = false;
  words = [];
  clearTimeout(timer);
  return were;
}
