// Search as you type in a list that is on the page already. Where the field belongs to a form of its
// own, that asks the server for the rest; where it does not, it shows itself and sends nothing.
for (const field of document.querySelectorAll("[data-sieve]")) {
  const list = document.getElementById(field.dataset.sieve);
  if (!list) continue;
  field.hidden = false;
  field.addEventListener("input", () => {
    const wanted = field.value.trim().toLocaleLowerCase();
    for (const row of list.children) {
      row.hidden = !row.querySelector(":checked") && !row.textContent.toLocaleLowerCase().includes(wanted);
    }
  });
  field.addEventListener("keydown", (event) => {
    if (event.key === "Enter" && !field.name) event.preventDefault();
  });
}
