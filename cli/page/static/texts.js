// What the page says: one table of texts in the user's language, sent by the server.

const TEXTS = await (await fetch("/texts")).json();

/** The text of a key, its figures put in. */
export function text(key, figures) {
  return textParts(key, figures).join("");
}

/** The text of a key in parts, where figures may be elements. */
export function textParts(key, figures = {}) {
  if (!Object.hasOwn(TEXTS, key)) throw new RangeError(key);
  return TEXTS[key].split(/\{(\w+)\}/).map((part, n) => {
    if (n % 2 === 0) return part;
    if (!Object.hasOwn(figures, part)) throw new RangeError(`${key}: ${part}`);
    return figures[part];
  });
}
