// What the user has under his hands while his screen draws itself anew: what he typed and chose,
// what he opened, and where he is.
//
// `data-draft` names an input and `data-part` a fold on their screen; `data-typed` marks an input
// that was touched since it was drawn and not kept since.

/**
 * Put new content in the place of the old, with all that.
 *
 * @param {HTMLElement} room
 * @param {HTMLElement} fresh holds the new content
 */
export function replaceContent(room, fresh) {
  carryTyped(room, fresh);
  carryFolds(room, fresh);
  const twins = [...room.querySelectorAll("[data-draft]")].map((before) => [before, twinOf(before, fresh)]);
  const place = placeIn(room);
  room.replaceChildren(...fresh.childNodes);
  for (const [before, now] of twins) before.dispatchEvent(new CustomEvent("replaced", { detail: now }));
  goBack(place, twins);
}

// What was typed while the new content was being made is newer than the draft it was made from.
// A choice comes before the inputs that it shows, so these are there when their turn comes.
function carryTyped(room, fresh) {
  for (const before of room.querySelectorAll("[data-typed]")) {
    const now = twinOf(before, fresh);
    if (!now) continue;
    if (before.type === "radio") {
      if (!before.checked) continue;
      now.checked = true;
    } else {
      if (now.value === before.value) continue;
      now.value = before.value;
    }
    now.dispatchEvent(new Event(before.matches("select, [type=radio]") ? "change" : "carried"));
  }
}

function carryFolds(room, fresh) {
  for (const before of room.querySelectorAll("details[data-part]")) {
    const now = fresh.querySelector(`details[data-part="${CSS.escape(before.dataset.part)}"]`);
    if (now) now.open = before.open;
  }
}

function placeIn(room) {
  const input = document.activeElement;
  if (!room.contains(input) || !input.dataset.draft) return null;
  const isText = input.matches("textarea, input[type=text]");
  return { input, cursor: isText ? [input.selectionStart, input.selectionEnd] : null };
}

function goBack(place, twins) {
  const now = twins.find(([before]) => before === place?.input)?.[1];
  if (!now) return;
  now.focus({ preventScroll: true });
  if (place.cursor) now.setSelectionRange(...place.cursor);
}

function twinOf({ dataset }, fresh) {
  return fresh.querySelector(`[data-draft="${CSS.escape(dataset.draft)}"]`);
}
