// The sender's side of the list: what goes next, and what an answer makes of it.

import { FIRST_BATCH, REFUSED, WAITING } from "./outbox.js";
import { database, tryToWrite } from "./store.js";
import { t } from "./language.js";

/**
 * Take what goes next, marked as being on its way before it goes.
 *
 * Records go before photos.  A signature waits until nothing else of its inspection is on the
 * list, as it locks the inspection; a second measurement goes with or after its first.
 *
 * @param {number} user
 * @param {number} most records in a batch
 * @param {Set<string>} done uids that this flush is through with
 * @returns {Promise<object[]>} records, or one photo, or nothing
 */
export async function takeBatch(user, most, done) {
  let batch = [];
  // On a full disk the mark is not kept, but sending is what makes room.
  await tryToWrite(["outbox"], async (transaction) => {
    const outbox = transaction.objectStore("outbox");
    batch = nextOf(await outbox.getAll(), user, most, done);
    for (const record of batch) {
      record.tries += 1;
      record.was_in_doubt = record.is_in_doubt; // an earlier try may have arrived unanswered
      record.is_in_doubt = true;
      await outbox.put(record);
    }
  });
  return batch;
}

function nextOf(listed, user, most, done) {
  const ready = listed
    .filter((each) => each.user === user && each.state === WAITING && !done.has(each.uid))
    .filter((each) => !isHeld(each, listed))
    .sort(
      (one, two) =>
        (one.kind === "photo") - (two.kind === "photo") ||
        one.is_suspect - two.is_suspect ||
        one.tries - two.tries ||
        one.order - two.order,
    );
  const able = withFirsts(ready, listed);
  const isAlone = (each) => each.kind === "photo" || each.is_suspect;
  if (able.length && isAlone(able[0])) return able.slice(0, 1);
  const next = able.filter((each) => !isAlone(each)).slice(0, most);
  // What a line has broken over once goes in smaller parts.
  return next.some(({ tries }) => tries) ? next.slice(0, FIRST_BATCH) : next;
}

/**
 * Keep what the receipts say.  Only a receipt that names a record takes it off the list.
 *
 * @param {object[]} batch what was sent
 * @param {{uid: string, outcome: string, field?: string, message?: string}[]} receipts
 * @returns {Promise<{sent: number, refused: number}>}
 */
export async function settle(batch, receipts) {
  const named = new Map(receipts.map((each) => [each?.uid, each]));
  const outcomeOf = ({ uid }) => named.get(uid)?.outcome;
  const arrived = batch.filter((each) => ["taken", "already"].includes(outcomeOf(each)));
  const refused = batch.filter((each) => outcomeOf(each) === "refused");
  const at = new Date().toISOString();
  const isKept = await tryToWrite(["outbox", "sent", "photos"], async (transaction) => {
    await takeOff(transaction, arrived, (record) =>
      transaction.objectStore("sent").put({ ...record, ...SETTLED, state: "sent", sent_at: at }),
    );
    await amend(transaction, refused, (record) => {
      const { field = "", message = "" } = named.get(record.uid);
      return { ...record, ...SETTLED, state: REFUSED, refusal: { field, message, at } };
    });
    const rest = batch.filter((each) => !arrived.includes(each) && !refused.includes(each));
    const trouble = t("The server's answer did not name it.");
    await amend(transaction, rest, (record) => ({ ...record, trouble }));
  });
  // On a full disk what has arrived still makes room; a copy of it is at the server.
  if (!isKept) {
    await tryToWrite(["outbox", "photos"], (transaction) => takeOff(transaction, arrived));
  }
  return { sent: arrived.length, refused: isKept ? refused.length : 0 };
}

/**
 * Keep that a batch was not answered by receipts: all of it stays.
 *
 * @param {object[]} batch
 * @param {{message: string, is_in_doubt: boolean, is_about_content: boolean}} failure
 */
export async function fail(batch, failure) {
  const isSuspect = failure.is_about_content && batch.length === 1;
  await tryToWrite(["outbox"], (transaction) =>
    amend(transaction, batch, (record) => ({
      ...record,
      is_in_doubt: record.was_in_doubt || failure.is_in_doubt,
      is_suspect: record.is_suspect || isSuspect,
      trouble: failure.message,
    })),
  );
}

/**
 * Signatures that wait for the rest of their inspection to arrive.
 *
 * @param {number} user
 * @returns {Promise<object[]>}
 */
export async function heldSignatures(user) {
  const listed = await (await database()).getAll("outbox");
  return listed.filter((each) => each.user === user && isHeld(each, listed));
}

function isHeld({ kind, inspection }, listed) {
  return (
    kind === "sign_off" &&
    listed.some((other) => other.inspection === inspection && other.kind !== "sign_off")
  );
}

function withFirsts(ready, listed) {
  const gone = new Set(listed.map((each) => each.uid));
  return ready.filter((each) => {
    const goes = !gone.has(each.payload.is_repeat_of);
    if (goes) gone.delete(each.uid); // it goes now, so its repeats may follow
    return goes;
  });
}

const SETTLED = { is_in_doubt: false, was_in_doubt: false, is_suspect: false, trouble: "" };

async function amend(transaction, batch, amended) {
  const outbox = transaction.objectStore("outbox");
  for (const { uid, order } of batch) {
    const record = await outbox.get(order);
    if (record?.uid === uid) await outbox.put(amended(record));
  }
}

async function takeOff(transaction, batch, keep = async () => {}) {
  const outbox = transaction.objectStore("outbox");
  for (const { uid, order } of batch) {
    const record = await outbox.get(order);
    if (record?.uid !== uid) continue;
    await keep(record);
    await transaction.objectStore("photos").delete(uid);
    await outbox.delete(order);
  }
}
