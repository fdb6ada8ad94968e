// Find: what begins with the letters typed, listed under the field. Enter without this script asks for the page.
const field = document.querySelector("[data-find]");
const list = document.getElementById("find-list");

if (field && list) {
  field.setAttribute("role", "combobox");
  field.setAttribute("aria-autocomplete", "list");
  field.setAttribute("aria-controls", list.id);
  field.setAttribute("aria-expanded", "false");
  let asked = 0, waiting;

  const options = () => [...list.querySelectorAll("[role=option]")];
  const close = () => {
    list.hidden = true;
    field.setAttribute("aria-expanded", "false");
    field.removeAttribute("aria-activedescendant");
  };
  const choose = (option) => {
    for (const each of options()) each.setAttribute("aria-selected", String(each === option));
    field.setAttribute("aria-activedescendant", option.id);
    option.scrollIntoView({ block: "nearest" });
  };
  const look = async () => {
    const number = ++asked;
    if (!field.value.trim()) return close();
    const query = new URLSearchParams({ q: field.value, part: "1" });
    try {
      const answer = await fetch(`${field.form.action}?${query}`);
      if (!answer.ok || answer.redirected || number !== asked) return;
      list.innerHTML = await answer.text();
    } catch {
      return close(); // No connection: Enter asks for the page, which says so.
    }
    list.hidden = false;
    field.setAttribute("aria-expanded", "true");
    if (options().length) choose(options()[0]);
  };

  field.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(look, 120);
  });
  field.addEventListener("keydown", (event) => {
    const all = options();
    const at = all.findIndex((each) => each.id === field.getAttribute("aria-activedescendant"));
    const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (step && !list.hidden && all.length) {
      event.preventDefault();
      choose(all[(at + step + all.length) % all.length]);
    } else if (event.key === "Enter" && !list.hidden && all[at]) {
      event.preventDefault();
      location.assign(all[at].querySelector("a").href);
    } else if (event.key === "Escape") {
      if (list.hidden) field.value = "";
      close();
    }
  });
  field.addEventListener("blur", () => setTimeout(() => list.contains(document.activeElement) || close(), 150));
  document.addEventListener("keydown", (event) => {
    const isTyping = event.target.closest("input, textarea, select, [contenteditable]");
    if (event.key !== "/" || isTyping || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    field.focus();
  });
}
