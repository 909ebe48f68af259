// What physics expects of a reading, from the five numbers that a packet carries:
//   expected = a + b T;   u^2 = c0 + c1 T + c2 T^2 + b^2 u_T^2 + u_reading^2
// Where two units meet, each side has its own T, b, c1 and c2; a and c0 are of the whole.

/**
 * @typedef {{temperature_c: number, u_temperature_k: number}} Warmth one side's temperature
 * @typedef {{a: number, c0: number, b: number, c1: number, c2: number,
 *   sides?: {unit_id: number, b: number, c1: number, c2: number}[]}} Line
 */

/**
 * Expected value and the standard uncertainty of a reading's residual.
 *
 * @param {Line} line of a channel
 * @param {Warmth[]} warmths one for each of the line's sides, or one for all of them
 * @param {number} [u_reading] standard uncertainty of the reading
 * @returns {{expected: number, u_residual: number}} in the unit of the quantity
 */
export function expectedAt(line, warmths, u_reading = 0) {
  let expected = line.a;
  let variance = line.c0 + u_reading ** 2;
  let u_together = 0;
  sidesOf(line).forEach((side, index) => {
    const { temperature_c, u_temperature_k } = moves(side) ? (warmths[index] ?? warmths[0]) : COLD;
    expected += side.b * temperature_c;
    variance += (side.c1 + side.c2 * temperature_c) * temperature_c;
    u_together += side.b * u_temperature_k; // got in the same way: the errors add before squaring
  });
  // Cancellation may leave a hair below zero at the setting temperature.
  return { expected, u_residual: Math.sqrt(Math.max(variance + u_together ** 2, 0)) };
}

/**
 * Whether a channel has something to be compared with, at these temperatures.
 *
 * @param {Line} line
 * @param {Warmth[]} warmths
 * @returns {"" | "no setting" | "no temperature"} what is missing
 */
export function missing(line, warmths) {
  const sides = sidesOf(line);
  const figures = [line.a, line.c0, ...sides.flatMap(({ b, c1, c2 }) => [b, c1, c2])];
  if (!figures.every(Number.isFinite)) return "no setting";
  const isKnown = (side, index) => {
    const { temperature_c, u_temperature_k } = warmths[index] ?? warmths[0] ?? {};
    return !moves(side) || (Number.isFinite(temperature_c) && Number.isFinite(u_temperature_k));
  };
  return sides.every(isKnown) ? "" : "no temperature";
}

/**
 * The position measured, carried along the expected slope to a temperature common to all sides.
 *
 * @param {Line} line
 * @param {Warmth[]} warmths at the hour of the reading
 * @param {number} value measured
 * @param {number|null} to_c effective temperature to carry it to
 * @returns {number|null} null where a slope or a temperature is not known; it needs no setting
 */
export function carriedTo(line, warmths, value, to_c) {
  const there = sidesOf(line).reduce((at, { b }, index) => {
    if (b === 0) return at;
    const { temperature_c } = warmths[index] ?? warmths[0] ?? {};
    // null counts as 0 in arithmetic, so what is not known must be asked for.
    return [b, to_c, temperature_c].every(Number.isFinite) ? at + b * (to_c - temperature_c) : NaN;
  }, value);
  return Number.isFinite(there) ? there : null;
}

/**
 * Standard uncertainty of the mean of one or more measurements (JCGM 100:2008, 4.2.3, 4.3.7).
 *
 * @param {number[]} values repeats of one point
 * @param {number} accuracy the instrument's, plus or minus
 */
export function uncertaintyOf(values, accuracy) {
  const mean = meanOf(values);
  const squares = values.reduce((sum, each) => sum + (each - mean) ** 2, 0);
  const spread = values.length > 1 ? Math.sqrt(squares / (values.length - 1)) : 0;
  return Math.hypot(accuracy / Math.sqrt(3), spread / Math.sqrt(values.length));
}

/**
 * Mean of repeats.
 *
 * @param {number[]} values
 */
export function meanOf(values) {
  return values.reduce((sum, each) => sum + each, 0) / values.length;
}

const COLD = { temperature_c: 0, u_temperature_k: 0 };

function sidesOf(line) {
  return line.sides?.length ? line.sides : [line];
}

// What does not move with temperature needs none: a rotation, a slip, a rod's projection.
function moves({ b, c1, c2 }) {
  return b !== 0 || c1 !== 0 || c2 !== 0;
}
