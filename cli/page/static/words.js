// What is said in passing: to the eye in a message, to a screen reader alone.

import { Told } from "/static/ask.js";

const message = document.getElementById("message");
const quiet = document.createElement("p");
quiet.className = "hidden";
quiet.setAttribute("role", "status");
document.body.append(quiet);

message.querySelector("button").addEventListener("click", () => { message.hidden = true; });

/** Say something that only who does not see must hear. */
export function say(words) {
  quiet.textContent = words;
}

/** Show a sentence until it is closed, or until something works. */
export function complain(words) {
  message.querySelector("p").textContent = words;
  message.hidden = false;
}

export function calm() {
  message.hidden = true;
}

/** Do something; where the server refuses it in a sentence, show it, and put back what was there. */
export async function tell(work, putBack = () => {}) {
  try {
    await work();
    calm();
    return true;
  } catch (error) {
    if (!(error instanceof Told)) throw error;
    putBack();
    complain(error.message);
    return false;
  }
}
