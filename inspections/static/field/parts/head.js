// The bar on every screen: where one is, what waits, and what needs saying.

import { news } from "../news.js";
import { counts } from "../outbox.js";
import { button, counted, el, mark, put, t } from "./dom.js";

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
    if (refused) parts.push(t("{count} refused", { count: refused }));
    if (waiting) parts.push(t("{count} to send", { count: waiting }));
    if (others) parts.push(t("{count} of another account", { count: others }));
    const all = parts.length ? parts.join(", ") : t("All sent");
    put(state, busy ? t("Sending: {all}", { all }) : trouble && waiting ? `${all} · ${trouble}` : all);
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
    el("a", { class: "home", href: "#/" }, t("On site")),
    state,
    el("a", { class: "desk-link", href: "/" }, t("Desk")),
  );
}

/** Room for what needs saying: each kind has one line, which goes when it is answered. */
export function banners() {
  const room = el("div", { class: "banners", role: "status" });
  const lines = new Map();
  const say = (kind, ...content) => {
    const close = button(t("Close"), () => dismiss(kind), { class: "quiet" });
    lines.set(kind, el("div", { class: `banner banner-${kind}` }, el("p", {}, content), close));
    put(room, [...lines.values()]);
  };
  const dismiss = (kind) => {
    lines.delete(kind);
    put(room, [...lines.values()]);
  };
  news.addEventListener("not-kept", ({ detail }) =>
    say("not-kept", t("Not kept: {what}. {reason} {remedy}", detail)),
  );
  news.addEventListener("sign-in", () =>
    say("sign-in", `${t("You are signed out. What waits stays on this tablet.")} `,
      el("a", { href: "/sign-in/?next=/field/" }, t("Sign in"))),
  );
  news.addEventListener("another-user", ({ detail }) => {
    const another = t("another account");
    say("another-user", `${t("Signed in is {name}.", { name: detail.name || another })} ` +
      t("What waits belongs to the account that entered it: sign in as that one to send it."));
  });
  news.addEventListener("clock", ({ detail }) => say("clock", detail.words));
  news.addEventListener("update", ({ detail }) =>
    say("update", `${t("A new version of the app is here. Nothing entered is lost.")} `,
      button(t("Take it now"), detail.take)),
  );
  news.addEventListener("sending", ({ detail }) => {
    const { outcome } = detail;
    if (outcome?.refused) say("refused", `${counted("{count} record refused.", "{count} records refused.", outcome.refused)} `,
      el("a", { href: "#/waiting" }, t("See why")));
    if (outcome && !outcome.why) ["sign-in", "another-user"].forEach(dismiss);
  });
  return room;
}

const TROUBLES = {
  offline: mark("no network"),
  away: mark("the server is away"),
  "sign-in": mark("sign in"),
  other: mark("not sent"),
};

function troubleOf(why) {
  if (!why) return "";
  return t(TROUBLES[why] ?? "not sent");
}
