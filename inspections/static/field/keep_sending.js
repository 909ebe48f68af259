// When to send: at once where there is hope, and ever more patiently where there is none.

import { news } from "./news.js";
import { flush } from "./send.js";

const SOON_MS = 1_000;
const FIRST_MS = 5_000;
const LONGEST_MS = 300_000;

/**
 * Keep sending: now, when the network returns, when something is entered, and by a timer that
 * grows patient.
 *
 * @param {() => number|null} currentUser
 * @returns {{now: () => Promise<object|null>, stop: () => void}} `now` is for a button
 */
export function keepSending(currentUser) {
  const ending = new AbortController();
  let timer = 0;
  let failures = 0;
  const later = (ms) => {
    clearTimeout(timer);
    if (!ending.signal.aborted) timer = setTimeout(() => attempt(), ms);
  };
  const attempt = async () => {
    later(LONGEST_MS); // whatever happens, there is a next time
    const user = currentUser();
    if (user === null) return null;
    const outcome = await flush(user);
    failures = outcome.why ? failures + 1 : 0;
    if (failures) later(delayAfter(failures));
    return outcome;
  };
  const now = () => {
    failures = 0;
    return attempt();
  };
  const { signal } = ending;
  window.addEventListener("online", now, { signal });
  document.addEventListener("visibilitychange", () => document.hidden || attempt(), { signal });
  // While attempts fail, their own timer is soon enough.
  news.addEventListener("entered", () => failures || later(SOON_MS), { signal });
  later(0);
  return {
    now,
    stop: () => {
      ending.abort();
      clearTimeout(timer);
    },
  };
}

/**
 * How long to wait after so many failures in a row, with some chance in it so that a crew's
 * tablets do not all come at once.
 *
 * @param {number} failures
 * @returns {number} ms
 */
export function delayAfter(failures) {
  const delay_ms = Math.min(FIRST_MS * 3 ** (failures - 1), LONGEST_MS);
  return delay_ms * (0.8 + 0.4 * Math.random());
}
