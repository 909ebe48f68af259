// What is said where an inspection is not on this tablet.

import { takeAlong } from "../packet.js";
import { button, el, put, t } from "../parts/dom.js";
import { Unanswered } from "../wire.js";

/**
 * Tell that it is not here, and where it can be had.
 *
 * @param {string} words
 * @param {?Function} take brings it on board from here; told below what came of it
 */
export function notOnBoard(words = t("This inspection is not on this tablet."), take = null) {
  return [
    el("h1", {}, t("Not on board")),
    el("p", {}, words),
    take,
    el("p", {}, el("a", { class: "big-link", href: "#/" }, t("To the inspections"))),
  ];
}

/** Offer to take an inspection along where somebody came to it by a link. */
export function takeHere(app, inspection, redraw) {
  if (!app.user) return null;
  const told = el("p", { role: "status" });
  const take = async (event) => {
    event.currentTarget.disabled = true;
    try {
      await takeAlong(app.user.id, Number(inspection));
    } catch (error) {
      if (!(error instanceof Unanswered) && error.name !== "NotKept") throw error;
      put(told, t("Not taken along: {why}", { why: error.message }));
      return;
    }
    await redraw();
  };
  return [el("p", {}, button(t("Take along"), take, { class: "primary" })), told];
}
