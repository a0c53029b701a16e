// The key sheet: every key that works, made from the tables that the keys themselves go by; mouse and fingers beside.

import { button, byId, h } from "/static/dom.js";
import { keyTables, keysOf } from "/static/keys.js";
import { text } from "/static/texts.js";

const sheet = h("dialog", { id: "key-sheet", "aria-labelledby": "key-sheet-title" });
const opener = button(text("keys.open"), open, {
  id: "keys", title: text("keys.open named"), "aria-label": text("keys.open named"), "aria-haspopup": "dialog",
});

const anywhere = keysOf("keys.anywhere", [
  { keys: ["?"], says: "keys.sheet", act: open },
]);

const touch = [
  "keys.swipe", "keys.swipe beside", "keys.two", "keys.apart", "keys.tap", "keys.drag point touch",
];
const mouse = ["keys.drag", "keys.drag beside", "keys.wheel", "keys.double", "keys.hover", "keys.drag point"];

/** A key as it stands on a keyboard. */
function keyName(key) {
  return key.length > 1 ? text(`key.${key}`) : key.toUpperCase().replace("-", "−");
}

/** The keys of a row, any of which does it; before them Ctrl or Shift where that is held. */
function keysShown({ keys, shift, ctrl }) {
  const held = [...(ctrl ? [text("key.Control")] : []), ...(shift ? [text("key.Shift")] : [])];
  return h("span", {}, ...[...held, ...keys.map(keyName)].map((name) => h("kbd", {}, name)));
}

function line(shown, words) {
  return h("tr", {}, h("th", { scope: "row" }, ...shown), h("td", {}, words));
}

/** Lines that say the same are one line with all their keys. */
function linesOf(rows) {
  const said = new Map();
  for (const row of rows) said.set(row.says, [...(said.get(row.says) ?? []), keysShown(row)]);
  return [...said].map(([says, shown]) => line(shown, text(says)));
}

function section(title, lines) {
  return h("table", {}, h("caption", {}, title), h("tbody", {}, ...lines));
}

/** What is done without keys: how, and what it does. */
function byHand(title, rows) {
  return section(text(title), rows.map((says) => line([text(`${says} how`)], text(says))));
}

function made() {
  const close = button(text("close"), () => sheet.close());
  return [
    h("div", { class: "sheet-head" }, h("h2", { id: "key-sheet-title" }, text("keys.title")), close),
    h("div", { class: "sheet-parts" },
      byHand("keys.mouse", mouse), byHand("keys.touch", touch),
      ...keyTables().map(({ place, rows }) => section(text(place), linesOf(rows)))),
  ];
}

function open() {
  if (sheet.open) return;
  sheet.replaceChildren(...made());
  sheet.showModal();
}

/** Begin: the button stands with the tools. */
export function startKeySheet() {
  byId("tools").append(h("span", {}, opener));
  document.body.append(sheet);
  addEventListener("keydown", (event) => {
    if (!event.target.matches("input, textarea, select")) anywhere(event);
  });
}
