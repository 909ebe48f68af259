// The bar on every screen: where one is, what waits, and what needs saying.

import { news } from "../news.js";
import { counts } from "../outbox.js";
import { button, el, put } from "./dom.js";
import { plural } from "./words.js";

/**
 * The bar, which keeps its own count.
 *
 * @param {object} app
 * @returns {HTMLElement}
 */
export function head(app) {
  const state = el("a", { class: "waiting-link", href: "#/waiting", "aria-live": "polite" }, "…");
  let busy = false;
  let trouble = "";
  const update = async () => {
    const { waiting, refused, others } = await counts(app.user?.id ?? null);
    const parts = [];
    if (refused) parts.push(`${refused} refused`);
    if (waiting) parts.push(`${waiting} to send`);
    if (others) parts.push(`${others} of another account`);
    const all = parts.length ? parts.join(", ") : "All sent";
    put(state, busy ? `Sending: ${all}` : trouble && waiting ? `${all} · ${trouble}` : all);
    state.classList.toggle("has-trouble", refused > 0);
  };
  news.addEventListener("changed", update);
  news.addEventListener("sending", ({ detail }) => {
    busy = detail.busy;
    if (detail.outcome) trouble = troubleOf(detail.outcome.why);
    update();
  });
  update();
  return el(
    "header",
    { class: "field-head" },
    el("a", { class: "home", href: "#/" }, "On site"),
    state,
    el("a", { class: "desk-link", href: "/" }, "Desk"),
  );
}

/** Room for what needs saying: each kind has one line, which goes when it is answered. */
export function banners() {
  const room = el("div", { class: "banners", role: "status" });
  const lines = new Map();
  const say = (kind, ...content) => {
    const close = button("Close", () => dismiss(kind), { class: "quiet" });
    lines.set(kind, el("div", { class: `banner banner-${kind}` }, el("p", {}, content), close));
    put(room, [...lines.values()]);
  };
  const dismiss = (kind) => {
    lines.delete(kind);
    put(room, [...lines.values()]);
  };
  news.addEventListener("not-kept", ({ detail }) =>
    say("not-kept", `Not kept: ${detail.what}. ${detail.reason} ${detail.remedy}`),
  );
  news.addEventListener("sign-in", () =>
    say("sign-in", "You are signed out. What waits stays on this tablet. ",
      el("a", { href: "/sign-in/?next=/field/" }, "Sign in")),
  );
  news.addEventListener("another-user", ({ detail }) =>
    say("another-user", `Signed in is ${detail.name || "another account"}. What waits belongs to the` +
      " account that entered it: sign in as that one to send it."),
  );
  news.addEventListener("clock", ({ detail }) => say("clock", detail.words));
  news.addEventListener("update", ({ detail }) =>
    say("update", "A new version of the app is here. Nothing entered is lost. ",
      button("Take it now", detail.take)),
  );
  news.addEventListener("sending", ({ detail }) => {
    const { outcome } = detail;
    if (outcome?.refused) say("refused", `${plural(outcome.refused, "record")} refused. `,
      el("a", { href: "#/waiting" }, "See why"));
    if (outcome && !outcome.why) ["sign-in", "another-user"].forEach(dismiss);
  });
  return room;
}

function troubleOf(why) {
  if (!why) return "";
  return { offline: "no network", away: "the server is away", "sign-in": "sign in" }[why] ?? "not sent";
}
