// Inputs that hold on to what is typed in them until it is stored, however often their screen
// draws itself anew; see `carry.js`.

import { keepDraft } from "../drafts.js";

const stored = new WeakMap(); // by input that nobody touched since: the end of its writing

/**
 * Let an input keep each keystroke, and begin with what was left in it.
 *
 * @param {import("./visit.js").Visit} visit
 * @param {number|string} element "" for what belongs to none
 * @param {string} name of the input on its screen
 * @param {HTMLInputElement|HTMLTextAreaElement} input
 * @param {() => void} [look] after each keystroke
 * @returns {{input: HTMLElement, place: object}} as `store` takes it
 */
export function drafted(visit, element, name, input, look = () => {}) {
  const place = { user: visit.user.id, inspection: visit.id, element, field: name };
  const left = visit.draft(element, name);
  if (left) input.value = left;
  input.dataset.draft = name;
  const take = () => {
    touch(input);
    look();
  };
  input.addEventListener("input", () => {
    keepDraft(place, input.value);
    take();
  });
  // Its draft was kept when it was typed; by now the record may have taken the draft's place.
  input.addEventListener("carried", take);
  return { input, place };
}

/** Let a choice stay as it was chosen for as long as its screen is shown. */
export function chosen(name, input) {
  input.dataset.draft = name;
  input.addEventListener("change", () => touch(input));
  return { input, place: null };
}

/**
 * Store what inputs hold.  They let go of it, or an old entry would come back over a later one;
 * all but those in which the user typed on meanwhile.
 *
 * @param {{input: HTMLElement, place: object|null}[]} inputs
 * @param {(places: object[]) => Promise<void>} write given the places of their drafts
 */
export async function store(inputs, write) {
  const held = inputs.map(({ input }) => input.value);
  await write(inputs.map(({ place }) => place).filter(Boolean));
  for (const [at, { input, place }] of inputs.entries()) {
    // Its screen may have been drawn anew meanwhile: then another input holds the same.
    const twins = document.querySelectorAll(`[data-draft="${CSS.escape(input.dataset.draft)}"]`);
    for (const each of [input, ...twins]) {
      if (each.value === held[at]) delete each.dataset.typed;
      // Typed on while the record was on its way: its draft may have gone with the others.
      else if (place && "typed" in each.dataset) keepDraft(place, each.value);
    }
  }
}

/** The same for a form that is kept by its button: pressed twice in haste, it stores once. */
export async function storeOnce(inputs, write) {
  const before = inputs.map(({ input }) => stored.get(input));
  if (before.every(Boolean)) return before[0];
  const writing = store(inputs, write);
  inputs.forEach(({ input }) => stored.set(input, writing));
  try {
    return await writing;
  } catch (error) {
    inputs.forEach(({ input }) => stored.delete(input));
    throw error;
  }
}

function touch(input) {
  stored.delete(input);
  input.dataset.typed = "";
}
