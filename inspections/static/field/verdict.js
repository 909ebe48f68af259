// What is said of a value while it is typed: possible, past a limit, outside the band, within it.
// It helps whoever measures to look twice; the verdict on record is the server's.

import { carriedTo, expectedAt, meanOf, missing, uncertaintyOf } from "./expect.js";
import { shown } from "./units.js";
import { t } from "./language.js";
import { AHEAD, CARRIED, DIRECTIONS, LACKS } from "./verdict_words.js";

export { WORDS } from "./verdict_words.js";

/**
 * Judge the value or values typed for one channel.
 *
 * @param {object} channel of the packet; its limits are positions, not distances
 * @param {number[]} values one, or the repeats of a second measurement
 * @param {object[]} warmths from `warmthsOf`
 * @param {{band_k: number}} thresholds the packet's
 * @param {"si"|"us"} system of the sentences
 * @returns {object} `word` (a key of WORDS), `sentence`, `asks_again`, and the numbers behind
 *   them; null where a number could not be had
 */
export function judgeTyped(channel, values, warmths, thresholds, system) {
  const value = meanOf(values);
  const show = (number) => shown(number, channel.dimension, system);
  const impossible = values.find((each) => !(each >= channel.low && each <= channel.high));
  if (impossible !== undefined) {
    return { word: "impossible", sentence: cannotBe(impossible, channel, show), asks_again: true };
  }
  const lack = missing(channel, warmths);
  const numbers = { value, ...(lack ? NO_BAND : bandOf(channel, values, warmths, thresholds)) };
  numbers.use_now = useOf(value, channel);
  const carried = carriedOf(channel, warmths, value);
  [numbers.carried_to_min, numbers.carried_to_max] = [0, 1].map((at) => carried[at]?.value ?? null);

  const isOutside = Math.abs(numbers.residual) > numbers.half_width;
  const limit = limitReached(value, channel);
  const parts = [lack ? t(LACKS[lack]) : compared(channel, numbers, isOutside, show)];
  if (limit !== null) parts.push(t("it has reached its limit of {limit} now", { limit: show(limit) }));
  const later = carried.filter((each) => each.limit !== null);
  for (const { name, to_c, limit: met } of later) {
    const extreme = shown(to_c, "degC", system);
    parts.push(t(CARRIED[name], { extreme, limit: show(met) }));
  }
  const asksAgain = (isOutside || limit !== null) && values.length < 2;
  if (asksAgain) parts.push(t("measure a second time, both are kept"));
  let word = isOutside ? "outside_band" : lack ? "not_compared" : "within_band";
  if (limit !== null || later.length) word = "past_limit";
  const whole = parts.join("; ");
  return {
    word,
    sentence: `${whole[0].toUpperCase()}${whole.slice(1)}.`,
    asks_again: asksAgain,
    ...numbers,
  };
}

const NO_BAND = {
  expected: null,
  u_residual: null,
  half_width: null,
  residual: null,
  residual_in_u: null,
};

function bandOf(channel, values, warmths, thresholds) {
  const u_reading = uncertaintyOf(values, channel.accuracy);
  const { expected, u_residual } = expectedAt(channel, warmths, u_reading);
  const residual = meanOf(values) - expected;
  const exact = residual === 0 ? 0 : Math.sign(residual) * Infinity;
  return {
    expected,
    u_residual,
    half_width: thresholds.band_k * u_residual,
    residual,
    residual_in_u: u_residual > 0 ? residual / u_residual : exact,
  };
}

// What does not move with temperature has nothing to be carried to an extreme.
function carriedOf(channel, warmths, value) {
  if (channel.b === 0 && !channel.sides?.some((side) => side.b !== 0)) return [];
  return [
    ["lowest", channel.design_min_c],
    ["highest", channel.design_max_c],
  ].map(([name, to_c]) => {
    const there = carriedTo(channel, warmths, value, to_c);
    const limit = there === null ? null : limitReached(there, channel);
    return { name, to_c, value: there, limit };
  });
}

// A limit counts as reached where the value stands on it: a gap of 0 is closed.
function limitReached(value, { limit_lower, limit_upper }) {
  if (Number.isFinite(limit_lower) && value <= limit_lower) return limit_lower;
  if (Number.isFinite(limit_upper) && value >= limit_upper) return limit_upper;
  return null;
}

function useOf(value, { limit_lower, limit_upper, neutral }) {
  const shares = [limit_lower, limit_upper]
    .filter((limit) => Number.isFinite(limit) && Number.isFinite(neutral) && limit !== neutral)
    .map((limit) => (value - neutral) / (limit - neutral));
  return shares.length ? Math.max(...shares) : null;
}

function compared(channel, { expected, half_width, residual }, isOutside, show) {
  const numbers = { expected: show(expected), band: show(half_width), amount: show(Math.abs(residual)) };
  if (!isOutside) return t("expected {expected}, within the band of ±{band}", numbers);
  const directions = DIRECTIONS[channel.quantity] ?? AHEAD;
  return `${t(directions[residual > 0 ? 0 : 1], numbers)}, ${t("outside the band of ±{band}", numbers)}`;
}

function cannotBe(value, { low, high }, show) {
  const words = value < low
    ? t("{value} is below {limit}, the least it can be.", { value: show(value), limit: show(low) })
    : t("{value} is above {limit}, the most it can be.", { value: show(value), limit: show(high) });
  return `${words} ${t("Check the unit and the sign, or measure again.")}`;
}
