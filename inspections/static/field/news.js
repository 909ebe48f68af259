// What the parts of the app tell each other and the screens.

/**
 * Names of what is told, with what comes along in `event.detail`:
 *   changed       something was kept, sent, refused or removed     { stores }
 *   entered       a record joined the list of what waits           { }
 *   not-kept      the store refused a value: keep it on screen     { what, reason, remedy }
 *   sending       a flush began or ended                           { busy, outcome }
 *   sign-in       the session has ended: what waits stays          { status }
 *   another-user  somebody else is signed in now                   { name }
 *   clock         the tablet's clock is wrong                      { slow_s, words }
 *   update        a new version waits until the user takes it      { take }
 */
export const news = new EventTarget();

/**
 * Tell everyone who listens.
 *
 * @param {string} name
 * @param {object} [detail]
 */
export function tell(name, detail = {}) {
  news.dispatchEvent(new CustomEvent(name, { detail }));
}
