// What is missing and why, and the lead's signature.

import { countToSign, enter } from "../outbox.js";
import { beside, signed } from "../parts/beside.js";
import { button, counted, el, field, mark, put, redrawn, t } from "../parts/dom.js";
import { drafted, storeOnce } from "../parts/typed.js";
import { nameOf } from "../parts/words.js";
import { loadVisit } from "../parts/visit.js";
import { notOnBoard } from "./missing.js";

// Kept in English, as every record is; whoever signs reads it in their language.
const STATEMENT = mark("Complete and true to what we saw; what was left out is named with its reason.");

/** Show what is still open, and the signature. */
export function reviewScreen(app, inspection) {
  return redrawn((redraw) => content(app, inspection, redraw));
}

async function content(app, inspection, redraw) {
  const visit = await loadVisit(app.user ?? {}, inspection);
  if (!visit) return notOnBoard();
  const open = visit.elements.filter((each) => ["none", "part"].includes(visit.state(each)));
  const codesOf = (state) => visit.elements.filter((each) => visit.state(each) === state).map(({ code }) => code).join(", ");
  const [rated, leftOut] = ["rated", "left out"].map(codesOf);
  const refused = visit.records.filter(({ state }) => state === "refused");
  return [
    el("p", { class: "crumb" }, el("a", { href: `#/i/${inspection}` }, t("Walk"))),
    el("h1", {}, t("Review and sign")),
    visit.temperatures.length || visit.elements.every((each) => visit.isRatedOnly(each)) ? null : el("p", { class: "banner" }, t("No temperature was taken: most readings cannot be judged.")),
    el("h2", {}, open.length
      ? counted("{count} element not read", "{count} elements not read", open.length)
      : t("Everything is read or explained")),
    el("ul", { class: "route" }, open.map((element) => el("li", {},
      el("a", { class: "place is-none has-no-mark", href: `#/i/${inspection}/e/${element.id}` },
        el("span", { class: "place-code" }, element.code),
        el("span", { class: "place-device" }, visit.missing(element).map(nameOf).join("; ")))))),
    rated ? el("p", {}, t("Condition states given, nothing read: {codes}.", { codes: rated })) : null,
    leftOut ? el("p", {}, t("Left out with a reason: {codes}.", { codes: leftOut })) : null,
    refused.length ? el("p", { class: "banner" }, `${counted("{count} record refused.", "{count} records refused.", refused.length)} `,
      el("a", { href: "#/waiting" }, t("See why, and mend them first"))) : null,
    beside(visit, null, redraw),
    await signature(app, visit, open.length || refused.length, redraw),
  ];
}

async function signature(app, visit, isOpen, redraw) {
  const done = signed(visit, redraw, t("Signed. It is handed in when it has been sent."));
  if (done) return done;
  if (!visit.packet.inspection.is_lead) return el("p", {}, t("The lead of this inspection signs it."));
  const role = el("input", { type: "text", maxlength: 120 });
  const typed = drafted(visit, "", "role", role);
  const told = el("p", { class: "judgement", "aria-live": "polite" });
  const sign = button(t("Sign and hand in"), async () => {
    if (!role.value.trim()) {
      put(told, t("Say in which role you sign, such as lead inspector."));
      return role.focus();
    }
    const count = await countToSign(visit.user.id, visit.id);
    const payload = { role: role.value.trim(), statement: STATEMENT, count };
    await storeOnce([typed], (places) =>
      enter(visit.user.id, { inspection: visit.id, kind: "sign_off", payload }, places));
    app.sending?.now();
    return redraw();
  }, { class: "primary", disabled: Boolean(isOpen) });
  return el("section", { class: "signature" }, el("h2", {}, t("Signature")), el("p", {}, t(STATEMENT)),
    field(t("Signed as"), role, t("By role, not by name.")), told, sign,
    isOpen ? el("p", { class: "help" }, t("Read what is open, or say why not; mend what was refused.")) : null);
}
