// What is missing and why, and the lead's signature.

import { countToSign, enter } from "../outbox.js";
import { beside } from "../parts/beside.js";
import { button, el, field, put, redrawn } from "../parts/dom.js";
import { drafted, storeOnce } from "../parts/typed.js";
import { nameOf, plural } from "../parts/words.js";
import { loadVisit } from "../parts/visit.js";
import { notOnBoard } from "./missing.js";

const STATEMENT = "Complete and true to what we saw; what was left out is named with its reason.";

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
    el("p", { class: "crumb" }, el("a", { href: `#/i/${inspection}` }, "Walk")),
    el("h1", {}, "Review and sign"),
    visit.temperatures.length || visit.elements.every((each) => visit.isRatedOnly(each)) ? null : el("p", { class: "banner" }, "No temperature was taken: most readings cannot be judged."),
    el("h2", {}, open.length ? `${plural(open.length, "element")} not read` : "Everything is read or explained"),
    el("ul", { class: "route" }, open.map((element) => el("li", {},
      el("a", { class: "place is-none has-no-mark", href: `#/i/${inspection}/e/${element.id}` },
        el("span", { class: "place-code" }, element.code),
        el("span", { class: "place-device" }, visit.missing(element).map(nameOf).join("; ")))))),
    rated ? el("p", {}, `Condition states given, nothing read: ${rated}.`) : null,
    leftOut ? el("p", {}, `Left out with a reason: ${leftOut}.`) : null,
    refused.length ? el("p", { class: "banner" }, `${plural(refused.length, "record")} refused. `,
      el("a", { href: "#/waiting" }, "See why, and mend them first")) : null,
    beside(visit, null, redraw),
    await signature(app, visit, open.length || refused.length, redraw),
  ];
}

async function signature(app, visit, isOpen, redraw) {
  if (visit.isSigned) return el("p", { class: "signed" }, "Signed. It is handed in when it has been sent.");
  if (!visit.packet.inspection.is_lead) return el("p", {}, "The lead of this inspection signs it.");
  const role = el("input", { type: "text", maxlength: 120 });
  const typed = drafted(visit, "", "role", role);
  const told = el("p", { class: "judgement", "aria-live": "polite" });
  const sign = button("Sign and hand in", async () => {
    if (!role.value.trim()) {
      put(told, "Say in which role you sign, such as lead inspector.");
      return role.focus();
    }
    const count = await countToSign(visit.user.id, visit.id);
    const payload = { role: role.value.trim(), statement: STATEMENT, count };
    await storeOnce([typed], (places) =>
      enter(visit.user.id, { inspection: visit.id, kind: "sign_off", payload }, places));
    app.sending?.now();
    return redraw();
  }, { class: "primary", disabled: Boolean(isOpen) });
  return el("section", { class: "signature" }, el("h2", {}, "Signature"), el("p", {}, STATEMENT),
    field("Signed as", role, "By role, not by name."), told, sign,
    isOpen ? el("p", { class: "help" }, "Read what is open, or say why not; mend what was refused.") : null);
}
