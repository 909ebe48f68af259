// One point of an element: typed, judged as it is typed, kept; a second time where it is out of band.

import { expectedAt, missing } from "../expect.js";
import { enter } from "../outbox.js";
import { clockNow } from "../clock.js";
import { warmthsOf } from "../temperature.js";
import { parse, Refused, shown, withUnit } from "../units.js";
import { judgeTyped, WORDS } from "../verdict.js";
import { button, el, field, put, t } from "./dom.js";
import { instrumentFor } from "./instruments.js";
import { useKeypad } from "./keypad.js";
import { travelStrip } from "./strip.js";
import { drafted, storeOnce } from "./typed.js";
import { nameOf } from "./words.js";

const TYPED_IN = {
  mm: { si: "mm", us: "in" }, degC: { si: "degC", us: "degF" }, mrad: { si: "mrad", us: "mrad" },
  deg: { si: "deg", us: "deg" }, kN: { si: "kN", us: "kip" }, "": { si: "", us: "" },
};

/** The unit meant where none is typed. */
export function unitOf(dimension, system) {
  return TYPED_IN[dimension]?.[system] ?? dimension;
}

/**
 * The form of one channel.
 *
 * @param {import("./visit.js").Visit} visit
 * @param {object} element of the packet
 * @param {object} told channel of the element; its accuracy is that of the instrument in use
 * @param {() => Promise<void>} redraw after something was kept
 */
export function pointForm(visit, element, told, redraw) {
  const instrument = instrumentFor(visit, told.dimension);
  const channel = instrument ? { ...told, accuracy: instrument.accuracy } : told;
  const { system, packet, user } = visit;
  const { here, there } = visit.readings(element, channel);
  const kept = [...there.map(({ value }) => value), ...here.map(({ payload }) => payload.value)];
  const name = `${channel.quantity}|${channel.point}|${channel.axis}`;
  const unit = unitOf(channel.dimension, system);
  const { warmths } = warmthsOf(channel, element.unit_ids, clockNow(), visit.temperatures, packet.temperature);
  const input = el("input", { type: "text", spellcheck: "false" });
  const box = drafted(visit, element.id, name, input, () => look());
  useKeypad(input, channel.dimension, system);
  const words = el("p", { class: "judgement", "aria-live": "polite" });
  const drawing = el("div", { class: "strip-room" });
  const keep = button(t("Keep"), () => submit(), { class: "primary", disabled: true });
  let typed = null;

  const look = () => {
    typed = null;
    let judged = kept.length ? judgeTyped(channel, kept, warmths, packet.thresholds, system) : null;
    let text = judged ? `${t(WORDS[judged.word])}: ${judged.sentence}` : waitingWords(channel, warmths, system);
    if (input.value.trim()) {
      try {
        typed = parse(input.value, channel.dimension, unit);
        judged = judgeTyped(channel, [...kept, typed.value], warmths, packet.thresholds, system);
        text = `${t(WORDS[judged.word])}: ${judged.sentence}`;
        if (judged.word === "impossible") typed = null;
      } catch (error) {
        if (!(error instanceof Refused)) throw error;
        judged = null;
        text = `${error.message}. ${error.remedy}`;
      }
    }
    keep.disabled = typed === null || visit.isSigned;
    words.className = `judgement is-${judged?.word ?? "none"}`;
    put(words, text);
    put(drawing, travelStrip(channel, judged, bandOf(channel, warmths, packet), system));
    return judged;
  };
  const submit = async () => {
    if (!typed) return;
    const first = here[0];
    const record = {
      inspection: visit.id,
      kind: "reading",
      payload: {
        element: element.id, quantity: channel.quantity, point: channel.point, axis: channel.axis,
        typed: withUnit(input.value, unit), value: typed.value, is_repeat_of: first?.uid ?? null,
        taken_at: clockNow(), instrument: instrument?.id ?? null, remark: "",
      },
    };
    await storeOnce([box], (places) => enter(user.id, record, places));
    if (input.dataset.typed === undefined) input.value = "";
    await redraw();
  };
  input.addEventListener("keydown", (event) => event.key === "Enter" && submit());
  const judged = look();
  const again = judged?.asks_again && kept.length === 1;
  const label = kept.length ? (again ? t("Measure a second time") : t("Another measurement")) : t("Reading");
  const help = `${channel.why}${lastWords(channel, system)}`;
  const entry = [field(`${label} [${unit || t("count")}]`, input, help), keep];
  return el(
    "section",
    { class: `channel ${again ? "asks-again" : ""}`, "data-channel": name },
    el("h3", {}, nameOf(channel)),
    drawing,
    words,
    kept.length
      ? el("p", { class: "kept" }, t("Kept: {values}", { values: kept.map((value) => shown(value, channel.dimension, system)).join(", ") }))
      : null,
    kept.length && !again
      ? el("details", { "data-part": `again ${name}` }, el("summary", {}, t("Measure again")), entry)
      : el("div", { class: "typing" }, entry),
  );
}

function bandOf(channel, warmths, { thresholds }) {
  if (missing(channel, warmths)) return { expected: null, half_width: null };
  const { expected, u_residual } = expectedAt(channel, warmths, channel.accuracy / Math.sqrt(3));
  return { expected, half_width: thresholds.band_k * u_residual };
}

function waitingWords(channel, warmths, system) {
  const lack = missing(channel, warmths);
  if (lack === "no temperature") return t("Take a temperature first: then this shows what to expect.");
  if (lack) return t("Nothing on record to compare with: this one may become the baseline.");
  const { expected } = expectedAt(channel, warmths);
  return t("Expected now: {value}.", { value: shown(expected, channel.dimension, system) });
}

function lastWords({ last, dimension }, system) {
  if (!last) return "";
  const told = { value: shown(last.value, dimension, system), date: last.taken_at.slice(0, 10) };
  return ` ${t("Last time {value} on {date}.", told)}`;
}
