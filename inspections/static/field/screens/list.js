// The inspections to choose from, and what is on board.

import { leaveBehind, onBoard, takeAlong } from "../packet.js";
import { button, el, put } from "../parts/dom.js";
import { ageWords, plural } from "../parts/words.js";
import { fetchInspections, lastInspections } from "../session.js";
import { Unanswered } from "../wire.js";

/**
 * Show the list.
 *
 * @param {{user: object|null}} app
 */
export async function listScreen(app) {
  if (!app.user) {
    return [
      el("h1", {}, "On site"),
      el("p", { class: "lead" }, "Sign in once while there is a network; then this tablet works without one."),
      el("p", {}, el("a", { class: "big-link", href: "/sign-in/?next=/field/" }, "Sign in")),
    ];
  }
  const list = (await freshList()) ?? (await lastInspections(app.user.id));
  const rows = el("div", { class: "trips" });
  const told = el("p", { role: "status" });
  const draw = async () => put(rows, await cards(app, list?.inspections ?? [], draw, told));
  await draw();
  return [
    el("h1", {}, "Inspections"),
    el("p", {}, `Signed in as ${app.user.name}. Take along what you need before you leave.`),
    told,
    rows,
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
  const others = listed.filter(({ id }) => !board.has(id));
  if (!board.size && !others.length) {
    return el("p", {}, "No open inspection is assigned to you. Ask the engineer, or open one at the desk.");
  }
  return [
    [...board.values()].map((each) => card(app, each, true, redraw, told)),
    others.map((each) => card(app, each, false, redraw, told)),
  ];
}

function card(app, inspection, isOnBoard, redraw, told) {
  const { id, bridge_code, bridge_name, date, kind } = inspection;
  const take = async (event) => {
    event.currentTarget.disabled = true;
    try {
      await takeAlong(app.user.id, id, (done, all) => put(told, `Taking along: ${done} of ${all} photos`));
      put(told, `${bridge_code} is on board.`);
    } catch (error) {
      if (!(error instanceof Unanswered) && error.name !== "NotKept") throw error;
      put(told, `Not taken along: ${error.message}`);
    }
    await redraw();
  };
  const leave = async () => {
    const { is_removed, unsent, drafts } = await leaveBehind(app.user.id, id);
    const kept = [unsent && plural(unsent, "record"), drafts && plural(drafts, "unfinished entry")];
    put(told, is_removed ? `${bridge_code} was left behind.` :
      `${bridge_code} stays: ${kept.filter(Boolean).join(" and ")} not sent yet.`);
    await redraw();
  };
  return el(
    "section",
    { class: "trip" },
    el("h2", {}, `${bridge_code} ${bridge_name}`),
    el("p", {}, `${kind}, ${date}`),
    isOnBoard
      ? el("p", { class: inspection.age_h > 24 ? "is-old" : "" },
          `On board: ${plural(inspection.element_count, "element")}, ${inspection.thumbnails.there} of` +
          ` ${inspection.thumbnails.all} photos; ${ageWords(inspection.age_h)}.`)
      : el("p", {}, `${plural(inspection.elements ?? 0, "element")}. Not on board.`),
    el(
      "div",
      { class: "actions" },
      isOnBoard ? el("a", { class: "big-link", href: `#/i/${id}` }, "Open") : null,
      button(isOnBoard ? "Take along anew" : "Take along", take, { class: isOnBoard ? "" : "primary" }),
      isOnBoard ? button("Leave behind", leave, { class: "quiet" }) : null,
    ),
  );
}
