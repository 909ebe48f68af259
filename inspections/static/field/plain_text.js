// Typed text made plain before it is read.

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
