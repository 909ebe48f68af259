// A keypad for values as people write them: digits, fractions, signs and the units of the moment.

import { button, el, put, t } from "./dom.js";
import { decimalMark } from "../language.js";

const DIGITS = ["7", "8", "9", "4", "5", "6", "1", "2", "3", "−", "0"];
const UNITS = {
  mm: { si: ["mm", "in"], us: ["in", "mm"] },
  degC: { si: ["°C", "°F"], us: ["°F", "°C"] },
  mrad: { si: ["mrad", "deg"], us: ["mrad", "deg"] },
  deg: { si: ["deg"], us: ["deg"] },
  kN: { si: ["kN", "kip"], us: ["kip", "kN"] },
};
const EIGHTHS = ["1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"];

let target = null;
let pad = null;

/**
 * Let an input be filled by the keypad; a keyboard goes on working.
 *
 * @param {HTMLInputElement} input
 * @param {string} dimension
 * @param {"si"|"us"} system
 */
export function useKeypad(input, dimension, system) {
  // The tablet's own keyboard stays away; it would cover the strip.
  input.setAttribute("inputmode", "none");
  input.setAttribute("autocomplete", "off");
  // Drawn anew under the hand that types: the keys go on with the input that took its place.
  input.addEventListener("replaced", ({ detail: now }) => {
    if (target !== input) return;
    if (now?.checkVisibility()) target = now;
    else closeKeypad();
  });
  input.addEventListener("focus", () => {
    if (target === input) return;
    open(input, dimension, system);
    // The keypad covers the foot of the screen: what is typed, and its strip, must stay in sight.
    input.closest(".channel, details")?.scrollIntoView({ block: "start" });
  });
}

/** Put the keypad away. */
export function closeKeypad() {
  pad?.remove();
  pad = null;
  target = null;
}

function open(input, dimension, system) {
  target = input;
  pad ??= document.body.appendChild(el("section", { class: "keypad", "aria-label": t("Keypad") }));
  const units = UNITS[dimension]?.[system] ?? [];
  const inches = units.includes("in");
  put(
    pad,
    el("div", { class: "keypad-digits" }, [...DIGITS, decimalMark()].map((each) => key(each, each))),
    el(
      "div",
      { class: "keypad-side" },
      key("⌫", null, erase, t("Delete the last sign")),
      key(t("space"), " "),
      inches ? key("/", "/") : null,
      units.map((unit) => key(unit, ` ${unit}`)),
      key(t("Done"), null, closeKeypad),
    ),
    inches ? el("div", { class: "keypad-fractions" }, EIGHTHS.map((each) => key(each, ` ${each} in`))) : null,
  );
}

function key(words, text, act = () => insert(text), label = null) {
  return button(words, act, {
    class: "key",
    "aria-label": label,
    // The input keeps the focus and its cursor.
    onpointerdown: (event) => event.preventDefault(),
  });
}

function insert(text) {
  const { selectionStart: from, selectionEnd: to, value } = target;
  const before = value.slice(0, from);
  // A unit or a fraction pressed twice must not stand twice after two spaces.
  const piece = text.startsWith(" ") && (before === "" || before.endsWith(" ")) ? text.trimStart() : text;
  target.setRangeText(piece, from, to, "end");
  told();
}

function erase() {
  const { selectionStart: from, selectionEnd: to } = target;
  target.setRangeText("", from === to ? Math.max(from - 1, 0) : from, to, "end");
  told();
}

function told() {
  target.dispatchEvent(new Event("input", { bubbles: true }));
}
