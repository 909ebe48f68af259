// The worker that opens the app without a network, and a new version of it that waits.

import { tell } from "./news.js";

/**
 * Start the worker, and tell `update` when a new version waits: the page in hand stays as it is
 * until the user calls `take`.
 *
 * @returns {Promise<boolean>} false where the browser has none, as it does without https
 */
export async function startWorker() {
  const container = navigator.serviceWorker;
  if (!container) return false;
  const registration = await container.register("/worker.js", {
    scope: "/field/",
    updateViaCache: "none",
  });
  const offer = (worker) => tell("update", { take: () => take(container, worker) });
  if (registration.waiting && container.controller) offer(registration.waiting);
  registration.addEventListener("updatefound", () => {
    const worker = registration.installing;
    worker.addEventListener("statechange", () => {
      // Without a controller it is the first version, which replaces nothing.
      if (worker.state === "installed" && container.controller) offer(worker);
    });
  });
  return true;
}

function take(container, worker) {
  container.addEventListener("controllerchange", () => location.reload(), { once: true });
  worker.postMessage("take-over");
}
