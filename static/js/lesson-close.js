// Says what is chosen of each part, and adds up its minutes and hard swings; without it the page says those of the suggestion.
(() => {
  const form = document.getElementById("close");
  const minutes = document.getElementById("minutes");
  const fit = document.getElementById("fit");
  const hard = document.getElementById("hard");
  const asks = document.getElementById("asks");
  const before = minutes.textContent;
  const planned = hard.textContent;

  const tell = (radio) => {
    const row = radio.closest(".close-row");
    row.querySelector("[data-told]").removeAttribute("data-told");
    radio.setAttribute("data-told", "");
    row.querySelector(".close-now").replaceChildren(
      ...[...radio.nextElementSibling.childNodes].map((node) => node.cloneNode(true)),
    );
  };

  form.addEventListener("change", ({ target }) => {
    if (target.matches(".choice input")) tell(target);
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
