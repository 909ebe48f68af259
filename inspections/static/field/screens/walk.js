// One inspection in walking order, by support.

import { beside, criticalButton, signed } from "../parts/beside.js";
import { el, mark, redrawn, t } from "../parts/dom.js";
import { instrumentForm } from "../parts/instruments.js";
import { elements, timeWords } from "../parts/words.js";
import { loadVisit } from "../parts/visit.js";
import { notOnBoard, takeHere } from "./missing.js";

const MARKS = { done: "✓", part: "◐", none: "○", rated: "◇", "left out": "–" };
const WORDS = {
  done: mark("done"), none: mark("not read"), rated: mark("conditions only"), "left out": mark("left out"),
};

/** Show the walk across a bridge. */
export function walkScreen(app, inspection) {
  return redrawn((redraw) => content(app, inspection, redraw));
}

async function content(app, inspection, redraw) {
  const visit = await loadVisit(app.user ?? {}, inspection);
  if (!visit) return notOnBoard(undefined, takeHere(app, inspection, redraw));
  const { bridge_code, bridge_name, date, kind, time_zone } = visit.packet.inspection;
  const done = visit.elements.filter((each) => ["done", "rated", "left out"].includes(visit.state(each))).length;
  const last = visit.temperatures.at(-1);
  return [
    el("h1", {}, `${bridge_code} ${bridge_name}`),
    el("p", {}, `${kind}, ${date}. ${t("{done} of {elements} done.", { done, elements: elements(visit.elements.length) })}`),
    signed(visit, redraw),
    el(
      "nav",
      { class: "actions", "aria-label": t("This inspection") },
      el("a", { class: visit.temperatures.length ? "big-link" : "big-link first", href: `#/i/${inspection}/t` },
        last ? t("Temperatures: last at {time}", { time: timeWords(last.taken_at, time_zone) }) : t("Temperatures first")),
      el("a", { class: "big-link", href: `#/i/${inspection}/review` }, t("Review and sign")),
      criticalButton(),
    ),
    checklist(visit.packet.checklist ?? []),
    instrumentForm(visit),
    visit.packet.stops.map((stop) => support(visit, stop)),
    el("h2", {}, t("The bridge as a whole")),
    beside(visit, null, redraw),
  ];
}

function checklist(rows) {
  if (!rows.length) return null;
  return el(
    "details",
    { class: "checklist", "data-part": "checklist" },
    el("summary", {}, t("What to look at first after this event")),
    el("dl", {}, rows.flatMap(({ kind, told }) => [el("dt", {}, kind), el("dd", {}, told)])),
    el("p", {}, t("Common practice, no source. The owner's procedures govern.")),
  );
}

function support(visit, { support_code, support_name, elements }) {
  return el(
    "section",
    { class: "support" },
    el("h2", {}, [t("Support"), support_code, support_name].filter(Boolean).join(" ")),
    el("ul", { class: "route" }, elements.map((element) => el("li", {}, row(visit, element)))),
  );
}

function row(visit, element) {
  const state = visit.state(element);
  const missing = visit.missing(element);
  return el(
    "a",
    { class: `place is-${state.replace(" ", "-")}`, href: `#/i/${visit.id}/e/${element.id}` },
    el("span", { class: "place-mark", "aria-hidden": "true" }, MARKS[state]),
    el("span", { class: "place-code" }, element.code),
    el("span", { class: "place-device" }, element.device_label),
    el("span", { class: "place-state" },
      state === "part" ? t("{count} to read", { count: missing.length }) : t(WORDS[state])),
  );
}
