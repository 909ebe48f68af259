// The temperatures of the visit, taken first.

import { clockNow } from "../clock.js";
import { enter } from "../outbox.js";
import { button, choice, el, field, put, redrawn, t } from "../parts/dom.js";
import { signed } from "../parts/beside.js";
import { instrumentFor } from "../parts/instruments.js";
import { useKeypad } from "../parts/keypad.js";
import { unitOf } from "../parts/point.js";
import { chosen, drafted, storeOnce } from "../parts/typed.js";
import { timeWords } from "../parts/words.js";
import { loadVisit } from "../parts/visit.js";
import { effectiveTemperature, WAYS } from "../temperature.js";
import { parse, Refused, shown, withUnit } from "../units.js";
import { notOnBoard } from "./missing.js";

const COLDEST_C = -60;
const HOTTEST_C = 90;

/** Show the temperatures. */
export function temperatureScreen(app, inspection) {
  return redrawn((redraw) => content(app, inspection, redraw));
}

async function content(app, inspection, redraw) {
  const visit = await loadVisit(app.user ?? {}, inspection);
  if (!visit) return notOnBoard();
  const { places, units } = visit.packet.temperature;
  return [
    el("p", { class: "crumb" }, el("a", { href: `#/i/${inspection}` }, t("Walk"))),
    el("h1", {}, t("Temperatures")),
    el("p", {}, t("A girder surface in the shade and the deck soffit tell the most. Take them again after two hours.")),
    signed(visit, redraw),
    effective(visit),
    places.map((place) => one(visit, place, units, redraw)),
  ];
}

function effective(visit) {
  const { packet, system } = visit;
  return el("ul", { class: "effective" }, packet.temperature.units.map(({ id, code }) => {
    const found = effectiveTemperature(id, clockNow(), visit.temperatures, packet.temperature);
    return el("li", {}, found
      ? t("Unit {code}: {value} by {way}", { code, value: shown(found.temperature_c, "degC", system), way: t(WAYS[found.way].words) })
      : t("Unit {code}: no temperature of this hour yet", { code }));
  }));
}

function one(visit, { code, label }, units, redraw) {
  const { system, user } = visit;
  const unit = unitOf("degC", system);
  const name = `temperature ${code}`;
  const input = el("input", { type: "text" });
  const box = drafted(visit, "", name, input, () => look());
  useKeypad(input, "degC", system);
  const sun = choice([{ code: "shade", label: t("In the shade") }, { code: "sun", label: t("In the sun") }], "shade");
  const which = choice([{ code: "", label: t("All units") }, ...units.map(({ id, code: words }) => ({ code: id, label: words }))], "");
  const inputs = [box, chosen(`${name} sun`, sun), chosen(`${name} unit`, which)];
  const told = el("p", { class: "judgement", "aria-live": "polite" });
  const keep = button(t("Keep"), () => submit(), { class: "primary", disabled: true });
  let typed;
  const look = () => {
    typed = null;
    let words = "";
    if (input.value.trim()) {
      try {
        const found = parse(input.value, "degC", unit);
        const possible = found.value >= COLDEST_C && found.value <= HOTTEST_C;
        typed = possible ? found : null;
        const value = shown(found.value, "degC", system);
        words = possible ? value : t("{value} cannot be: check the unit and the sign.", { value });
      } catch (error) {
        if (!(error instanceof Refused)) throw error;
        words = `${error.message}. ${error.remedy}`;
      }
    }
    put(told, words);
    keep.disabled = !typed || visit.isSigned;
  };
  const submit = async () => {
    if (!typed) return;
    const record = {
      inspection: visit.id, kind: "temperature",
      payload: {
        unit: which.value ? Number(which.value) : null, place: code, sunlit: sun.value === "sun",
        typed: withUnit(input.value, unit), temperature_c: typed.value, taken_at: clockNow(),
        instrument: instrumentFor(visit, "degC")?.id ?? null,
      },
    };
    await storeOnce(inputs, (places) => enter(user.id, record, places));
    if (input.dataset.typed === undefined) input.value = "";
    await redraw();
  };
  input.addEventListener("keydown", (event) => event.key === "Enter" && submit());
  look();
  const kept = visit.temperatures.filter((each) => each.place === code);
  const zone = visit.packet.inspection.time_zone;
  return el("section", { class: "channel" }, el("h2", {}, label),
    kept.length ? el("p", { class: "kept" }, kept.map((each) =>
      keptWords(each, system, zone)).join(", ")) : null,
    field(`${label} [${system === "us" ? "°F" : "°C"}]`, input),
    el("div", { class: "grid" }, code === "air_shade" ? null : field(t("Exposure"), sun), units.length > 1 ? field(t("Unit"), which) : null),
    told, keep);
}

function keptWords({ temperature_c, taken_at, sunlit }, system, zone) {
  const told = { value: shown(temperature_c, "degC", system), time: timeWords(taken_at, zone) };
  return sunlit ? t("{value} at {time} in the sun", told) : t("{value} at {time}", told);
}
