// The one way to the server.  Only an answer of ours in JSON counts as one: a redirect to the
// sign-in page, a page of a hotel's network and half an answer are told for what they are.

import { rememberClock } from "./clock.js";
import { t } from "./language.js";

/** No usable answer; `kind` says why, `is_in_doubt` whether the request may have been taken. */
export class Unanswered extends Error {
  /**
   * @param {"offline"|"sign-in"|"away"|"failed"|"rejected"|"garbled"|"another-user"} kind
   * @param {string} message for the user
   * @param {{status?: number, is_in_doubt?: boolean}} [more]
   */
  constructor(kind, message, { status = 0, is_in_doubt = false } = {}) {
    super(message);
    this.name = "Unanswered";
    Object.assign(this, { kind, status, is_in_doubt });
    // The same again would fare no better, whereas all else could.
    this.is_about_content = ["failed", "rejected", "garbled"].includes(kind);
  }
}

/**
 * Ask the server for JSON.
 *
 * @param {string} url
 * @param {{json?: object, form?: FormData, patience_ms?: number}} [request] sent as POST
 * @returns {Promise<object>} its answer
 * @throws {Unanswered}
 */
export async function ask(url, { json, form, patience_ms = 30_000 } = {}) {
  const asked_ms = Date.now();
  const response = await answerTo(url, {
    headers: {
      Accept: "application/json",
      ...(json && { "Content-Type": "application/json" }),
      ...((json || form) && { "X-CSRFToken": cookie("csrftoken") }),
    },
    ...((json || form) && { method: "POST", body: form ?? JSON.stringify(json) }),
    signal: AbortSignal.timeout(patience_ms),
  });
  const body = await jsonOf(response);
  const server_now = body.server_now ?? body.made_at ?? response.headers.get("Date");
  await rememberClock(server_now, asked_ms, Date.now());
  return body;
}

/**
 * Fetch a picture of ours.
 *
 * @param {string} url
 * @returns {Promise<Blob>}
 * @throws {Unanswered}
 */
export async function askPicture(url) {
  const response = await answerTo(url, { signal: AbortSignal.timeout(30_000) });
  const type = response.headers.get("Content-Type") ?? "";
  if (!type.startsWith("image/")) throw garbled(response);
  return half(response.blob());
}

async function answerTo(url, request) {
  let response;
  try {
    // A redirect would end at a page that says 200.
    response = await fetch(url, { redirect: "manual", credentials: "same-origin", ...request });
  } catch (error) {
    if (!(error instanceof TypeError || error instanceof DOMException)) throw error;
    throw new Unanswered("offline", t("No connection."), { is_in_doubt: true });
  }
  if (response.ok) return response;
  const { status, type } = response;
  if (type === "opaqueredirect" || status === 401 || status === 403) {
    throw new Unanswered("sign-in", t("Sign in again; what waits stays on this tablet."), { status });
  }
  if (status === 429 || status === 503) {
    throw new Unanswered("away", t("The server is busy ({status}).", { status }), { status });
  }
  if (status === 502 || status === 504) {
    throw new Unanswered("away", t("The server is away ({status}).", { status }), { status, is_in_doubt: true });
  }
  if (status >= 500) {
    throw new Unanswered("failed", t("The server failed ({status}).", { status }), { status, is_in_doubt: true });
  }
  throw new Unanswered("rejected", await wordsOf(response), { status });
}

async function jsonOf(response) {
  const type = response.headers.get("Content-Type") ?? "";
  if (!type.startsWith("application/json")) throw garbled(response);
  const body = await half(response.json());
  if (body === null || typeof body !== "object") throw garbled(response);
  return body;
}

// An answer that breaks off half way has told nothing, though the server may have acted.
async function half(reading) {
  try {
    return await reading;
  } catch (error) {
    if (![TypeError, SyntaxError, DOMException].some((kind) => error instanceof kind)) throw error;
    throw new Unanswered("offline", t("The answer broke off."), { is_in_doubt: true });
  }
}

function garbled({ status }) {
  const message = t("Something else than the ledger's server answered.");
  return new Unanswered("garbled", message, { status, is_in_doubt: true });
}

async function wordsOf(response) {
  const type = response.headers.get("Content-Type") ?? "";
  const { detail = "" } = type.includes("json") ? await half(response.json()) : {};
  const words = t("The server did not take it ({status}).", { status: response.status });
  return `${words} ${detail}`.trim();
}

function cookie(name) {
  const pairs = document.cookie.split("; ").map((each) => each.split("="));
  return decodeURIComponent(pairs.find(([key]) => key === name)?.[1] ?? "");
}
