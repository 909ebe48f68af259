// Keeps a job's page up to date until it has ended, and says so.

const EVERY_MS = 1000;
const SLOWEST_MS = 15000;
const SAID_EVERY_MS = 15000;

const part = document.querySelector("[data-job][data-state]");
const news = document.querySelector("[data-job-news]");
if (part) follow(part.dataset.state);

async function follow(address) {
  let wait = EVERY_MS;
  let saidAt = performance.now();
  for (;;) {
    await new Promise((done) => setTimeout(done, wait));
    let state;
    try {
      const answer = await fetch(address, { redirect: "error" });
      if (!answer.ok) throw new Error(`${answer.status}`);
      state = await answer.json();
      wait = EVERY_MS;
    } catch {
      // No network, or signed out: the link on the page shows which.  Ask less often.
      wait = Math.min(2 * wait, SLOWEST_MS);
      continue;
    }
    if (state.ended || state.silent) return finish(state);
    show(state);
    if (performance.now() - saidAt > SAID_EVERY_MS) {
      news.textContent = state.words;
      saidAt = performance.now();
    }
  }
}

function show({ words, done, total }) {
  part.querySelector("[data-job-words]").textContent = words;
  if (total) {
    const bar = part.querySelector("progress");
    bar.max = total;
    bar.value = done;
  }
}

async function finish({ words }) {
  const answer = await fetch(location.href, { redirect: "error" });
  if (!answer.ok) return location.reload();
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  document.querySelector("#content").replaceChildren(...page.querySelector("#content").childNodes);
  // The live region is new with the page; it is filled once it is there to be heard.
  setTimeout(() => { document.querySelector("[data-job-news]").textContent = words; }, 200);
}
