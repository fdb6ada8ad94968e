// Adds up the minutes and the hard swings of what is chosen; without it the page says those of the suggestion.
(() => {
  const form = document.getElementById("close");
  const minutes = document.getElementById("minutes");
  const fit = document.getElementById("fit");
  const hard = document.getElementById("hard");
  const asks = document.getElementById("asks");
  const before = minutes.textContent;
  const planned = hard.textContent;

  form.addEventListener("change", () => {
    const chosen = [...form.querySelectorAll("input[type=radio]:checked")];
    const sum = (what) => chosen.reduce((total, radio) => total + Number(radio.dataset[what] ?? 0), 0);
    minutes.textContent = String(Math.floor(sum("minutes") + 1e-6));
    fit.hidden = minutes.textContent !== before;
    hard.textContent = String(sum("hard"));
    if (asks) asks.hidden = hard.textContent !== planned;
  });

  const next = document.getElementById("next");
  const again = document.getElementById("again");
  again.hidden = false;
  again.addEventListener("click", () => {
    next.value = next.dataset.again;
  });
})();
