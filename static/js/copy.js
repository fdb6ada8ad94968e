// A button that copies a field's text, where the browser can.
"use strict";

for (const button of document.querySelectorAll("[data-copy]")) {
  const field = document.getElementById(button.dataset.copy);
  button.hidden = !navigator.clipboard;
  button.addEventListener("click", async () => {
    field.select();
    await navigator.clipboard.writeText(field.value);
    button.textContent = "Copied";
  });
}
