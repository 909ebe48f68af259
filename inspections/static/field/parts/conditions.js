// Condition states of an element by defect: quantities that must sum, with the criteria at hand.

import { enter } from "../outbox.js";
import { button, choice, el, field, put, t } from "./dom.js";
import { chosen, drafted, storeOnce } from "./typed.js";

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
  // The form of a defect is made once: to look at another and come back must not empty it.
  const forms = new Map();
  const show = (code) => {
    if (!forms.has(code)) forms.set(code, one(visit, element, code, entered.get(code) ?? before.get(code), redraw));
    put(room, forms.get(code));
  };
  const select = choice(options, element.defects[0], { onchange: () => show(Number(select.value)) });
  chosen("condition defect", select);
  show(element.defects[0]);
  return el("details", { class: "conditions", "data-part": "conditions" },
    el("summary", {}, entered.size ? t("Condition: {count} recorded", { count: entered.size }) : t("Condition")),
    field(t("Defect"), select), room);
}

function one(visit, element, code, known, redraw) {
  const criteria = visit.packet.defects[code];
  const isCounted = element.quantity_unit === "each";
  const start = { total: known?.total ?? (isCounted ? 1 : ""), cs1: "", cs2: "", cs3: "", cs4: "", ...known };
  const keep = button(t("Keep"), () => submit(), { class: "primary", disabled: true });
  const told = el("p", { class: "judgement", "aria-live": "polite" });
  const numbers = ["total", ...STATES].map((name) =>
    typedIn(name, start[name], { inputmode: "numeric", pattern: "[0-9]*" }, look));
  const inputs = Object.fromEntries(["total", ...STATES].map((name, at) => [name, numbers[at].input]));
  const remark = typedIn("remark", known?.remark ?? "", { maxlength: 240 });

  function typedIn(name, value, attributes, then) {
    const input = el("input", { type: "text", value, ...attributes });
    return drafted(visit, element.id, `condition ${code} ${name}`, input, then);
  }
  function values() {
    return Object.fromEntries(Object.entries(inputs).map(([name, input]) => [name, Number(input.value || 0)]));
  }
  function look() {
    const found = values();
    const sum = STATES.reduce((all, name) => all + found[name], 0);
    const whole = Object.values(found).every((each) => Number.isInteger(each) && each >= 0);
    keep.disabled = !whole || found.total < 1 || sum !== found.total || visit.isSigned;
    put(told, !whole ? t("Whole numbers only.") : found.total < 1 ? t("Give the quantity of the element.")
      : sum === found.total ? t("Sums to {sum}.", { sum }) : t("Sums to {sum} of {total}.", { sum, total: found.total }));
  }
  async function submit() {
    const payload = { element: element.id, defect: code, ...values(), remark: remark.input.value.trim() };
    await storeOnce([...numbers, remark], (places) =>
      enter(visit.user.id, { inspection: visit.id, kind: "condition", payload }, places));
    await redraw();
  }
  look();
  return [
    field(`${t("Quantity of the element")} [${isCounted ? t("each") : element.quantity_unit}]`, inputs.total),
    el("div", { class: "states" }, STATES.map((name) =>
      field(name.toUpperCase(), inputs[name], criteria[name]))),
    field(t("Remark"), remark.input), told, keep,
  ];
}
