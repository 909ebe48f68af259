// Keys of the queue and of one flag, and the count of what is ticked.  The pages work without.

const form = document.querySelector("[data-queue]");
const rows = [...document.querySelectorAll("[data-row]")];
const boxes = () => [...form.querySelectorAll("input[name=flag]")];
const decide = document.querySelector("[data-decide]");
const keys = document.querySelector("[data-keys]");
let here = -1;

function go(to) {
  if (!rows.length) return;
  rows[here]?.classList.remove("here");
  here = Math.max(0, Math.min(rows.length - 1, to));
  rows[here].classList.add("here");
  rows[here].querySelector("[data-open]").focus();
  rows[here].scrollIntoView({ block: "nearest" });
}

function tick() {
  const box = rows[here]?.querySelector("input[name=flag]");
  if (!box) return;
  box.checked = !box.checked;
  count();
}

function count() {
  const chosen = boxes().filter((box) => box.checked).length;
  const told = decide?.querySelector("[data-count]");
  if (told) told.textContent = chosen ? `(${chosen})` : "";
  const all = decide?.querySelector("[data-all] input");
  if (all) all.checked = chosen > 0 && chosen === boxes().length;
}

function openDecision() {
  if (!decide) return;
  if (decide.matches("details")) decide.open = true;
  const radios = [...decide.querySelectorAll("input[type=radio]")];
  (radios.find((radio) => radio.checked) ?? radios[0]).focus();
}

function tellKeys() {
  keys.open = !keys.open;
  if (keys.open) keys.querySelector("summary").focus();
}

const IN_LIST = {
  j: () => go(here + 1),
  k: () => go(here - 1),
  x: tick,
  o: () => rows[here]?.querySelector("[data-open]").click(),
  d: openDecision,
  "/": () => document.querySelector("input[type=search]")?.focus(),
  "?": tellKeys,
};

const ON_FLAG = {
  d: openDecision,
  n: () => document.querySelector("[data-next]")?.click(),
  "?": tellKeys,
};

function typing(target) {
  const field = target.closest("input, select, textarea");
  return field && !["checkbox", "radio"].includes(field.type);
}

function listen(actions) {
  keys.hidden = false;
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || typing(event.target)) return;
    const action = actions[event.key];
    if (!action) return;
    event.preventDefault();
    action();
  });
}

if (form) {
  const all = decide?.querySelector("[data-all]");
  if (all) {
    all.hidden = false;
    all.addEventListener("change", (event) => {
      boxes().forEach((box) => { box.checked = event.target.checked; });
      count();
    });
  }
  form.addEventListener("change", count);
  rows.forEach((row, index) => row.addEventListener("focusin", () => {
    rows[here]?.classList.remove("here");
    here = index;
    row.classList.add("here");
  }));
  listen(IN_LIST);
  count();
} else if (keys) {
  listen(ON_FLAG);
}
