// Enters the day that a kind of decision proposes; a day that was typed stays.

for (const kinds of document.querySelectorAll("[data-kinds]")) {
  const until = kinds.closest("form").elements.until;
  let proposed = "";
  until.addEventListener("input", () => { proposed = ""; });
  kinds.addEventListener("change", (event) => {
    if (until.value !== proposed) return;
    proposed = event.target.closest("[data-until]")?.dataset.until ?? "";
    until.value = proposed;
  });
}
