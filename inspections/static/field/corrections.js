// What a user may still do to a record on the list: correct it, send it again, let it go.

import { tell } from "./news.js";
import { REFUSED, WAITING } from "./outbox.js";
import { write } from "./store.js";
import { t } from "./language.js";

const TABLES = ["outbox", "sent", "photos"];

/**
 * Correct a record, or send a refused one again; `null` while it may be on its way.
 *
 * @param {number} user
 * @param {string} uid
 * @param {object} payload the whole of it
 * @returns {Promise<object|null>} the record as it is now, perhaps under another uid
 */
export async function change(user, uid, payload) {
  const changed = await write(TABLES, t("the correction"), async (transaction) => {
    const found = await mine(transaction, user, uid);
    if (!found || found.is_in_doubt) return null;
    return requeue(transaction, found, payload);
  });
  if (changed) tell("entered");
  return changed;
}

/**
 * Let go of a record by the user's own hand; what was refused stays on view as dropped.
 *
 * @param {number} user
 * @param {string} uid
 * @returns {Promise<boolean>} false while it may be on its way
 */
export async function drop(user, uid) {
  return write(TABLES, t("the removal"), async (transaction) => {
    const found = await mine(transaction, user, uid);
    if (!found || found.is_in_doubt) return false;
    const repeats = await repeatsOf(transaction, found);
    // A second measurement whose first is dropped becomes the first.
    for (const [index, repeat] of repeats.entries()) {
      const first = index === 0 ? null : repeats[0].uid;
      const payload = { ...repeat.payload, is_repeat_of: first };
      repeats[index] = await requeue(transaction, repeat, payload);
    }
    await transaction.objectStore("outbox").delete(found.order);
    await transaction.objectStore("photos").delete(found.uid);
    if (found.state === REFUSED) {
      await transaction.objectStore("sent").put({ ...found, state: "dropped" });
    }
    return true;
  });
}

/**
 * Why a record cannot be changed now, in words; empty when it can.
 *
 * @param {object} record
 */
export function whyFixed(record) {
  if (record.state === "sent") return t("It has arrived. Correct it on the inspection's page.");
  return record.is_in_doubt ? t("It may have arrived: wait until the server has answered.") : "";
}

// An id stands for one thing for ever: what went out once comes back under another.
async function requeue(transaction, found, payload) {
  const record = {
    ...found,
    payload,
    state: WAITING,
    tries: 0,
    is_suspect: false,
    trouble: "",
    refusal: null,
  };
  if (found.tries > 0) {
    record.uid = crypto.randomUUID();
    const photos = transaction.objectStore("photos");
    const photo = await photos.get(found.uid);
    if (photo) {
      await photos.put({ ...photo, uid: record.uid });
      await photos.delete(found.uid);
    }
    for (const repeat of await repeatsOf(transaction, found)) {
      const moved = { ...repeat.payload, is_repeat_of: record.uid };
      await requeue(transaction, repeat, moved);
    }
  }
  await transaction.objectStore("outbox").put(record);
  return record;
}

// Those sent already have another first: a repeat never goes before its first has gone.
async function repeatsOf(transaction, { uid, user }) {
  const listed = await transaction.objectStore("outbox").index("user").getAll(user);
  return listed.filter((each) => each.payload.is_repeat_of === uid && !each.is_in_doubt);
}

async function mine(transaction, user, uid) {
  const found = await transaction.objectStore("outbox").index("uid").get(uid);
  return found?.user === user ? found : null;
}
