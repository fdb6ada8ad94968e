// Search as you type in a list that is on the page already; the form asks the server for the rest.
for (const field of document.querySelectorAll("[data-sieve]")) {
  const list = document.getElementById(field.dataset.sieve);
  if (!list) continue;
  field.addEventListener("input", () => {
    const wanted = field.value.trim().toLocaleLowerCase();
    for (const row of list.children) row.hidden = !row.textContent.toLocaleLowerCase().includes(wanted);
  });
}
