// Who works with the tablet, and which inspections there are to take along.

import { keepNote, note } from "./notes.js";
import { ask } from "./wire.js";

/**
 * Fetch the list of inspections to choose from, and remember it and who asked.
 *
 * @returns {Promise<{user: object, units: string, inspections: object[]}>}
 */
export async function fetchInspections() {
  const list = await ask("/field/inspections.json");
  await keepNote("user", { ...list.user, units: list.units, language: list.language });
  await keepNote(`inspections ${list.user.id}`, list);
  return list;
}

/** Who was signed in when the tablet last had a network; null on a new tablet. */
export async function lastUser() {
  return (await note("user")) ?? null;
}

/**
 * The list as it was last fetched, for when there is no network.
 *
 * @param {number} user
 */
export async function lastInspections(user) {
  return (await note(`inspections ${user}`)) ?? null;
}
