// Tells the figures of a chart's marks: by pointing, by touch, and by the arrow keys.

const STEP = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 };

function tell(chart, spot) {
  const line = chart.closest(".channel").querySelector("[data-told-here]");
  for (const each of chart.closest(".channel").querySelectorAll(".d-spot.here")) {
    each.classList.remove("here");
  }
  spot.classList.add("here");
  line.hidden = false;
  line.textContent = spot.dataset.told;
}

for (const chart of document.querySelectorAll("[data-chart]")) {
  const byPlace = (one, other) => one.cx.baseVal.value - other.cx.baseVal.value;
  const spots = [...chart.querySelectorAll(".d-spot")].sort(byPlace);
  for (const spot of spots) {
    for (const way of ["pointerenter", "click"]) {
      spot.addEventListener(way, () => tell(chart, spot));
    }
  }
  chart.addEventListener("keydown", (event) => {
    if (!(event.key in STEP) || !spots.length) return;
    event.preventDefault();
    const at = spots.findIndex((spot) => spot.classList.contains("here"));
    const to = at < 0 ? (STEP[event.key] > 0 ? 0 : spots.length - 1) : at + STEP[event.key];
    tell(chart, spots[Math.max(0, Math.min(spots.length - 1, to))]);
  });
}
for (const hint of document.querySelectorAll("[data-hint]")) hint.hidden = false;
