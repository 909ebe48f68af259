// The field of a choice that is searched while one types bears the words of its label: the script
// that draws it leaves it without a name to those who hear the page.
function nameThem() {
  for (const drawn of document.querySelectorAll(".select2-selection__rendered")) {
    const field = drawn.id.replace(/^select2-/, "").replace(/-container$/, "");
    const label = document.querySelector(`label[for="${CSS.escape(field)}"]`);
    if (label) {
      drawn.setAttribute("aria-label", label.textContent.trim().replace(/:$/, ""));
    }
  }
}

// After what draws them, which waits in the same row.
window.addEventListener("load", () => window.django.jQuery(nameThem));
document.addEventListener("formset:added", () => setTimeout(nameThem));
