// The inspections to choose from, and what is on board.

import { isHandedIn, recordsOf } from "../outbox.js";
import { leaveBehind, onBoard } from "../packet.js";
import { button, counted, el, put, t } from "../parts/dom.js";
import { ageWords, elements } from "../parts/words.js";
import { fetchInspections, lastInspections } from "../session.js";
import { Unanswered } from "../wire.js";
import { taking } from "./missing.js";

/**
 * Show the list.
 *
 * @param {{user: object|null, fresh: object|null}} app fresh: the list, where it has just come
 */
export async function listScreen(app) {
  if (!app.user) {
    return [
      el("h1", {}, t("On site")),
      el("p", { class: "lead" }, t("Sign in once while there is a network; then this tablet works without one.")),
      el("p", {}, el("a", { class: "big-link", href: "/sign-in/?next=/field/" }, t("Sign in"))),
    ];
  }
  const list = app.fresh ?? (await freshList()) ?? (await lastInspections(app.user.id));
  const rows = el("div", { class: "trips" });
  const told = el("p", { role: "status" });
  const draw = async () => put(rows, await cards(app, list?.inspections ?? [], draw, told));
  await draw();
  return [
    el("h1", {}, t("Inspections")),
    el("p", {}, t("Signed in as {name}. Take along what you need before you leave.", { name: app.user.name })),
    told,
    rows,
    list?.more ? el("p", {}, t("More inspections are open that nobody is named for: open one at the desk, and from there «On a tablet, with or without a signal».")) : null,
  ];
}

async function freshList() {
  try {
    return await fetchInspections();
  } catch (error) {
    if (!(error instanceof Unanswered)) throw error;
    return null;
  }
}

async function cards(app, listed, redraw, told) {
  const board = new Map((await onBoard(app.user.id)).map((each) => [each.id, each]));
  const signed = (await recordsOf(app.user.id)).filter(isHandedIn);
  const others = listed.filter(({ id }) => !board.has(id));
  if (!board.size && !others.length) {
    return el("p", {}, t("No open inspection is assigned to you. Ask the engineer, or open one at the desk."));
  }
  return [
    [...board.values()].map((each) => card(app, each, true, redraw, told, signed.some(({ inspection }) => inspection === each.id))),
    others.map((each) => card(app, each, false, redraw, told)),
  ];
}

function card(app, inspection, isOnBoard, redraw, told, isHandedIn = false) {
  const { id, bridge_code, bridge_name, date, kind } = inspection;
  const take = taking(app, id, told, async () => {
    put(told, t("{bridge} is on board.", { bridge: bridge_code }));
    await redraw();
  });
  const leave = async () => {
    const { is_removed, unsent, drafts } = await leaveBehind(app.user.id, id);
    const and = t(" and ");
    const kept = [
      unsent && counted("{count} record", "{count} records", unsent),
      drafts && counted("{count} unfinished entry", "{count} unfinished entries", drafts),
    ];
    put(told, is_removed ? t("{bridge} was left behind.", { bridge: bridge_code }) :
      t("{bridge} stays: {kept} not sent yet.", { bridge: bridge_code, kept: kept.filter(Boolean).join(and) }));
    await redraw();
  };
  return el(
    "section",
    { class: "trip" },
    el("h2", {}, `${bridge_code} ${bridge_name}`),
    el("p", {}, `${kind}, ${date}`),
    isHandedIn ? el("p", { class: "signed" }, t("Handed in.")) : null,
    isOnBoard
      ? el("p", { class: inspection.age_h > 24 ? "is-old" : "" },
          t("On board: {elements}, {there} of {all} photos; {age}.", {
            elements: elements(inspection.element_count), ...inspection.thumbnails, age: ageWords(inspection.age_h),
          }))
      : el("p", {}, `${elements(inspection.elements ?? 0)}. ${t("Not on board.")}`),
    el(
      "div",
      { class: "actions" },
      isOnBoard ? el("a", { class: "big-link", href: `#/i/${id}` }, t("Open")) : null,
      button(isOnBoard ? t("Take along anew") : t("Take along"), take, { class: isOnBoard ? "" : "primary" }),
      isOnBoard ? button(t("Leave behind"), leave, { class: "quiet" }) : null,
    ),
  );
}
