// Short words that several screens share.

const AXES = { square: "square to the joint", road: "along the road" };

/** What a channel reads: "Joint gap, left, along the road". */
export function nameOf({ label, point, axis }) {
  return [label, point, AXES[axis]].filter(Boolean).join(", ");
}

/** How old something is, in words. */
export function ageWords(hours) {
  if (hours < 1) return "less than an hour old";
  if (hours < 48) return `${Math.round(hours)} hours old`;
  return `${Math.round(hours / 24)} days old`;
}

/** Time of day of an ISO time, by the bridge's clock. */
export function timeWords(iso, time_zone) {
  return new Intl.DateTimeFormat("en-GB", { timeStyle: "short", timeZone: time_zone }).format(new Date(iso));
}

/** "1 reading", "3 readings". */
export function plural(count, word) {
  return `${count} ${word}${count === 1 ? "" : "s"}`;
}
