// The travel strip of one channel: its limits, the band expected at this temperature, and the mark
// just measured.  It moves as the number is typed.

import { shown } from "../units.js";
import { svg, t } from "./dom.js";

const WIDTH = 720;
const EDGE = 44;
const TOP = 30;
const HEIGHT = 34;
const PAD = 0.06;
const ALONE = 10;

/**
 * Draw a channel's strip.
 *
 * @param {object} channel of the packet
 * @param {object|null} judged from `judgeTyped`, or null before anything was typed
 * @param {{expected: number|null, half_width: number|null}} band at the temperature of the hour
 * @param {"si"|"us"} system
 * @returns {SVGElement}
 */
export function travelStrip(channel, judged, band, system) {
  const value = judged?.value ?? null;
  const { expected, half_width } = band;
  const ends = expected === null ? [] : [expected - half_width, expected + half_width];
  const at = scale([value, expected, channel.limit_lower, channel.limit_upper, ...ends]);
  const show = (number) => shown(number, channel.dimension, system);
  const drawing = svg(
    "svg",
    { viewBox: `0 0 ${WIDTH} 92`, class: "drawing strip", role: "img", "aria-label": words(channel, judged, band, show) },
    track(channel, at),
    ends.length ? bandOf(ends, expected, at) : null,
    walls(channel, at),
  );
  label(drawing, at, channel.limit_lower, show, 88, "d-label-limit");
  label(drawing, at, channel.limit_upper, show, 88, "d-label-limit");
  if (expected !== null) label(drawing, at, expected, show, 16, "d-label-expected");
  if (value !== null) drawing.append(...mark(judged, at(value)));
  return drawing;
}

function scale(values) {
  const known = values.filter(Number.isFinite);
  let low = Math.min(...known);
  let high = Math.max(...known);
  if (!known.length) [low, high] = [-ALONE, ALONE];
  if (high - low < 1e-9) [low, high] = [low - ALONE, high + ALONE];
  const pad = (high - low) * PAD;
  const [from, to] = [low - pad, high + pad];
  return (value) => EDGE + ((value - from) / (to - from)) * (WIDTH - 2 * EDGE);
}

function track({ limit_lower, limit_upper }, at) {
  const left = Number.isFinite(limit_lower) ? at(limit_lower) : EDGE - 20;
  const right = Number.isFinite(limit_upper) ? at(limit_upper) : WIDTH - EDGE + 20;
  return svg("rect", { x: left, y: TOP, width: right - left, height: HEIGHT, class: "d-track" });
}

function bandOf([low, high], expected, at) {
  return [
    svg("rect", { x: at(low), y: TOP + 5, width: at(high) - at(low), height: HEIGHT - 10, class: "d-band" }),
    line(at(expected), TOP - 4, TOP + HEIGHT + 4, "d-expected"),
  ];
}

function walls({ limit_lower, limit_upper }, at) {
  return [limit_lower, limit_upper]
    .filter(Number.isFinite)
    .map((limit) => line(at(limit), TOP - 8, TOP + HEIGHT + 8, "d-limit"));
}

// Told by shape as well as by colour: a disc within the band, a diamond outside, a square at a limit.
function mark({ word }, x) {
  const y = TOP + HEIGHT / 2;
  const kinds = {
    within_band: () => svg("circle", { cx: x, cy: y, r: 11, class: "d-mark-in-range" }),
    outside_band: () => diamond(x, y, "d-mark-watch"),
    past_limit: () => svg("rect", { x: x - 10, y: y - 10, width: 20, height: 20, class: "d-mark-out-of-range" }),
  };
  const none = () => svg("circle", { cx: x, cy: y, r: 11, class: "d-mark-cannot-judge" });
  return [line(x, TOP - 12, TOP + HEIGHT + 12, "d-leader"), (kinds[word] ?? none)()];
}

function diamond(x, y, name) {
  return svg("path", { d: `M${x} ${y - 14}L${x + 14} ${y}L${x} ${y + 14}L${x - 14} ${y}Z`, class: name });
}

function line(x, y1, y2, name) {
  return svg("line", { x1: x, y1, x2: x, y2, class: name });
}

function label(drawing, at, value, show, y, name) {
  if (!Number.isFinite(value)) return;
  const x = Math.min(Math.max(at(value), 40), WIDTH - 40);
  drawing.append(svg("text", { x, y, class: `${name} strip-label`, "text-anchor": "middle" }, show(value)));
}

function words(channel, judged, { expected, half_width }, show) {
  const parts = [t("Travel strip: {label}", { label: channel.label })];
  if (Number.isFinite(channel.limit_lower)) parts.push(t("lower limit {value}", { value: show(channel.limit_lower) }));
  if (Number.isFinite(channel.limit_upper)) parts.push(t("upper limit {value}", { value: show(channel.limit_upper) }));
  if (expected !== null) parts.push(t("expected {value}, plus or minus {band}", { value: show(expected), band: show(half_width) }));
  if (judged?.value !== undefined && judged.value !== null) parts.push(t("measured {value}", { value: show(judged.value) }));
  return parts.join("; ");
}
