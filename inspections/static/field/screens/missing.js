// What is said where an inspection is not on this tablet.

import { el } from "../parts/dom.js";

/** Tell that it is not here, and where it can be had. */
export function notOnBoard(words = "This inspection is not on this tablet.") {
  return [
    el("h1", {}, "Not on board"),
    el("p", {}, words),
    el("p", {}, el("a", { class: "big-link", href: "#/" }, "To the inspections")),
  ];
}
