// Condition states of an element by defect: quantities that must sum, with the criteria at hand.

import { keepDraft } from "../drafts.js";
import { enter } from "../outbox.js";
import { button, choice, el, field, put } from "./dom.js";

const STATES = ["cs1", "cs2", "cs3", "cs4"];

/** The form of an element's conditions. */
export function conditionForm(visit, element, redraw) {
  const { defects } = visit.packet;
  const entered = new Map(visit.of("condition", element.id).map((each) => [each.payload.defect, each.payload]));
  const before = new Map(element.conditions.map((each) => [each.defect, each]));
  const room = el("div", {});
  const options = element.defects.map((code) => ({
    code,
    label: `${code || ""} ${defects[code].label}${entered.has(code) ? " ✓" : ""}`.trim(),
  }));
  const show = (code) => put(room, one(visit, element, code, entered.get(code) ?? before.get(code), redraw));
  const select = choice(options, element.defects[0], { onchange: () => show(Number(select.value)) });
  show(element.defects[0]);
  return el("details", { class: "conditions" },
    el("summary", {}, `Condition${entered.size ? `: ${entered.size} recorded` : ""}`),
    field("Defect", select), room);
}

function one(visit, element, code, known, redraw) {
  const criteria = visit.packet.defects[code];
  const isCounted = element.quantity_unit === "each";
  const start = { total: known?.total ?? (isCounted ? 1 : ""), cs1: "", cs2: "", cs3: "", cs4: "", ...known };
  const keep = button("Keep", () => submit(), { class: "primary", disabled: true });
  const told = el("p", { class: "judgement", "aria-live": "polite" });
  const inputs = Object.fromEntries(
    ["total", ...STATES].map((name) => [name, numberInput(name, start[name])]));
  const remark = textInput("remark", known?.remark ?? "");

  function place(name) {
    return { user: visit.user.id, inspection: visit.id, element: element.id, field: `condition ${code} ${name}` };
  }
  function numberInput(name, value) {
    const input = el("input", { type: "text", inputmode: "numeric", pattern: "[0-9]*",
      value: visit.draft(element.id, place(name).field) || value });
    input.addEventListener("input", () => { keepDraft(place(name), input.value); look(); });
    return input;
  }
  function textInput(name, value) {
    const input = el("input", { type: "text", maxlength: 240, value: visit.draft(element.id, place(name).field) || value });
    input.addEventListener("input", () => keepDraft(place(name), input.value));
    return input;
  }
  function values() {
    return Object.fromEntries(Object.entries(inputs).map(([name, input]) => [name, Number(input.value || 0)]));
  }
  function look() {
    const found = values();
    const sum = STATES.reduce((all, name) => all + found[name], 0);
    const whole = Object.values(found).every((each) => Number.isInteger(each) && each >= 0);
    keep.disabled = !whole || found.total < 1 || sum !== found.total || visit.isSigned;
    put(told, !whole ? "Whole numbers only." : found.total < 1 ? "Give the quantity of the element."
      : sum === found.total ? `Sums to ${sum}.` : `Sums to ${sum} of ${found.total}.`);
  }
  async function submit() {
    await enter(visit.user.id, {
      inspection: visit.id, kind: "condition",
      payload: { element: element.id, defect: code, ...values(), remark: remark.value.trim() },
    }, [...Object.keys(inputs), "remark"].map(place));
    await redraw();
  }
  look();
  return [
    field(`Quantity of the element [${element.quantity_unit}]`, inputs.total),
    el("div", { class: "states" }, STATES.map((name) =>
      field(name.toUpperCase(), inputs[name], criteria[name]))),
    field("Remark", remark), told, keep,
  ];
}
