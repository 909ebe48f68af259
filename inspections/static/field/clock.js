// The tablet's clock, and how far it is from the server's when the two last spoke.

import { tell } from "./news.js";
import { keepNote, note } from "./notes.js";
import { t } from "./language.js";

/** Further off than this, in seconds, and times are moved when they arrive. */
export const TOLERANCE_S = 120;

/** The time by the tablet's own clock, ISO 8601 with its offset. */
export function clockNow() {
  return new Date().toISOString();
}

/**
 * Remember the server's time; its answer was made between the two of the tablet.
 *
 * @param {string|null} server_now ISO 8601, or as in the header of an answer
 * @param {number} asked_ms tablet's clock when it asked
 * @param {number} answered_ms and when the answer came
 */
export async function rememberClock(server_now, asked_ms, answered_ms) {
  const server_ms = Date.parse(server_now);
  if (!Number.isFinite(server_ms)) return;
  const slow_s = (server_ms - (asked_ms + answered_ms) / 2) / 1000;
  await keepNote("clock", { server_ms, slow_s });
  if (Math.abs(slow_s) > TOLERANCE_S) tell("clock", { slow_s, words: words(slow_s) });
}

/**
 * What is wrong with the clock, as far as can be known without a network.
 *
 * @returns {Promise<{slow_s: number, words: string} | null>}
 */
export async function clockWarning() {
  const known = await note("clock");
  if (!known) return null;
  // The server's last time has passed for sure: a clock before it has been set back since.
  const behind_s = (known.server_ms - Date.now()) / 1000;
  const slow_s = Math.max(behind_s, known.slow_s);
  return Math.abs(slow_s) > TOLERANCE_S ? { slow_s, words: words(slow_s) } : null;
}

/**
 * The true time, as well as the tablet knows it.
 *
 * @returns {Promise<number>} ms since 1970
 */
export async function trueNow_ms() {
  return Date.now() + 1000 * ((await note("clock"))?.slow_s ?? 0);
}

function words(slow_s) {
  const minutes = Math.round(Math.abs(slow_s) / 60);
  const off = minutes < 120
    ? t("{minutes} minutes", { minutes })
    : t("{hours} hours", { hours: Math.round(minutes / 60) });
  const how = slow_s > 0
    ? t("This tablet's clock is {off} slow.", { off })
    : t("This tablet's clock is {off} fast.", { off });
  return `${how} ${t("Set it: until then the times of readings are moved when they arrive.")}`;
}
