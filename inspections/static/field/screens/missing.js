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
  const take = taking(app, Number(inspection), told, redraw);
  return [el("p", {}, button(t("Take along"), take, { class: "primary" })), told];
}

/** What a button does that takes an inspection along; it tells how far it is, and why not. */
export function taking(app, id, told, afterwards) {
  return async ({ currentTarget }) => {
    currentTarget.disabled = true;
    try {
      await takeAlong(app.user.id, id, (done, all) => put(told, t("Taking along: {done} of {all} photos", { done, all })));
    } catch (error) {
      if (!(error instanceof Unanswered) && error.name !== "NotKept") throw error;
      put(told, t("Not taken along: {message}", { message: error.message }));
      currentTarget.disabled = false;
      return;
    }
    await afterwards();
  };
}
