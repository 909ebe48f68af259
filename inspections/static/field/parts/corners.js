// Rotation of a bearing from the gaps at its four corners.

import { clockNow } from "../clock.js";
import { withMark } from "../plain_text.js";
import { enter } from "../outbox.js";
import { parse, Refused } from "../units.js";
import { button, el, field, mark, put, t } from "./dom.js";
import { useKeypad } from "./keypad.js";
import { unitOf } from "./point.js";
import { drafted, storeOnce } from "./typed.js";

const PARTS = [
  ["back_left", mark("Back, left")], ["back_right", mark("Back, right")],
  ["ahead_left", mark("Ahead, left")], ["ahead_right", mark("Ahead, right")],
  ["base", mark("Distance back to ahead")],
];

/**
 * Rotation in mrad from four gaps [mm]; positive where the plates stand wider apart at the back.
 *
 * @param {{back_left: number, back_right: number, ahead_left: number, ahead_right: number,
 *   base: number}} gaps
 */
export function rotationFromCorners({ back_left, back_right, ahead_left, ahead_right, base }) {
  return (1000 * (back_left + back_right - ahead_left - ahead_right)) / 2 / base;
}

/** The form, for elements whose rotation is read. */
export function cornerForm(visit, element, redraw) {
  const channel = element.channels.find(({ quantity }) => quantity === "rotation");
  if (!channel) return null;
  const unit = unitOf("mm", visit.system);
  const result = el("p", { class: "judgement", "aria-live": "polite" });
  const keep = button(t("Keep this rotation"), () => submit(), { disabled: true });
  let rotation = null;
  const inputs = PARTS.map(([name, label]) => {
    const input = el("input", { type: "text" });
    useKeypad(input, "mm", visit.system);
    return { name, label, ...drafted(visit, element.id, `corner ${name}`, input, () => look()) };
  });
  const look = () => {
    rotation = null;
    try {
      const gaps = Object.fromEntries(
        inputs.map(({ name, input }) => [name, parse(input.value, "mm", unit).value]));
      const found = rotationFromCorners(gaps);
      if (gaps.base > 0 && found >= channel.low && found <= channel.high) rotation = found;
      put(result, rotation === null ? t("The distance must be above zero, the gaps possible.") :
        t("Rotation {rotation} mrad.", { rotation: withMark(rotation.toFixed(2)) }));
    } catch (error) {
      if (!(error instanceof Refused)) throw error;
      put(result, t("Fill in four gaps and the distance between them."));
    }
    keep.disabled = rotation === null || visit.isSigned;
  };
  const submit = async () => {
    const first = visit.readings(element, channel).here[0];
    const typed = inputs.map(({ input }) => parse(input.value, "mm", unit).typed).join(" / ");
    const record = {
      inspection: visit.id,
      kind: "reading",
      payload: {
        element: element.id, quantity: "rotation", point: "", axis: "",
        typed: `${rotation.toFixed(3)} mrad`, value: Number(rotation.toFixed(3)),
        is_repeat_of: first?.uid ?? null, taken_at: clockNow(), instrument: null,
        remark: `Four corners and base: ${typed} ${unit}`.slice(0, 240),
      },
    };
    await storeOnce(inputs, (places) => enter(visit.user.id, record, places));
    await redraw();
  };
  look();
  return el("details", { class: "corners", "data-part": "corners" }, el("summary", {}, t("Rotation from four corner gaps")),
    el("p", { class: "help" }, t("Gap between the plates at each corner, looking towards increasing station.")),
    el("div", { class: "grid" }, inputs.map(({ label, input }) => field(`${t(label)} [${unit}]`, input))),
    result, keep);
}
