// One inspection as the tablet knows it: its packet, what was entered here, what the server has.

import { draftsOf } from "../drafts.js";
import { recordsOf } from "../outbox.js";
import { packetOf } from "../packet.js";

/**
 * Load an inspection that is on board.
 *
 * @param {{id: number, units: string}} user
 * @param {number} inspection
 * @returns {Promise<Visit|null>}
 */
export async function loadVisit(user, inspection) {
  const packet = await packetOf(user.id, inspection);
  if (!packet) return null;
  return new Visit(user, packet, await recordsOf(user.id, inspection), await draftsOf(user.id, inspection));
}

/** What the screens ask of an inspection. */
export class Visit {
  constructor(user, packet, records, drafts) {
    Object.assign(this, { user, packet, drafts });
    this.id = packet.inspection.id;
    this.system = packet.units;
    this.records = records.filter((each) => each.state !== "dropped");
  }

  get elements() {
    return this.packet.stops.flatMap((stop) => stop.elements);
  }

  element(id) {
    return this.elements.find((each) => each.id === id) ?? null;
  }

  /** Records of a kind, of one element where it is named. */
  of(kind, element) {
    return this.records.filter(
      (each) => each.kind === kind && (element === undefined || each.payload.element === element),
    );
  }

  /** Temperatures of this visit, of other tablets as far as the packet knows them, as `warmthsOf` takes them. */
  get temperatures() {
    const here = this.of("temperature");
    const known = new Set(here.map(({ uid }) => uid));
    const there = (this.packet.temperature.taken ?? []).filter((each) => !known.has(each.record_uid));
    return [...there, ...here.map(({ payload }) => payload)];
  }

  /** Readings of a channel: what this tablet entered, then what others sent before. */
  readings(element, channel) {
    const here = this.of("reading", element.id).filter(({ payload }) => isOf(payload, channel));
    const known = new Set(here.map(({ uid }) => uid));
    const there = element.readings.filter((each) => isOf(each, channel) && !known.has(each.record_uid));
    return { here, there };
  }

  /** What was typed and not yet kept. */
  draft(element, field) {
    return this.drafts.find((each) => each.element === element && each.field === field)?.text ?? "";
  }

  /** Channels of an element with no reading yet; of a skewed joint either axis will do, and the form's first is told. */
  missing(element) {
    const open = new Map();
    for (const channel of element.channels.filter(isWanted)) {
      const key = `${channel.quantity} ${channel.point}`;
      const { here, there } = this.readings(element, channel);
      open.set(key, !(here.length || there.length) && (open.get(key) ?? channel));
    }
    return [...open.values()].filter(Boolean);
  }

  /** Whether somebody said why an element was not read, or its condition states say what was seen. */
  isExplained(element) {
    return this.of("left_out", element.id).length > 0 || this.isRatedOnly(element);
  }

  /** Whether condition states were given on this visit of an element of which nothing was read. */
  isRatedOnly(element) {
    const isRated = this.of("condition", element.id).length > 0
      || element.conditions.some(({ is_of_visit }) => is_of_visit);
    return isRated && !element.readings.length && !this.of("reading", element.id).length;
  }

  /** "done", "part", "none", "rated" or "left out". */
  state(element) {
    const missing = this.missing(element).length;
    if (!missing) return "done";
    if (this.isExplained(element)) return this.isRatedOnly(element) ? "rated" : "left out";
    return missing < new Set(element.channels.filter(isWanted).map((each) => `${each.quantity} ${each.point}`)).size
      ? "part"
      : "none";
  }

  get isSigned() {
    return this.of("sign_off").some(({ state }) => state !== "refused");
  }
}

function isWanted({ is_wanted }) {
  return is_wanted !== false;
}

function isOf(reading, { quantity, point, axis }) {
  return reading.quantity === quantity && reading.point === point && reading.axis === axis;
}
