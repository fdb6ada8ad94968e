// Say a dose back in words under its field while it is typed. The server reads it; nothing is decided here.
(() => {
  const form = document.querySelector("[data-dose-url]");
  if (!form) return;
  const pace = form.querySelector("[name=seconds_per_rep]");

  for (const output of form.querySelectorAll("output[for]")) {
    const field = document.getElementById(output.htmlFor.value);
    let waiting, latest = 0;

    const readBack = async () => {
      const number = ++latest;
      const text = field.value.trim();
      if (!text) return void (output.textContent = "");
      const query = new URLSearchParams({ text, pace: pace ? pace.value : "" });
      try {
        const answer = await fetch(`${form.dataset.doseUrl}?${query}`);
        if (answer.ok && number === latest) output.textContent = (await answer.json()).said;
      } catch {
        output.textContent = ""; // No connection: saving says what is wrong.
      }
    };
    const soon = () => {
      clearTimeout(waiting);
      waiting = setTimeout(readBack, 300);
    };
    field.addEventListener("input", soon);
    if (pace) pace.addEventListener("input", soon);
    // A refused dose has its sentence beside it already.
    if (field.getAttribute("aria-invalid") !== "true") readBack();
  }
})();
