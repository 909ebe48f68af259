// Short words that several screens share.

import { counted, language, mark, t } from "../language.js";

const AXES = { square: mark("square to the joint"), road: mark("along the road") };
const CLOCKS = { en: "en-GB" };

/** What a channel reads: "Joint gap, left, along the road". */
export function nameOf({ label, point, axis }) {
  return [label, codeWords(point), AXES[axis] && t(AXES[axis])].filter(Boolean).join(", ");
}

/** A code of a record in words: a point, a quantity, a place. */
export function codeWords(code = "") {
  const [, number] = /^rod (\d+)$/.exec(code) ?? [];
  return number ? t("rod {number}", { number }) : t(code.replace("_", " "));
}

/** How old something is, in words. */
export function ageWords(hours) {
  if (hours < 1) return t("less than an hour old");
  if (hours < 48) return t("{hours} hours old", { hours: Math.round(hours) });
  return t("{days} days old", { days: Math.round(hours / 24) });
}

/** Time of day of an ISO time, by the bridge's clock. */
export function timeWords(iso, time_zone) {
  const clock = CLOCKS[language()] ?? language();
  return new Intl.DateTimeFormat(clock, { timeStyle: "short", timeZone: time_zone }).format(new Date(iso));
}

/** "1 element", "3 elements". */
export function elements(count) {
  return counted("{count} element", "{count} elements", count);
}
