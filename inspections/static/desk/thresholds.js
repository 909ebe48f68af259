// What a change would do, reckoned bridge by bridge; resets a figure to its default.

const WORST_FIRST = [3, 2, 1, 0];
const AT_ONCE = 2;

for (const button of document.querySelectorAll("[data-reset]")) {
  button.hidden = false;
  button.addEventListener("click", () => {
    document.getElementById(button.dataset.for).value = button.dataset.reset;
  });
}

const preview = document.querySelector("[data-preview]");
if (preview && preview.dataset.done !== "yes") reckon(preview);

async function reckon(part) {
  const rows = part.querySelector("[data-rows]");
  const addresses = [...part.querySelectorAll("[data-address]")].map((each) => each.dataset.address);
  const line = part.querySelector("[data-progress-line]");
  const total = addresses.length;
  const failed = [];
  let done = 0;
  line.hidden = false;

  async function next() {
    for (let address = addresses.shift(); address; address = addresses.shift()) {
      try {
        const answer = await fetch(`${address}?${part.dataset.query}`, { redirect: "error" });
        if (!answer.ok) throw new Error(`${answer.status}`);
        rows.insertAdjacentHTML("beforeend", await answer.text());
      } catch {
        failed.push(address);
      }
      done += 1;
      line.querySelector("progress").value = done;
      line.querySelector("[data-progress]").textContent = told(part, "progress", { done, total });
    }
  }
  await Promise.all(Array.from({ length: AT_ONCE }, next));
  sum(part, rows, failed);
}

function sum(part, rows, failed) {
  const all = [...rows.querySelectorAll("[data-bridge]")];
  const count = (moment, word) => all.reduce(
    (found, row) => found + Number(row.getAttribute(`data-${moment}-${word}`)), 0);
  const changes = all.reduce((found, row) => found + Number(row.dataset.changes), 0);
  const verdicts = WORST_FIRST.map((word) =>
    `${part.getAttribute(`data-word-${word}`)}: ${count("before", word)} → ${count("after", word)}`);
  const line = part.querySelector("[data-sum]");
  line.hidden = false;
  line.textContent = `${told(part, changes === 1 ? "one" : "many", { count: changes })} ${verdicts.join("; ")}.`
    + (failed.length ? ` ${told(part, "failed", { count: failed.length })}` : "");
}

// A sentence of the page in its language, with its figures.
function told(part, name, figures) {
  return part.dataset[`${name}Told`].replace(/\{(\w+)\}/g, (_, key) => figures[key]);
}
