// How many characters a text has, told beside it in the reader's language; the server alone
// refuses what is too long.
for (const text of document.querySelectorAll("textarea[data-most]")) {
  const most = Number(text.dataset.most);
  const told = document.createElement("span");
  told.className = "counted";
  const count = () => {
    // The server counts one sign for the end of a line, and characters, not halves of them.
    const length = [...text.value.trim()].length;
    const values = { length, most, over: length - most };
    const words = length > most ? text.dataset.over : text.dataset.counted;
    told.textContent = words.replace(/\{(\w+)\}/g, (_all, name) => values[name]);
    told.classList.toggle("too-many", length > most);
  };
  text.after(told);
  text.addEventListener("input", count);
  count();
}
