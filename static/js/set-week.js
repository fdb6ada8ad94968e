// Set the week: keeps what is typed and lets the server add it up. Without it every
// button still works as a plain form.
(() => {
  const week = document.getElementById("week");
  const form = () => document.getElementById("week-form");
  let wait = 0;
  let asking = null;
  let arranging = null;
  let typed = 0;
  let leaving = false;

  async function ask(button) {
    clearTimeout(wait);
    asking?.abort();
    const mine = (asking = new AbortController());
    const body = new FormData(form());
    body.set("do", button);
    try {
      const answer = await fetch(form().action, {
        method: "POST",
        body,
        headers: { "X-Fragment": "1" },
        redirect: "error",
        signal: mine.signal,
      });
      if (!answer.ok) throw new Error(String(answer.status));
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      return mine.signal.aborted ? null : page;
    } catch (error) {
      if (!mine.signal.aborted) say("Not kept yet: there is no answer. It is tried again with your next change.");
      return null;
    }
  }

  function say(words) {
    document.getElementById("kept").textContent = words;
  }

  // Only the words change while somebody types: fields keep their text and the focus.
  function putWords(page) {
    for (const place of form().querySelectorAll("[data-live]")) {
      const fresh = page.getElementById(place.id);
      if (fresh && fresh.innerHTML !== place.innerHTML) place.innerHTML = fresh.innerHTML;
    }
    for (const field of form().querySelectorAll("[aria-describedby]")) {
      const fresh = page.getElementById(field.id);
      if (!field.id || !fresh) continue;
      if (fresh.hasAttribute("aria-invalid")) field.setAttribute("aria-invalid", "true");
      else field.removeAttribute("aria-invalid");
      if (fresh.placeholder) field.placeholder = fresh.placeholder;
    }
  }

  async function keep() {
    if (arranging) return;
    const page = await ask("live");
    if (page) putWords(page);
  }

  // The answer stands in for the whole form: what was typed meanwhile is asked with it once more.
  async function arrange(button, focus) {
    const mine = (arranging = {});
    let page, asked;
    do {
      asked = typed;
      page = await ask(button);
    } while (page && asked !== typed);
    if (page) putForm(page, focus);
    // Not sooner: a field that goes with its focus says once more that it was changed.
    if (arranging === mine) arranging = null;
  }

  function putForm(page, focus) {
    form().replaceWith(document.adoptNode(page.getElementById("week-form")));
    const target = document.getElementById(focus()) || document.getElementById("add-drill");
    target.focus();
    target.closest("fieldset.part")?.scrollIntoView({ block: "nearest" });
  }

  const last = () => document.querySelectorAll("fieldset.part").length - 1;
  const focusAfter = {
    add: () => () => `p${last()}-dose`,
    up: (n) => () => `p${n - 1}-dose`,
    down: (n) => () => `p${n + 1}-dose`,
    remove: (n) => () => `p${Math.min(n, last())}-dose`,
  };

  function press(value) {
    const [verb, n] = value.split(":");
    arrange(value, focusAfter[verb](Number(n)));
  }

  week.addEventListener("submit", (event) => {
    const value = event.submitter?.value ?? "live";
    const verb = value.split(":")[0];
    if (verb !== "live" && !(verb in focusAfter)) {
      leaving = true;
      clearTimeout(wait);
      asking?.abort();
      return;
    }
    event.preventDefault();
    if (verb === "live") keep();
    else press(value);
  });

  week.addEventListener("input", (event) => {
    if (event.target.id === "add-drill" || leaving) return;
    typed += 1;
    clearTimeout(wait);
    wait = setTimeout(keep, 400);
  });

  week.addEventListener("change", (event) => {
    if (event.target.id !== "add-drill" && !leaving) keep();
  });

  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey && event.key === "Enter") {
      event.preventDefault();
      document.getElementById("send").click();
    }
    if (!event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.code === "KeyN") {
      event.preventDefault();
      document.getElementById("add-drill").focus();
      return;
    }
    const verb = { ArrowUp: "up", ArrowDown: "down", Delete: "remove" }[event.key];
    const part = event.target.closest?.("fieldset.part");
    if (!verb || !part) return;
    event.preventDefault();
    const button = document.getElementById(`${verb}-${part.dataset.row}`);
    if (!button.disabled) press(button.value);
  });
})();
