// What waits to be sent, what was sent, and what was refused and why.

import { withMark } from "../plain_text.js";
import { change, drop, whyFixed } from "../corrections.js";
import { news } from "../news.js";
import { REFUSED, recordsOf, WAITING } from "../outbox.js";
import { button, counted, el, put, t } from "../parts/dom.js";
import { codeWords } from "../parts/words.js";

/** Show every record of the user on this tablet. */
export async function waitingScreen(app) {
  const room = el("div", {});
  const draw = async () => put(room, await content(app, draw));
  // Follow what happens for as long as the screen is shown.
  const follow = () => (room.isConnected ? draw() : news.removeEventListener("changed", follow));
  await draw();
  requestAnimationFrame(() => news.addEventListener("changed", follow));
  return room;
}

async function content(app, redraw) {
  if (!app.user) return el("p", {}, t("Nobody has signed in on this tablet yet."));
  const records = await recordsOf(app.user.id);
  const of = (state) => records.filter((each) => each.state === state);
  const told = el("p", { role: "status" });
  const send = button(t("Send now"), async () => {
    put(told, t("Sending…"));
    const outcome = await app.sending?.now();
    put(told, outcome?.why ? outcome.words || t("Not sent.") : t("Done."));
  }, { class: "primary" });
  return [
    el("h1", {}, t("Waiting and sent")),
    el("div", { class: "actions" }, send), told,
    group(t("Refused"), of(REFUSED), (each) => refusal(app, each, redraw)),
    group(t("Waiting"), of(WAITING), (each) => waiting(app, each, redraw)),
    group(t("Sent"), of("sent").reverse(), (each) => row(each, t("Arrived."))),
    group(t("Dropped by you"), of("dropped"), (each) => row(each, each.refusal?.message ?? "")),
  ];
}

function group(title, records, show) {
  return records.length
    ? el("section", {}, el("h2", {}, `${title}: ${counted("{count} record", "{count} records", records.length)}`), el("ul", { class: "records" }, records.map(show)))
    : null;
}

function row(record, words, ...more) {
  return el("li", { class: `record is-${record.state}` }, el("p", {}, el("strong", {}, what(record)), ` ${words}`), more);
}

function waiting(app, record, redraw) {
  const fixed = whyFixed(record);
  const letGo = button(t("Drop it"), async () => { await drop(app.user.id, record.uid); await redraw(); }, { class: "quiet" });
  return row(record, record.trouble || t("Waits to be sent."), fixed ? el("p", {}, fixed) : letGo);
}

function refusal(app, record, redraw) {
  const fixed = whyFixed(record);
  const message = record.refusal?.message ?? t("The server refused it.");
  return row(record, message, fixed ? el("p", {}, fixed) : [
    record.payload.element
      ? el("p", {}, el("a", { href: `#/i/${record.inspection}/e/${record.payload.element}` }, t("Open its form")),
          ` ${t("to enter it anew, then drop this one.")}`)
      : el("p", {}, el("a", { href: `/inspections/${record.inspection}/` }, t("See the visit at the desk"))),
    el("div", { class: "actions" },
      button(t("Send again"), async () => { await change(app.user.id, record.uid, record.payload); await redraw(); }),
      button(t("Drop it"), async () => { await drop(app.user.id, record.uid); await redraw(); }, { class: "quiet" })),
  ]);
}

function what({ kind, payload }) {
  const value = payload.typed ?? payload.text ?? payload.what ?? payload.caption ?? payload.reason ?? "";
  const codes = [kind, payload.quantity, payload.point, payload.place].map(codeWords);
  return [...codes, payload.typed ? withMark(value) : value]
    .filter(Boolean).join(", ");
}
