// Sends what waits: one flush at a time on the whole tablet, records in batches, photos singly.

import { clockNow } from "./clock.js";
import { tell } from "./news.js";
import { tabletId } from "./notes.js";
import { counts, FIRST_BATCH, pictureOf } from "./outbox.js";
import { fail, settle, takeBatch } from "./queue.js";
import { ask, Unanswered } from "./wire.js";
import { t } from "./language.js";

const LOCK = "ledger-field-send";
const LARGEST_BATCH = 200; // the server takes no more at once
const QUICK_MS = 5_000;
const GOOD_LINE_MS = 1_000;
const MISSES = 3;

/**
 * Send all that waits for a user, and say how far it got.
 *
 * @param {number} user
 * @returns {Promise<{sent: number, refused: number, left: number, why: string, words: string}>}
 *   why: empty, offline, sign-in, another-user, away, failed, rejected or garbled
 */
export async function flush(user) {
  // The lock is the browser's, so another tab cannot send the same at the same time.
  return navigator.locks.request(LOCK, async () => {
    const outcome = { sent: 0, refused: 0, left: 0, why: "", words: "" };
    tell("sending", { busy: true, outcome: null });
    try {
      await sendAll(user, outcome);
    } catch (error) {
      if (!(error instanceof Unanswered)) throw error;
      outcome.why = error.kind;
      outcome.words = error.message;
      if (error.kind === "sign-in") tell("sign-in", { status: error.status });
      if (error.kind === "another-user") tell("another-user", { name: error.message });
    } finally {
      outcome.left = (await counts(user)).waiting;
      tell("sending", { busy: false, outcome });
    }
    return outcome;
  });
}

async function sendAll(user, outcome) {
  if (!(await counts(user)).waiting) return;
  // Whatever is sent is written down under whoever is signed in, so it must be the same one.
  const asked_ms = performance.now();
  const { user: signedIn } = await ask("/field/inspections.json");
  if (signedIn?.id !== user) throw new Unanswered("another-user", signedIn?.name ?? "");
  const done = new Set();
  let most = performance.now() - asked_ms < GOOD_LINE_MS ? LARGEST_BATCH : FIRST_BATCH;
  let misses = 0;
  for (;;) {
    const batch = await takeBatch(user, most, done);
    if (!batch.length) return;
    const began_ms = performance.now();
    const failure = await sendBatch(user, batch, outcome);
    const was_quick = !failure && performance.now() - began_ms < QUICK_MS;
    if (failure && batch.length > 1) {
      most = 1; // one of them may be what the server fails over: find out which
      continue;
    }
    // Each request is judged by itself, so a good line carries fewer and larger ones.
    if (most > 1) most = was_quick ? LARGEST_BATCH : FIRST_BATCH;
    for (const { uid } of batch) done.add(uid);
    misses = failure ? misses + 1 : 0;
    if (misses === MISSES) throw failure;
    if (failure) Object.assign(outcome, { why: failure.kind, words: failure.message });
  }
}

async function sendBatch(user, batch, outcome) {
  try {
    const isPhoto = batch[0].kind === "photo";
    const receipts = isPhoto ? await sendPhoto(user, batch[0]) : await sendRecords(batch);
    const { sent, refused } = await settle(batch, receipts);
    outcome.sent += sent;
    outcome.refused += refused;
    return null;
  } catch (error) {
    if (!(error instanceof Unanswered)) throw error;
    await fail(batch, error);
    if (!error.is_about_content) throw error;
    return error;
  }
}

async function sendRecords(batch) {
  const records = batch.map(({ uid, inspection, kind, made_at, payload }) => ({
    uid,
    inspection,
    kind,
    made_at,
    payload,
  }));
  const json = { tablet: await tabletId(), clock_now: clockNow(), records };
  return receiptsOf(await ask("/field/records", { json, patience_ms: 60_000 }));
}

async function sendPhoto(user, { uid, inspection, made_at, payload }) {
  const image = await pictureOf(user, uid);
  if (!image) {
    const message = t("The picture is no longer on this tablet. Take it anew.");
    return [{ uid, outcome: "refused", field: "image", message }];
  }
  const form = new FormData();
  const about = { inspection, element: payload.element ?? "", made_at, clock_now: clockNow() };
  const { caption, taken_at, sha256 } = payload;
  const fields = { ...about, caption, taken_at, sha256, tablet: await tabletId() };
  for (const [name, value] of Object.entries(fields)) form.set(name, value);
  form.set("image", image, `${uid}.jpg`);
  return receiptsOf(await ask(`/field/photos/${uid}`, { form, patience_ms: 120_000 }));
}

function receiptsOf({ receipts }) {
  if (Array.isArray(receipts)) return receipts;
  const message = t("The server's answer holds no receipts.");
  throw new Unanswered("garbled", message, { is_in_doubt: true });
}
