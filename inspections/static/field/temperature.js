// Effective temperature of a unit from what the crew took, by the best way that there is.
// The ways that need a sensor or an air record are the server's alone.

import { mark } from "./language.js";

const DECK = ["deck_top", "deck_soffit"];
// The first shaded one stands alone where no deck temperature was taken.
const GIRDER = ["girder_web", "girder_bottom", "girder_top"];
const EQUAL_SHARE = 0.5;

/** Ways, best first, with the number that the server gives each. */
export const WAYS = {
  2: { words: mark("deck and girder surfaces, weighted"), u: "u_surfaces_k" },
  3: { words: mark("one shaded girder surface"), u: "u_shaded_surface_k" },
  5: { words: mark("one shade air temperature"), u: "u_shade_air_k" },
};

/**
 * Effective temperature of one unit at one time.
 *
 * @param {number} unit_id
 * @param {string} taken_at time of the reading, ISO 8601
 * @param {{unit: number|null, place: string, sunlit: boolean, temperature_c: number,
 *   taken_at: string}[]} taken the visit's temperatures
 * @param {object} settings the packet's `temperature`
 * @returns {{temperature_c: number, u_temperature_k: number, way: number} | null}
 */
export function effectiveTemperature(unit_id, taken_at, taken, settings) {
  const { every, shaded } = nearest(unit_id, taken_at, taken, settings.window_h * 3600);
  const share = settings.units.find((each) => each.id === unit_id)?.deck_share ?? EQUAL_SHARE;
  const deck = partMean(DECK, every, shaded);
  const girder = partMean(GIRDER, every, shaded);
  const ways = {
    2: deck === null || girder === null ? null : share * deck + (1 - share) * girder,
    3: GIRDER.map((place) => shaded.get(place)).find((each) => each !== undefined) ?? null,
    5: shaded.get("air_shade") ?? null,
  };
  const way = Object.keys(WAYS).find((each) => ways[each] !== null);
  if (way === undefined) return null;
  return {
    temperature_c: ways[way],
    u_temperature_k: settings[WAYS[way].u],
    way: Number(way),
  };
}

/**
 * Temperatures of the sides of a channel, as `expectedAt` takes them.
 *
 * Two units of unlike temperature need the channel's `sides`; without them their mean stands for
 * both, and `is_mean` says so.
 *
 * @param {object} channel of the packet
 * @param {number[]} unit_ids of its element
 * @param {string} taken_at
 * @param {object[]} taken
 * @param {object} settings
 * @returns {{warmths: object[], is_mean: boolean}} an empty object, or no warmth at all, where a
 *   temperature is not known
 */
export function warmthsOf(channel, unit_ids, taken_at, taken, settings) {
  const ids = channel.sides?.length ? channel.sides.map((side) => side.unit_id) : unit_ids;
  const found = ids.map((id) => effectiveTemperature(id, taken_at, taken, settings));
  if (channel.sides?.length) return { warmths: found.map((each) => each ?? {}), is_mean: false };
  if (found.includes(null)) return { warmths: [], is_mean: false };
  if (found.length < 2) return { warmths: found, is_mean: false };
  const [back, ahead] = found;
  const mean = {
    temperature_c: (back.temperature_c + ahead.temperature_c) / 2,
    u_temperature_k: Math.max(back.u_temperature_k, ahead.u_temperature_k),
    way: Math.max(back.way, ahead.way),
  };
  return { warmths: [mean], is_mean: back.temperature_c !== ahead.temperature_c };
}

// Those of the unit itself count before those for all units, then the nearer in time; the last of
// each place is the one to use.  A sunlit surface counts only where no shaded one was taken.
function nearest(unit_id, taken_at, taken, window_s) {
  const at = Date.parse(taken_at);
  const near = taken
    .map((each) => ({ ...each, apart_s: Math.abs(Date.parse(each.taken_at) - at) / 1000 }))
    .filter((each) => each.unit === null || each.unit === unit_id)
    .filter((each) => each.apart_s <= window_s)
    .sort(
      (one, two) =>
        (one.unit !== null) - (two.unit !== null) ||
        two.apart_s - one.apart_s ||
        (one.place < two.place ? -1 : Number(one.place > two.place)) ||
        one.sunlit - two.sunlit ||
        one.temperature_c - two.temperature_c,
    );
  const every = new Map();
  const shaded = new Map();
  for (const { place, sunlit, temperature_c } of near) {
    if (!sunlit || !every.has(place)) every.set(place, temperature_c);
    if (!sunlit) shaded.set(place, temperature_c);
  }
  return { every, shaded };
}

// A part whose surfaces all lay in the sun counts for nothing: the sun runs far ahead of the deck.
function partMean(places, every, shaded) {
  if (!places.some((place) => shaded.has(place))) return null;
  const known = places.filter((place) => every.has(place)).map((place) => every.get(place));
  return known.reduce((sum, each) => sum + each, 0) / known.length;
}
