// Every keystroke, until it becomes a record.

import { database, write } from "./store.js";
import { t } from "./language.js";

/**
 * Keep what a field holds; a later call for the same field wins, whatever takes longer.
 *
 * @param {{user: number, inspection: number, element: number|string, field: string}} place
 *   element is "" for what belongs to none
 * @param {string} text an empty one removes the draft
 * @returns {Promise<boolean>} false when it was not kept, which `not-kept` has told
 */
export async function keepDraft(place, text) {
  try {
    await write(["drafts"], t("draft of {field}", { field: place.field }), (transaction) => {
      const drafts = transaction.objectStore("drafts");
      return text === "" ? drafts.delete(keyOf(place)) : drafts.put({ ...place, text });
    });
    return true;
  } catch (error) {
    if (error.name !== "NotKept") throw error;
    return false;
  }
}

/**
 * Drafts of an inspection, or of one of its elements.
 *
 * @param {number} user
 * @param {number} inspection
 * @param {number|string} [element]
 * @returns {Promise<{element: number|string, field: string, text: string}[]>}
 */
export async function draftsOf(user, inspection, element) {
  const start = element === undefined ? [user, inspection] : [user, inspection, element];
  // An array sorts behind every number and text, so [] closes the range.
  return (await database()).getAll("drafts", IDBKeyRange.bound(start, [...start, []]));
}

/** The key of a draft. */
export function keyOf({ user, inspection, element, field }) {
  return [user, inspection, element, field];
}
