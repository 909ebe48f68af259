// Elements of the page, made without markup in strings: what a user typed can never become any.

import { replaceContent } from "./carry.js";

export { counted, mark, t } from "../language.js";

const SVG = "http://www.w3.org/2000/svg";

/**
 * Make an element.
 *
 * @param {string} tag
 * @param {object} [attributes] `on...` names listen; true and false set or leave out; null too
 * @param {...(Node|string|number|null|false|Array)} children
 * @returns {HTMLElement}
 */
export function el(tag, attributes = {}, ...children) {
  return fill(document.createElement(tag), attributes, children);
}

/** The same for a drawing. */
export function svg(tag, attributes = {}, ...children) {
  return fill(document.createElementNS(SVG, tag), attributes, children);
}

/** Replace what is in an element. */
export function put(parent, ...children) {
  parent.replaceChildren(...flat(children));
  return parent;
}

/** A part of the page that draws itself anew whenever something was kept; what is typed in it stays. */
export async function redrawn(content, attributes = {}) {
  const room = el("div", attributes);
  let turn = 0;
  const draw = async () => {
    const mine = (turn += 1);
    const fresh = el("div", {}, await content(draw));
    // One that began later knows more.
    if (mine === turn) replaceContent(room, fresh);
  };
  await draw();
  return room;
}

/** A button that says what it does. */
export function button(words, onclick, attributes = {}) {
  return el("button", { type: "button", onclick, ...attributes }, words);
}

/** A labelled input, with words of help under it. */
export function field(label, input, help = "") {
  input.id ||= `f${(serial += 1)}`;
  const about = help ? el("p", { class: "help", id: `${input.id}-help` }, help) : null;
  if (about) input.setAttribute("aria-describedby", about.id);
  return el("div", { class: "field" }, el("label", { for: input.id }, label), input, about);
}

/** A choice from a list. */
export function choice(options, chosen, attributes = {}) {
  const items = options.map(({ code, label }) =>
    el("option", { value: code, selected: String(code) === String(chosen) }, label),
  );
  return el("select", attributes, items);
}

let serial = 0;

function fill(made, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (value === true) made.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) made.setAttribute(name, value);
  }
  made.append(...flat(children));
  return made;
}

function flat(children) {
  return children.flat(Infinity).filter((each) => each !== null && each !== undefined && each !== false);
}
