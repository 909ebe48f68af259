// Opens the screen that the address names, and keeps what waits in sight.

import { clockWarning } from "./clock.js";
import { keepSending } from "./keep_sending.js";
import { news } from "./news.js";
import { persist } from "./notes.js";
import { closeKeypad } from "./parts/keypad.js";
import { el, put } from "./parts/dom.js";
import { banners, head } from "./parts/head.js";
import { listScreen } from "./screens/list.js";
import { fetchInspections, lastUser } from "./session.js";
import { startWorker } from "./update.js";
import { Unanswered } from "./wire.js";
import { speak, t } from "./language.js";

const rest = () => import("./screens/rest.js");
const later = (name) => async (...about) => (await rest())[name](...about);
const ROUTES = [
  [/^#\/?$/, listScreen],
  [/^#\/waiting$/, later("waitingScreen")],
  [/^#\/e\/(\d+)$/, later("placeScreen")],
  [/^#\/i\/(\d+)$/, later("walkScreen")],
  [/^#\/i\/(\d+)\/t$/, later("temperatureScreen")],
  [/^#\/i\/(\d+)\/review$/, later("reviewScreen")],
  [/^#\/i\/(\d+)\/e\/(\d+)$/, later("elementScreen")],
];

const root = document.getElementById("app");
const caution = document.querySelector(".caution p");
const main = el("main", { id: "content", tabindex: "-1" });
const app = { user: null, sending: null, fresh: null };

/** Show the screen of the address. */
async function show() {
  closeKeypad();
  const hash = location.hash || "#/";
  const route = ROUTES.find(([pattern]) => pattern.test(hash));
  const [pattern, screen] = route ?? ROUTES[0];
  const numbers = (hash.match(pattern) ?? []).slice(1).map(Number);
  const made = await screen(app, ...numbers);
  if ((location.hash || "#/") !== hash) return; // the user has gone on meanwhile
  put(main, made);
  main.focus({ preventScroll: true });
  window.scrollTo(0, 0);
}

/** Know who works here: the server says, and without it the last one stays. */
async function knowUser() {
  app.user = await lastUser();
  try {
    app.fresh = await fetchInspections();
    const { user, units, language } = app.fresh;
    app.user = { ...user, units, language };
  } catch (error) {
    if (!(error instanceof Unanswered)) throw error;
    if (error.kind === "sign-in") news.dispatchEvent(new CustomEvent("sign-in", { detail: error }));
  }
}

// What stands on every screen, in the language of the moment.
function frame() {
  document.title = `${t("On site")} · Bearing and Joint Ledger`;
  put(caution, t(caution.dataset.text));
  put(root, head(app), banners(), main);
}

async function start() {
  await speak((await lastUser())?.language);
  frame();
  await knowUser();
  if (await speak(app.user?.language)) frame();
  app.sending = keepSending(() => app.user?.id ?? null);
  window.addEventListener("hashchange", show);
  news.addEventListener("show", show);
  // A form that could not keep its entry leaves it on screen, and the bar has said so.
  window.addEventListener("unhandledrejection", (event) => {
    if (event.reason?.name === "NotKept") event.preventDefault();
  });
  await show();
  app.fresh = null; // whoever comes back to the list wants it anew
  root.setAttribute("data-ready", "");
  await rest().catch(() => {}); // the network went; a screen that is opened asks once more
  await startWorker();
  await persist();
  const warning = await clockWarning();
  if (warning) news.dispatchEvent(new CustomEvent("clock", { detail: warning }));
}

start();
