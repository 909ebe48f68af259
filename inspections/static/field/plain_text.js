// Typed text made plain before it is read.

import { decimalMark } from "./language.js";

// What Python calls white space, which is not quite what JavaScript does.
const SPACE =
  "[\\t-\\r\\x1c-\\x20\\x85\\xa0\\u1680\\u2000-\\u200a\\u2028\\u2029\\u202f\\u205f\\u3000]";
const SPACES = new RegExp(`${SPACE}+`, "g");
const AROUND = new RegExp(`^${SPACE}+|${SPACE}+$`, "g");
const LOOKALIKES = new Map([
  ...[..."−–‐‑"].map((each) => [each, "-"]),
  ...[..."″”“"].map((each) => [each, '"']),
  ...[..."′’"].map((each) => [each, "'"]),
  ["⁄", "/"],
  ["º", "°"],
  ["℃", "°C"],
  ["℉", "°F"],
]);
const LOOKALIKE = new RegExp(`[${[...LOOKALIKES.keys()].join("")}]`, "g");

/**
 * Return a text without white space around it.
 *
 * @param {string} text
 */
export function trimmed(text) {
  return text.replace(AROUND, "");
}

/**
 * Return a text with lookalikes, fractions of one character and spaces in their plain form.
 *
 * @param {string} text
 */
export function plain(text) {
  return text
    .replace(/\p{No}/gu, (each) => ` ${each.normalize("NFKC")}`)
    .replace(LOOKALIKE, (each) => LOOKALIKES.get(each))
    .replaceAll("''", '"')
    .replace(SPACES, " ")
    .replace(/^ | $/g, "");
}

/**
 * Return a text with the digits of any script as 0 to 9.
 *
 * They stand in runs of ten, so the place in the run is the value.
 *
 * @param {string} text
 */
export function ascii(text) {
  return text.replace(/\p{Nd}/gu, (each) => {
    let before = 0;
    while (/\p{Nd}/u.test(String.fromCodePoint(each.codePointAt(0) - before - 1))) before += 1;
    return String(before % 10);
  });
}

// With a decimal comma, as the server reads it.
const GROUPED = /(?<![\p{Nd}.,])(?!0)\p{Nd}{1,3}\.\p{Nd}{3}(?![\p{Nd}.,]|e[+-]?\p{Nd})/iu;
const WITH_COMMA = /[\p{Nd}.,]*,[\p{Nd}.,]*/gu;
const ONE_COMMA = /^(?:\p{Nd}+,\p{Nd}*|,\p{Nd}+)$/u;

/** Write a point for the decimal comma of the language; null for what has two meanings: 1.234 */
export function withPoint(text) {
  if (decimalMark() === ".") return text;
  if (GROUPED.test(text)) return null;
  const found = text.match(WITH_COMMA) ?? [];
  if (!found.every((each) => ONE_COMMA.test(each))) return null;
  return text.replace(WITH_COMMA, (each) => each.replace(",", "."));
}

/** Write the decimal mark of the language for the points of numbers. */
export function withMark(text) {
  return text.replace(/(?<=\p{Nd})\.(?=\p{Nd})/gu, decimalMark());
}
