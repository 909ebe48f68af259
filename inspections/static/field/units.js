// Values as people write them, in and out: the same rules and words as the server's.

import { ascii, plain, trimmed, withMark, withPoint } from "./plain_text.js";
import { SPELLINGS, UNITS, WRITTEN } from "./units_table.js";
import { t } from "./language.js";

const WHOLE = "\\p{Nd}{1,9}";
const FRACTION = `${WHOLE} */ *${WHOLE}`;
const POWER = "(?:e[+-]?\\p{Nd}+)?";
const NUMBER = new RegExp(
  "^(?<sign>[+-])? *" +
    `(?:(?<feet>${WHOLE}) *(?:'|ft\\.?|feet|foot) *-? *(?=[\\p{Nd}.]))?` +
    `(?:(?<whole>${WHOLE}) *(?: |-) *(?<mixed>${FRACTION})` +
    `|(?<fraction>${FRACTION})` +
    `|(?<decimal>\\p{Nd}+(?:\\.\\p{Nd}*)?${POWER}|\\.\\p{Nd}+${POWER}))` +
    " *(?<unit>(?:1? */)?[^\\p{Nd} .,/+\\-][^\\p{Nd},]*?2?)?$",
  "iu",
);

/** What was typed is not a value: `message` says why, `remedy` what to write. */
export class Refused extends Error {
  constructor(message, remedy) {
    super(message);
    this.name = "Refused";
    this.remedy = remedy;
  }
}

/**
 * Read a value as people write it: `2 3/16 in`, `2-3/16"`, `1' 2"`, `55.5 mm`, `68 F`.
 *
 * @param {string} text what was typed
 * @param {string} dimension the unit it is stored in: mm, m, degC, K, mrad, deg, kN, ...
 * @param {string} [unit] unit meant where none is written; empty for the stored one
 * @returns {{value: number, typed: string}} the value in the stored unit
 * @throws {Refused}
 */
export function parse(text, dimension, unit = "") {
  const typed = trimmed(text);
  const found = plain(text);
  const pointed = withPoint(found);
  if (pointed === null) throw twoWays(typed);
  const match = NUMBER.exec(pointed)?.groups;
  if (!match) throw notAValue(typed, found, dimension);
  let written = match.unit ?? "";
  let number = numberOf(match);
  if (match.feet) {
    if (written && spelt(written) !== "inch") {
      throw new Refused(t("«{typed}» mixes feet with {written}", { typed, written }), t("Write 1' 2\"."));
    }
    written = "in";
    number += 12 * Number(ascii(match.feet));
  }
  if (match.sign === "-") number = -number;
  const [factor, offset] = conversion(written || unit || dimension, dimension);
  const value = number * factor + offset;
  if (!Number.isFinite(value)) throw notAValue(typed, found, dimension);
  return { value, typed: withPoint(typed) ?? typed };
}

/**
 * Return what was typed with its unit: the server reads it without knowing the form's unit.
 *
 * @param {string} text what `parse` accepted
 * @param {string} unit unit meant where none is written
 */
export function withUnit(text, unit) {
  const pointed = withPoint(text) ?? text;
  const match = NUMBER.exec(plain(pointed))?.groups;
  const typed = trimmed(pointed);
  return !match || match.unit || match.feet || !unit ? typed : `${typed} ${unit}`;
}

/**
 * Return a stored value as text in the user's units, a dash where there is none.
 *
 * @param {number|null|undefined} value in the stored unit
 * @param {string} dimension
 * @param {"si"|"us"} system
 * @param {boolean} [sign] show a plus too, where the sign tells a direction
 */
export function shown(value, dimension, system, sign = false) {
  if (!Number.isFinite(value ?? NaN)) return "–";
  const [label, factor, offset, decimals] = UNITS[dimension][system];
  const number = value * factor + offset;
  const digits = fixed(Math.abs(number), decimals);
  const below = number < 0 && Number(digits) !== 0;
  const gap = label === "" || label === "°" ? "" : "\u202f";
  return `${below ? "−" : sign ? "+" : ""}${withMark(digits)}${gap}${label}`;
}

// Half a digit goes to the even neighbour, as on the server; toFixed would always go up.
function fixed(number, decimals) {
  const [whole, rest] = number.toFixed(decimals + 30).split(".");
  const isHalf = /^50*$/.test(rest.slice(decimals));
  const cut = decimals ? `${whole}.${rest.slice(0, decimals)}` : whole;
  return isHalf && Number(cut.at(-1)) % 2 === 0 ? cut : number.toFixed(decimals);
}

function notAValue(typed, found, dimension) {
  let advice = t(UNITS[dimension].advice);
  if (/\p{Nd},\p{Nd}/u.test(found)) {
    advice = t("Write a decimal point, not a comma: 55.5, or 1234.5 without one.");
  } else if (/\p{Nd} \p{Nd}{3}(?![\p{Nd}/])/u.test(found)) {
    advice = t("Write nothing between thousands: 1234.5.");
  }
  return new Refused(t("«{typed}» is not a value", { typed }), advice);
}

function twoWays(typed) {
  return new Refused(
    t("«{typed}» can be read in two ways", { typed }),
    t("Write a comma before the decimals and nothing between thousands: 1,234 or 1234."),
  );
}

function conversion(written, dimension) {
  if (!written && dimension === "") return [1, 0];
  const { accepts } = UNITS[dimension];
  const name = spelt(written);
  if (name && Object.hasOwn(accepts, name)) return accepts[name];
  const usable = Object.keys(accepts).map((each) => WRITTEN[each] ?? each);
  throw new Refused(
    t("«{written}» is no unit of this quantity", { written: trimmed(written) }),
    usable.length ? t("Use one of {units}.", { units: usable.join(", ") }) : t("Write the number alone."),
  );
}

function spelt(written) {
  const lower = trimmed(written).toLowerCase();
  return SPELLINGS.get(lower) ?? SPELLINGS.get(lower.replaceAll(" ", ""));
}

// NaN for a fraction that is none: 1/0, 2 19/16.
function numberOf(match) {
  if (match.decimal) return Number(ascii(match.decimal));
  const [top, bottom] = ascii(match.mixed ?? match.fraction).split("/").map(Number);
  if (bottom === 0 || (match.mixed && top >= bottom)) return NaN;
  return Number(ascii(match.whole ?? "0")) + top / bottom;
}
