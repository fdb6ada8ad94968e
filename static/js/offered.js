// Words to tap instead of typing them: a tap writes them into their field, another takes them out.
"use strict";

for (const offered of document.querySelectorAll("[data-offered]")) {
  const field = document.getElementById(offered.dataset.offered);
  const buttons = [...offered.children];
  const mark = () => {
    for (const button of buttons) {
      button.setAttribute("aria-pressed", String(button.textContent === field.value));
    }
  };
  for (const button of buttons) {
    button.addEventListener("click", () => {
      field.value = field.value === button.textContent ? "" : button.textContent;
      mark();
    });
  }
  field.addEventListener("input", mark);
  offered.hidden = false;
  mark();
}
