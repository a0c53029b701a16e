// The page's own colours as the picture needs them: numbers from the style sheet's variables.

const NAMES = {
  stretched: ["--s1", "--s2", "--s3", "--s4", "--s5", "--s6", "--s7"],
  squeezed: ["--q1", "--q2", "--q3", "--q4"],
};

function numbers(style, name) {
  const text = style.getPropertyValue(name).trim();
  return [1, 3, 5].map((at) => parseInt(text.slice(at, at + 2), 16) / 255);
}

/** Colours as red, green, blue from 0 to 1; those of the bands one after another in one row. */
export function colours() {
  const style = getComputedStyle(document.documentElement);
  const one = (name) => numbers(style, name);
  return {
    even: one("--even"),
    hatch: one("--hatch"),
    skin: one("--skin"),
    soft: one("--soft"),
    stretched: NAMES.stretched.flatMap(one),
    squeezed: NAMES.squeezed.flatMap(one),
  };
}
