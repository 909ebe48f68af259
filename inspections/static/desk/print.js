// What is folded away on the screen is printed as well, and folded again afterwards.

let opened = [];

window.addEventListener("beforeprint", () => {
  opened.push(...document.querySelectorAll("details[data-printed]:not([open])"));
  for (const each of opened) each.open = true;
});
window.addEventListener("afterprint", () => {
  for (const each of opened) each.open = false;
  opened = [];
});
