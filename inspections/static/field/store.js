// The tablet's own store.  A write has happened only when its transaction has, on the disk:
// durability is strict, and whatever could not be kept is told at once.

import { tell } from "./news.js";
import { openDB } from "./vendor/idb.js";
import { mark, t } from "./language.js";

const NAME = "ledger-field";
const VERSION = 1;
const FULL = {
  reason: mark("The tablet's storage is full."),
  remedy: mark("Free some space or remove an inspection that has been sent, then enter it again."),
};
const FAILED = {
  reason: mark("The tablet's storage did not take it."),
  remedy: mark("Write the value down, close the app and open it again."),
};

/** Something could not be kept; the value on screen is all there is of it. */
export class NotKept extends Error {
  constructor(what, { reason, remedy }, cause) {
    const words = { what, reason: t(reason), remedy: t(remedy) };
    super(t("Not kept: {what}. {reason} {remedy}", words), { cause });
    this.name = "NotKept";
    Object.assign(this, words);
  }
}

let opened = null;

/**
 * The database, opened once.
 *
 * @returns {Promise<object>} the database
 */
export function database() {
  opened ??= openDB(NAME, VERSION, {
    upgrade(db) {
      db.createObjectStore("drafts", { keyPath: ["user", "inspection", "element", "field"] });
      const outbox = db.createObjectStore("outbox", { keyPath: "order", autoIncrement: true });
      outbox.createIndex("uid", "uid", { unique: true });
      outbox.createIndex("user", "user");
      db.createObjectStore("photos", { keyPath: "uid" });
      db.createObjectStore("sent", { keyPath: "uid" }).createIndex("user", "user");
      db.createObjectStore("packets", { keyPath: ["user", "inspection"] });
      db.createObjectStore("thumbnails", { keyPath: ["user", "inspection", "uid"] });
      db.createObjectStore("meta");
    },
    // Another tab holds a newer version: give way, and let the next call open anew.
    blocking() {
      opened?.then((db) => db.close());
      opened = null;
    },
    terminated() {
      opened = null;
    },
  }).catch((error) => {
    opened = null;
    throw error;
  });
  return opened;
}

/**
 * Write in one transaction: all of it is kept, or none.
 *
 * `work` awaits nothing but its own requests: a fetch would let the transaction end under it.
 *
 * @template T
 * @param {string[]} stores
 * @param {string} what the user would call it
 * @param {(transaction: object) => Promise<T>} work
 * @returns {Promise<T>}
 * @throws {NotKept} which `not-kept` tells as well
 */
export async function write(stores, what, work) {
  try {
    return await commit(stores, what, work);
  } catch (error) {
    if (!(error instanceof NotKept)) throw error;
    tell("not-kept", { what, reason: error.reason, remedy: error.remedy });
    throw error;
  }
}

/**
 * The same for what is no loss: notes of the app to itself.
 *
 * @param {string[]} stores
 * @param {(transaction: object) => Promise<void>} work
 * @returns {Promise<boolean>} whether it was kept
 */
export async function tryToWrite(stores, work) {
  try {
    await commit(stores, "a note of the app", work);
    return true;
  } catch (error) {
    if (!(error instanceof NotKept)) throw error;
    return false;
  }
}

async function commit(stores, what, work) {
  let result;
  try {
    const options = { durability: "strict" };
    const transaction = (await database()).transaction(stores, "readwrite", options);
    transaction.done.catch(() => {}); // heard below, unless `work` fails first
    try {
      result = await work(transaction);
    } catch (error) {
      if (!(error instanceof DOMException)) abort(transaction);
      throw error;
    }
    await transaction.done;
  } catch (error) {
    if (!(error instanceof DOMException)) throw error;
    throw new NotKept(what, error.name === "QuotaExceededError" ? FULL : FAILED, error);
  }
  tell("changed", { stores });
  return result;
}

function abort(transaction) {
  try {
    transaction.abort();
  } catch (error) {
    if (error.name !== "InvalidStateError") throw error; // it had ended already
  }
}
