// Standing notes of the tablet to itself, and what it asks of the browser.

import { database, tryToWrite } from "./store.js";

/**
 * A standing note: `tablet`, `user`, `clock`, `inspections <user>`.
 *
 * @param {string} name
 */
export async function note(name) {
  return (await database()).get("meta", name);
}

/**
 * Keep a standing note, if it can be kept.
 *
 * @param {string} name
 * @param {unknown} value
 * @returns {Promise<boolean>}
 */
export async function keepNote(name, value) {
  return tryToWrite(["meta"], (transaction) => transaction.objectStore("meta").put(value, name));
}

let unkept = null;

/** The tablet's own name, made when it is first asked for. */
export async function tabletId() {
  const known = await note("tablet");
  if (known) return known;
  unkept ??= crypto.randomUUID(); // the same for as long as the app is open, even on a full disk
  await tryToWrite(["meta"], async (transaction) => {
    const meta = transaction.objectStore("meta");
    if (!(await meta.get("tablet"))) await meta.put(unkept, "tablet");
  });
  return (await note("tablet")) ?? unkept;
}

/**
 * Ask that the browser never clears the store by itself, and tell how full it is.
 *
 * @returns {Promise<{is_persistent: boolean, used_bytes: number, quota_bytes: number}>}
 */
export async function persist() {
  const isPersistent = (await navigator.storage?.persist?.()) ?? false;
  const { usage = 0, quota = 0 } = (await navigator.storage?.estimate?.()) ?? {};
  return { is_persistent: isPersistent, used_bytes: usage, quota_bytes: quota };
}
