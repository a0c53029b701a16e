// The page's own colours as the picture needs them: numbers from the style sheet's variables.

function numbers(style, name) {
  const text = style.getPropertyValue(name).trim();
  return [1, 3, 5].map((at) => parseInt(text.slice(at, at + 2), 16) / 255);
}

/** Colours as red, green, blue from 0 to 1; those of so many bands one after another in one row. */
export function colours(stretched, squeezed) {
  const style = getComputedStyle(document.documentElement);
  const one = (name) => numbers(style, name);
  const bands = (letter, count) => Array.from({ length: count }, (_, k) => one(`--${letter}${k + 1}`)).flat();
  return {
    even: one("--even"),
    hatch: one("--hatch"),
    rim: one("--hatch-rim"),
    skin: one("--skin"),
    soft: one("--soft"),
    stretched: bands("s", stretched),
    squeezed: bands("q", squeezed),
  };
}
