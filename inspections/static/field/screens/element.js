// The form of one element: just what its device needs.

import { onBoard } from "../packet.js";
import { el, redrawn, t } from "../parts/dom.js";
import { beside, criticalButton, signed } from "../parts/beside.js";
import { conditionForm } from "../parts/conditions.js";
import { cornerForm } from "../parts/corners.js";
import { photoForm } from "../parts/photos.js";
import { pointForm } from "../parts/point.js";
import { chosen } from "../parts/typed.js";
import { loadVisit } from "../parts/visit.js";
import { notOnBoard, takeHere } from "./missing.js";
import { inSentence } from "../language.js";

/** Show the form of an element. */
export function elementScreen(app, inspection, id) {
  return redrawn((redraw) => content(app, inspection, id, redraw), { class: "element" });
}

/** Follow the code of a place to its form, in the inspection of its bridge that is on board. */
export async function placeScreen(app, id) {
  for (const { id: inspection } of app.user ? await onBoard(app.user.id) : []) {
    const visit = await loadVisit(app.user, inspection);
    if (visit.element(id)) {
      location.replace(`#/i/${inspection}/e/${id}`);
      return [];
    }
  }
  return [
    notOnBoard(t("The inspection of this place is not on this tablet. Take it along first.")),
    el("p", {}, el("a", { href: `/elements/${id}/` }, t("See the place at the desk"))),
  ];
}

async function content(app, inspection, id, redraw) {
  const visit = await loadVisit(app.user ?? {}, inspection);
  const element = visit?.element(id);
  if (!element) return notOnBoard(undefined, visit ? null : takeHere(app, inspection, redraw));
  const all = visit.elements;
  const at = all.indexOf(element);
  const forms = (channels) => channels.map((channel) => pointForm(visit, element, channel, redraw));
  const more = element.channels.filter(({ is_wanted }) => is_wanted === false);
  const axes = new Set(element.channels.map(({ axis }) => axis)).size > 1;
  return [
    el("p", { class: "crumb" }, el("a", { href: `#/i/${inspection}` }, t("Walk")),
      ` · ${t("{number} of {count}", { number: at + 1, count: all.length })} · ${t("access: {access}", { access: inSentence(element.access) })}`),
    el("h1", {}, `${element.code} `, el("small", {}, [element.device_label, element.name].filter(Boolean).join(": "))),
    criticalButton(),
    signed(visit, redraw),
    visit.temperatures.length ? null : el("p", { class: "banner" }, `${t("No temperature yet.")} `,
      el("a", { href: `#/i/${inspection}/t` }, t("Take it first"))),
    axes ? axisChoice(element) : null,
    forms(element.channels.filter(({ is_wanted }) => is_wanted !== false)),
    more.length
      ? el("details", { "data-part": "more" }, el("summary", {}, t("More readings, where there is an instrument")), forms(more))
      : null,
    cornerForm(visit, element, redraw),
    conditionForm(visit, element, redraw),
    await photoForm(visit, element, redraw),
    beside(visit, element, redraw),
    el("nav", { class: "actions", "aria-label": t("Elements") },
      neighbour(visit, all[at - 1], t("Before")), neighbour(visit, all[at + 1], t("Next"))
        ?? el("a", { class: "big-link", href: `#/i/${inspection}/review` }, t("Review and sign"))),
  ];
}

// A skewed joint is read one way or the other: the form shows one at a time.
function axisChoice(element) {
  const show = (axis) => {
    for (const { quantity, point, axis: own } of element.channels) {
      const section = document.querySelector(`[data-channel="${quantity}|${point}|${own}"]`);
      if (section) section.hidden = own !== axis;
    }
  };
  const radio = (axis, words, checked) => {
    const input = el("input", { type: "radio", name: "axis", value: axis, checked, onchange: () => show(axis) });
    return el("label", { class: "radio" }, chosen(`axis ${axis}`, input).input, words);
  };
  const choices = el("fieldset", { class: "axis" }, el("legend", {}, t("The tape lay")),
    radio("square", t("Square to the joint"), true), radio("road", t("Along the road"), false));
  queueMicrotask(() => requestAnimationFrame(() => show(choices.querySelector(":checked").value)));
  return choices;
}

function neighbour(visit, element, words) {
  return element
    ? el("a", { class: "big-link", href: `#/i/${visit.id}/e/${element.id}` }, `${words}: ${element.code}`)
    : null;
}
