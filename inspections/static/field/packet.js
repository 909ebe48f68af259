// Taking inspections along: what is on board, how old it is, and leaving it behind.

import { trueNow_ms } from "./clock.js";
import { database, write } from "./store.js";
import { ask, askPicture, Unanswered } from "./wire.js";
import { t } from "./language.js";

const FORMAT = "ledger-packet/1";
const HOUR_MS = 3_600_000;

/**
 * Take an inspection along.  The packet on board is replaced only when the new one is whole.
 *
 * @param {number} user
 * @param {number} inspection
 * @param {(done: number, all: number) => void} [progress] of the thumbnails
 * @returns {Promise<object>} its line of `onBoard`
 */
export async function takeAlong(user, inspection, progress = () => {}) {
  const sent = await (await database()).getAllFromIndex("sent", "user", user);
  const packet = await ask(`/field/inspections/${inspection}/packet.json`);
  if (packet.format !== FORMAT) {
    throw new Unanswered("rejected", t("Load the app anew: it cannot read {format}.", { format: packet.format }));
  }
  if (packet.user?.id !== user) throw new Unanswered("another-user", packet.user?.name ?? "");
  const photos = elementsOf(packet).flatMap((element) => element.photos);
  const pictures = [];
  for (const { uid, thumbnail_url } of photos) {
    const known = await thumbnail(user, inspection, uid);
    const picture = known ?? (await pictureOrNone(thumbnail_url));
    if (picture) pictures.push({ user, inspection, uid, picture });
    progress(pictures.length, photos.length);
  }
  const thumbnails = { there: pictures.length, all: photos.length };
  // A visit that is open although its signature had arrived was returned: it can be signed again.
  const returned = sent.filter((each) =>
    packet.inspection.state === "open" && each.inspection === inspection && each.kind === "sign_off");
  await write(["packets", "thumbnails", "sent"], t("the inspection"), async (transaction) => {
    await Promise.all(returned.map(({ uid }) => transaction.objectStore("sent").delete(uid)));
    await transaction.objectStore("packets").put({ user, inspection, packet, thumbnails });
    const store = transaction.objectStore("thumbnails");
    await store.delete(rangeOf(user, inspection));
    await Promise.all(pictures.map((each) => store.put(each)));
  });
  return (await onBoard(user)).find((each) => each.id === inspection);
}

/**
 * A packet on board, null where there is none.
 *
 * @param {number} user
 * @param {number} inspection
 */
export async function packetOf(user, inspection) {
  return (await (await database()).get("packets", [user, inspection]))?.packet ?? null;
}

/**
 * A photo's thumbnail on board, as a data URL for an image.
 *
 * @param {number} user
 * @param {number} inspection
 * @param {string} uid
 * @returns {Promise<string|null>}
 */
export async function thumbnail(user, inspection, uid) {
  return (await (await database()).get("thumbnails", [user, inspection, uid]))?.picture ?? null;
}

/**
 * What is on board for a user.
 *
 * @param {number} user
 * @returns {Promise<{id: number, made_at: string, age_h: number, element_count: number,
 *   thumbnails: {there: number, all: number}}[]>} with the inspection's own words
 */
export async function onBoard(user) {
  const rows = await (await database()).getAll("packets", IDBKeyRange.bound([user], [user, []]));
  const now_ms = await trueNow_ms();
  return rows.map(({ packet, thumbnails }) => ({
    ...packet.inspection,
    made_at: packet.made_at,
    age_h: (now_ms - Date.parse(packet.made_at)) / HOUR_MS,
    element_count: elementsOf(packet).length,
    thumbnails,
  }));
}

/**
 * Remove an inspection from the tablet, unless something of it has not been sent.
 *
 * @param {number} user
 * @param {number} inspection
 * @returns {Promise<{is_removed: boolean, unsent: number, drafts: number}>}
 */
export async function leaveBehind(user, inspection) {
  const stores = ["packets", "thumbnails", "sent", "outbox", "drafts"];
  return write(stores, t("the removal"), async (transaction) => {
    const range = rangeOf(user, inspection);
    const listed = await transaction.objectStore("outbox").index("user").getAll(user);
    const unsent = listed.filter((each) => each.inspection === inspection).length;
    // The instrument in use is a setting of the visit, not something typed and not yet kept.
    const typed = await transaction.objectStore("drafts").getAll(range);
    const drafts = typed.filter(({ field }) => !field.startsWith("instrument ")).length;
    if (unsent || drafts) return { is_removed: false, unsent, drafts };
    await transaction.objectStore("packets").delete([user, inspection]);
    await transaction.objectStore("thumbnails").delete(range);
    await transaction.objectStore("drafts").delete(range);
    const sent = transaction.objectStore("sent");
    const mine = await sent.index("user").getAll(user);
    const done = mine.filter((each) => each.inspection === inspection);
    await Promise.all(done.map(({ uid }) => sent.delete(uid)));
    return { is_removed: true, unsent, drafts };
  });
}

function elementsOf(packet) {
  return packet.stops.flatMap((stop) => stop.elements);
}

function rangeOf(user, inspection) {
  return IDBKeyRange.bound([user, inspection], [user, inspection, []]);
}

// An inspection is worth taking along without one of its pictures.
async function pictureOrNone(url) {
  try {
    const blob = await askPicture(url);
    return await new Promise((resolve, reject) => {
      const reader = new FileReader();
      reader.onload = () => resolve(reader.result);
      reader.onerror = () => reject(reader.error);
      reader.readAsDataURL(blob);
    });
  } catch (error) {
    if (error instanceof Unanswered && error.kind !== "sign-in") return null;
    throw error;
  }
}
