// Fields of the work order: each holds one value of the job, and says beside itself what is wrong with what is in it.

import { fill, h } from "/static/dom.js";
import { RefusedError, set, state } from "/static/requests.js";
import { clearError } from "/static/messages.js";

export function valueAt(path) {
  return path.reduce((at, part) => at?.[part], state.job);
}

let fieldCount = 0;

/** What is wrong with what is in `input`: said beside it, in `row`, until it is mended or put back. */
export function complaint(row, input) {
  const words = h("span", { class: "wrong", id: `${input.id}-wrong` });
  const described = input.getAttribute("aria-describedby");
  return {
    /** Do something; say what is wrong where the server refuses it. */
    async during(work) {
      try {
        await work();
      } catch (error) {
        if (!(error instanceof RefusedError)) throw error;
        this.say(error.message);
        return false;
      }
      clearError();
      return true;
    },
    get stands() { return words.isConnected; },
    say(sentence) {
      words.remove();
      words.setAttribute("role", "alert"); // put in anew, so that it is read out, once
      words.textContent = sentence;
      row.append(words);
      input.setAttribute("aria-invalid", "true");
      input.setAttribute("aria-describedby", [described, words.id].filter(Boolean).join(" "));
    },
    end() {
      words.remove();
      input.removeAttribute("aria-invalid");
      if (described) input.setAttribute("aria-describedby", described);
      else input.removeAttribute("aria-describedby");
    },
  };
}

/** Let what is in `input` be taken by `take` and shown by `show`: where it is refused, it stays to be mended, red, with
 * the words beside it, until it is taken, Escape is pressed, or the job says something else at `path`. */
export function takenBy(row, input, { take, show, path }) {
  const wrong = complaint(row, input);
  let refusedAt = "";
  const now = () => JSON.stringify(path().map((part) => valueAt(part) ?? null));
  const putBack = () => {
    wrong.end();
    show({ writing: false });
  };
  row.show = () => {
    if (!wrong.stands) show({ writing: document.activeElement === input });
    else if (now() !== refusedAt) putBack();
  };
  row.take = async () => {
    const fine = await wrong.during(take);
    if (fine) putBack();
    else refusedAt = now();
    return fine;
  };
  input.addEventListener("change", row.take);
  input.addEventListener("keydown", (event) => {
    if (event.key !== "Escape" || !wrong.stands) return;
    event.stopPropagation();
    putBack();
  });
  return row;
}

const told = (words) => (typeof words === "function" ? words() : words);

/** A row of a form: its label, its input and its hint; words may be functions, where they hang on the limb. */
export function labelled(label, input, hint) {
  input.id ||= `field-${++fieldCount}`;
  const name = h("label", { for: input.id });
  const row = h("p", { class: "field" }, name, input);
  const below = hint && h("span", { class: "hint", id: `${input.id}-hint` });
  if (below) {
    row.append(below);
    input.setAttribute("aria-describedby", below.id);
  }
  row.input = input;
  if (typeof label !== "function") name.textContent = label;
  if (below && typeof hint !== "function") below.textContent = hint;
  row.tell = () => {
    if (typeof label === "function") name.textContent = label();
    if (below && typeof hint === "function") below.textContent = hint();
  };
  return row;
}

/** A field for one value of the job. It is taken when it is left, or at Enter. */
export function field(label, path, { choices, hint, write = (value) => value, read = toHundredths } = {}) {
  const options = () => told(choices).map(([value, words]) => h("option", { value }, words));
  const input = choices
    ? h("select", {}, ...(typeof choices === "function" ? [] : options()))
    : h("input", { type: "text", autocomplete: "off", spellcheck: "false" });
  const row = labelled(label, input, hint);
  return takenBy(row, input, {
    path: () => [path],
    show({ writing }) {
      row.tell();
      if (typeof choices === "function") fill(input, ...options());
      if (choices || !writing) input.value = read(valueAt(path));
    },
    async take() {
      const written = input.value.trim();
      if (written !== read(valueAt(path))) await set([[path, write(written)]]);
    },
  });
}

/** A field for what is or is not so. */
export function yesNo(label, path, { hint, write = (value) => value, read = (value) => value } = {}) {
  const input = h("input", { type: "checkbox" });
  const row = labelled(label, input, hint);
  row.classList.add("yes-no");
  return takenBy(row, input, {
    path: () => [path],
    show() {
      row.tell();
      input.checked = read(valueAt(path));
    },
    take: () => set([[path, write(input.checked)]]),
  });
}

/** A value of the job as its field shows it: of a length no more digits than any tool measures. */
function toHundredths(value) {
  const found = /^(-?\d+\.\d{3,}) mm$/.exec(value ?? "");
  return found ? `${Number(Number(found[1]).toFixed(2))} mm` : value ?? "";
}

/** A length of the job as a maker says it: to a tenth of a millimetre. */
export function plain(length) {
  const found = /^(-?[\d.]+) mm$/.exec(length);
  return found ? `${Number(Number(found[1]).toFixed(1))} mm` : length;
}
