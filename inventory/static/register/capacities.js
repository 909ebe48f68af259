// Shows the capacities of the chosen device type alone. What holds a value or a mistake stays in
// sight: nothing that was entered may hide. A form for several devices has a section for each.

document.addEventListener("DOMContentLoaded", () => {
  for (const choice of document.querySelectorAll("select[name$=device_type]")) {
    const room = choice.closest("section") ?? choice.form;
    const groups = [...room.querySelectorAll("fieldset, details")].filter((group) => typesOf(group).length);
    const show = () => {
      for (const group of groups) group.hidden = !belongs(group, choice.value) && !isUsed(group);
    };
    choice.addEventListener("change", show);
    show();
  }
});

function typesOf(group) {
  return [...group.classList].filter((name) => name.startsWith("for-"));
}

function belongs(group, type) {
  return !type || typesOf(group).includes(`for-${type}`);
}

function isUsed(group) {
  const inputs = [...group.querySelectorAll("input, select, textarea")];
  return group.querySelector(".errorlist") !== null || inputs.some(({ value }) => value !== "");
}
