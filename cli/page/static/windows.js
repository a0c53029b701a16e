// Windows on the bench: whether this one hears of it, and how another is let in.

import { button, byId, h } from "/static/dom.js";
import { announce, attempt } from "/static/messages.js";
import { anotherWindow, listen } from "/static/requests.js";
import { text } from "/static/texts.js";

function offerAnother() {
  const told = h("p", { hidden: true });
  const offer = button(text("another"), () => attempt(async () => {
    const { address, minutes } = await anotherWindow();
    const words = text("another.address", { minutes });
    told.replaceChildren(`${words} `, h("code", {}, address));
    told.hidden = false;
    announce(`${words} ${address}`);
  }), { id: "another-window" });
  byId("another").replaceChildren(h("p", {}, offer), told);
}

/** Say that nothing is heard any more for as long as that is so; what stands on the page stays as it is. */
function showLost(lost) {
  document.body.classList.toggle("lost", lost);
  byId("lost").hidden = !lost;
}

export function startWindows() {
  offerAnother();
  listen(showLost);
}
