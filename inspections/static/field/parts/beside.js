// What stands beside the readings: notes, why something was left out, and what cannot wait.

import { clockNow } from "../clock.js";
import { news } from "../news.js";
import { enter, isHandedIn } from "../outbox.js";
import { button, choice, el, field, t } from "./dom.js";
import { chosen, drafted, storeOnce } from "./typed.js";

/** Note, left out, critical finding; `element` null for the bridge as a whole. */
export function beside(visit, element, redraw) {
  return [note(visit, element, redraw), element ? leftOut(visit, element, redraw) : null, critical(visit, element, redraw)];
}

/** One tap from anywhere on a screen to its form for what cannot wait. */
export function criticalButton() {
  return button(t("Critical finding"), () => {
    const form = document.querySelector("details.critical");
    form.open = true;
    form.scrollIntoView({ block: "start" });
    form.querySelector("textarea").focus({ preventScroll: true });
  }, { class: "danger" });
}

/** What became of a visit that was signed: `words` until it has arrived; null before the signature. */
export function signed(visit, redraw, words = t("Signed: what waits is being sent; nothing can be added.")) {
  const arrived = visit.records.some(isHandedIn);
  if (!arrived && !visit.isSigned) return null;
  if (!arrived) news.addEventListener("sending", redraw, { once: true });
  return el("p", { class: "signed" }, arrived ? t("Handed in.") : words);
}

function note(visit, element, redraw) {
  const text = area(visit, element, "note", 4000);
  const kept = visit.of("note", element?.id ?? null);
  return el("details", { "data-part": "note" }, el("summary", {}, `${t("Note")}${kept.length ? `: ${kept.length}` : ""}`),
    kept.map(({ payload }) => el("blockquote", {}, payload.text)),
    field(t("Note"), text.input),
    button(t("Keep the note"), async () => {
      if (!text.input.value.trim()) return;
      await send(visit, "note", { element: element?.id ?? null, text: text.input.value.trim() }, [text]);
      await redraw();
    }, { disabled: visit.isSigned }));
}

function leftOut(visit, element, redraw) {
  const reason = chosen("left out why", choice(visit.packet.left_out_reasons, "", {}));
  const remark = area(visit, element, "left out", 240);
  const known = visit.of("left_out", element.id).at(-1);
  const words = (code) => visit.packet.left_out_reasons.find((each) => each.code === code)?.label ?? code;
  return el("details", { "data-part": "left out" }, el("summary", {}, known ? t("Left out: {reason}", { reason: words(known.payload.reason) }) : t("Could not be read")),
    field(t("Why"), reason.input), field(t("Remark"), remark.input),
    button(t("Keep the reason"), async () => {
      const payload = { element: element.id, reason: reason.input.value, remark: remark.input.value.trim() };
      await send(visit, "left_out", payload, [reason, remark]);
      await redraw();
    }, { disabled: visit.isSigned }));
}

function critical(visit, element, redraw) {
  const parts = ["what", "done", "told"].map((name) => [name, area(visit, element, `critical ${name}`, name === "told" ? 160 : 2000)]);
  const inputs = Object.fromEntries(parts);
  const kept = visit.of("critical", element?.id ?? null);
  return el("details", { class: "critical", "data-part": "critical" }, el("summary", {}, kept.length ? t("Critical finding: {count} recorded", { count: kept.length }) : t("Critical finding")),
    el("ol", { class: "next-steps" }, visit.packet.critical.next_steps.map((step) => el("li", {}, step))),
    el("p", { class: "help" }, t("The owner's own procedure governs.")),
    kept.map(({ payload }) => el("blockquote", {}, payload.what)),
    field(t("What do you see?"), inputs.what.input), field(t("What was done at once?"), inputs.done.input),
    field(t("Who was told, by role?"), inputs.told.input),
    button(t("Record the critical finding"), async () => {
      const [what, done, told] = parts.map(([, { input }]) => input.value.trim());
      if (!what) return inputs.what.input.focus();
      const payload = { element: element?.id ?? null, what, done, told, found_at: clockNow() };
      await send(visit, "critical", payload, parts.map(([, each]) => each));
      return redraw();
    }, { class: "danger", disabled: visit.isSigned }));
}

function send(visit, kind, payload, inputs) {
  return storeOnce(inputs, (places) => enter(visit.user.id, { inspection: visit.id, kind, payload }, places));
}

function area(visit, element, name, longest) {
  return drafted(visit, element?.id ?? "", name, el("textarea", { rows: 2, maxlength: longest }));
}
