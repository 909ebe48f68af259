// What waits to be sent.  A record leaves this list for one reason only: a receipt of ours that
// names it, or, while it cannot be on its way, the user's own hand.

import { clockNow } from "./clock.js";
import { keyOf } from "./drafts.js";
import { tell } from "./news.js";
import { database, write } from "./store.js";
import { t } from "./language.js";

export const WAITING = "waiting";
export const REFUSED = "refused";
export const FIRST_BATCH = 50; // on a line that is not known to be good

/**
 * Put a record on the list, and let go of the drafts that it was made from, in one step.
 *
 * @param {number} user
 * @param {{inspection: number, kind: string, payload: object}} entry
 * @param {object[]} [drafts] places of drafts, see `keepDraft`
 * @returns {Promise<object>} the record with its uid
 */
export async function enter(user, { inspection, kind, payload }, drafts = []) {
  const record = fresh(user, { inspection, kind, payload });
  await write(["outbox", "drafts"], nameOf(record), async (transaction) => {
    record.order = await transaction.objectStore("outbox").add(record);
    await letGo(transaction, drafts);
  });
  tell("entered");
  return record;
}

/**
 * Put a photo on the list.
 *
 * @param {number} user
 * @param {{inspection: number, element: number|null, caption: string, taken_at: string,
 *   image: Blob}} photo already shrunk
 * @param {object[]} [drafts] places of drafts that go with it
 * @returns {Promise<object>} its record
 */
export async function enterPhoto(user, { inspection, image, ...about }, drafts = []) {
  const bytes = await image.arrayBuffer();
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  const sha256 = Array.from(digest, (each) => each.toString(16).padStart(2, "0")).join("");
  const record = fresh(user, { inspection, kind: "photo", payload: { ...about, sha256 } });
  await write(["outbox", "photos", "drafts"], nameOf(record), async (transaction) => {
    record.order = await transaction.objectStore("outbox").add(record);
    const { uid } = record;
    await transaction.objectStore("photos").put({ uid, user, bytes, type: image.type });
    await letGo(transaction, drafts);
  });
  tell("entered");
  return record;
}

/**
 * The picture of a photo that has not been sent yet.
 *
 * @param {number} user
 * @param {string} uid
 * @returns {Promise<Blob|null>}
 */
export async function pictureOf(user, uid) {
  const found = await (await database()).get("photos", uid);
  return found?.user === user ? new Blob([found.bytes], { type: found.type }) : null;
}

/**
 * All records of a user, or of one inspection of his, oldest first: on the list and sent.
 *
 * @param {number} user
 * @param {number} [inspection]
 * @returns {Promise<object[]>} each with `state`: waiting, refused (with `refusal`), or sent
 */
export async function recordsOf(user, inspection) {
  const db = await database();
  const [sent, listed] = await Promise.all([
    db.getAllFromIndex("sent", "user", user),
    db.getAllFromIndex("outbox", "user", user),
  ]);
  return [...sent, ...listed]
    .filter((each) => inspection === undefined || each.inspection === inspection)
    .sort((one, two) => one.order - two.order);
}

/**
 * How much waits on this tablet; of other users no more than the number.
 *
 * @param {number|null} user
 * @returns {Promise<{waiting: number, photos: number, refused: number, others: number}>}
 *   waiting counts the photos too
 */
export async function counts(user) {
  const result = { waiting: 0, photos: 0, refused: 0, others: 0 };
  for (const { user: owner, state, kind } of await (await database()).getAll("outbox")) {
    if (owner !== user) result.others += 1;
    else if (state === REFUSED) result.refused += 1;
    else {
      result.waiting += 1;
      if (kind === "photo") result.photos += 1;
    }
  }
  return result;
}

/**
 * How many records the signature of an inspection counts on from this tablet.
 *
 * @param {number} user
 * @param {number} inspection
 */
export async function countToSign(user, inspection) {
  const records = await recordsOf(user, inspection);
  const counts = ({ state, kind }) => kind !== "sign_off" && [WAITING, "sent"].includes(state);
  return records.filter(counts).length;
}

/** Whether a record is a signature that has arrived. */
export const isHandedIn = ({ kind, state }) => kind === "sign_off" && state === "sent";

function letGo(transaction, places) {
  const drafts = transaction.objectStore("drafts");
  return Promise.all(places.map((place) => drafts.delete(keyOf(place))));
}

function fresh(user, { inspection, kind, payload }) {
  return {
    uid: crypto.randomUUID(),
    user,
    inspection,
    kind,
    made_at: clockNow(),
    payload,
    state: WAITING,
    tries: 0,
    is_in_doubt: false, // it went out, and no answer says what became of it
    was_in_doubt: false,
    is_suspect: false, // the server failed over it, so it goes alone
    trouble: "",
    refusal: null,
  };
}

function nameOf({ kind }) {
  return t(`the ${kind.replace("_", " ")}`);
}
