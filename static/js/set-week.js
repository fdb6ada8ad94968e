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

  document.documentElement.classList.add("scripted");

  async function ask(button, drill) {
    clearTimeout(wait);
    asking?.abort();
    const mine = (asking = new AbortController());
    const body = new FormData(form());
    body.set("do", button);
    if (drill) body.set("add-drill", drill);
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
    } catch {
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
  async function arrange(button, focus, drill) {
    const mine = (arranging = {});
    let page, asked;
    do {
      asked = typed;
      page = await ask(button, drill);
    } while (page && asked !== typed);
    if (page) putForm(page, focus);
    // Not sooner: a field that goes with its focus says once more that it was changed.
    if (arranging === mine) arranging = null;
  }

  function putForm(page, focus) {
    form().replaceWith(document.adoptNode(page.getElementById("week-form")));
    const target = document.getElementById(focus()) || document.getElementById("add-drill");
    const part = target.closest(".part");
    if (part) part.open = true;
    target.focus();
    part?.scrollIntoView({ block: "nearest" });
  }

  const last = () => document.querySelectorAll(".part").length - 1;
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
    if (event.target.id === "add-drill") return look();
    if (event.target.name === "add-drill" || leaving) return;
    typed += 1;
    clearTimeout(wait);
    wait = setTimeout(keep, 400);
  });

  week.addEventListener("change", (event) => {
    if (event.target.id !== "add-drill" && event.target.name !== "add-drill" && !leaving) keep();
  });

  // --- the field that adds a part: a combobox over the drills that can be ticked below it ---

  const field = () => document.getElementById("add-drill");
  const list = () => document.getElementById("drill-list");
  const options = () => [...list().children];
  const chosen = () => options().find((option) => option.getAttribute("aria-selected") === "true");

  // Names that begin with what was typed go before those that only speak of it.
  function matches() {
    const words = field().value.toLowerCase().split(/\s+/).filter(Boolean);
    const seen = new Set();
    const drills = [...document.querySelectorAll("#shelf input[name=add-drill]")].filter((box) => {
      const text = `${box.dataset.name} ${box.dataset.words}`.toLowerCase();
      const isNew = !seen.has(box.value);
      seen.add(box.value);
      return isNew && words.every((word) => text.includes(word));
    });
    const begins = (box) => words.length && box.dataset.name.toLowerCase().startsWith(words[0]);
    return [...drills.filter(begins), ...drills.filter((box) => !begins(box))];
  }

  function look() {
    list().replaceChildren(
      ...matches().map((box, n) => {
        const option = document.createElement("li");
        option.id = `drill-option-${n}`;
        option.role = "option";
        option.dataset.drill = box.value;
        const why = document.createElement("span");
        why.className = "quiet small";
        why.textContent = box.dataset.why;
        option.append(box.dataset.name, " ", why);
        return option;
      }),
    );
    const found = options().length;
    document.getElementById("add-said").textContent = found ? `${found} drills` : "No drill has these words.";
    list().hidden = !found;
    field().setAttribute("aria-expanded", String(Boolean(found)));
    choose(options()[0]);
  }

  function choose(option) {
    for (const each of options()) each.setAttribute("aria-selected", String(each === option));
    if (!option) return field().removeAttribute("aria-activedescendant");
    field().setAttribute("aria-activedescendant", option.id);
    option.scrollIntoView({ block: "nearest" });
  }

  function close() {
    list().hidden = true;
    field().setAttribute("aria-expanded", "false");
    field().removeAttribute("aria-activedescendant");
  }

  function add(option, stays) {
    arrange("add", stays ? () => "add-drill" : focusAfter.add(), option.dataset.drill);
  }

  function typeInField(event) {
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (step && !event.altKey) {
      event.preventDefault();
      if (list().hidden) return look();
      const all = options();
      choose(all[(all.indexOf(chosen()) + step + all.length) % all.length]);
    } else if (event.key === "Enter" && !event.ctrlKey) {
      event.preventDefault();
      if (!list().hidden && chosen()) add(chosen(), event.shiftKey);
    } else if (event.key === "Escape") {
      if (list().hidden) field().value = "";
      close();
    }
  }

  week.addEventListener("keydown", (event) => event.target.id === "add-drill" && typeInField(event));
  week.addEventListener("focusout", (event) => event.target.id === "add-drill" && close());
  week.addEventListener("click", (event) => {
    if (event.target.id === "add-drill" && list().hidden) look();
  });
  // Before the field loses the focus, which would close the list.
  week.addEventListener("mousedown", (event) => {
    if (event.target.closest("#drill-list")) event.preventDefault();
  });
  week.addEventListener("click", (event) => {
    const option = event.target.closest("#drill-list [role=option]");
    if (option) add(option, event.shiftKey);
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
    const part = event.target.closest?.(".part");
    if (!verb || !part) return;
    event.preventDefault();
    const button = document.getElementById(`${verb}-${part.dataset.row}`);
    if (!button.disabled) press(button.value);
  });
})();
