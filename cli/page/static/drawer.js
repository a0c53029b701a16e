// The drawer in which all is told that the verdict's lines have no room for: opened and closed by whoever reads.

import { byId } from "/static/dom.js";
import { keysOf } from "/static/keys.js";
import { text } from "/static/texts.js";

const [drawer, opener] = [byId("told"), byId("tell")];

function open() {
  show(true);
  byId("told-title").focus({ preventScroll: true });
}

function show(shown) {
  drawer.hidden = !shown;
  opener.setAttribute("aria-expanded", String(shown));
  document.body.classList.toggle("telling", shown);
}

/** Put it away, wherever the focus is. */
export function closeDrawer() {
  show(false);
}

function close() {
  show(false);
  opener.focus({ preventScroll: true });
}

/** Say how much there is to be told; nothing is no drawer. */
export function countTold(count) {
  const words = text("told.open", { count });
  if (opener.textContent !== words) opener.textContent = words;
  opener.hidden = !count;
  if (!count) show(false);
}

const drawerKey = keysOf("keys.told", [{ keys: ["Escape"], says: "keys.close told", act: close }]);

/** Begin. Whoever follows a link to the work order finds it open to view. */
export function startDrawer() {
  opener.addEventListener("click", () => (drawer.hidden ? open() : close()));
  byId("told-close").addEventListener("click", close);
  drawer.addEventListener("keydown", (event) => drawerKey(event));
  document.addEventListener("click", ({ target }) => {
    if (target.closest("a[href='#order'], a[href^='#question-']")) show(false);
  }, true);
}
