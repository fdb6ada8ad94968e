// Who needs me: a line opens in place, arrows go from line to line, and having looked is kept.
// Without this script each line is a link to the same page with that line open.
const lines = document.querySelector("[data-lines]");
const openers = () => [...lines.querySelectorAll("[data-open]")];
const insideOf = (opener) => opener.closest("li").querySelector(".board-inside");

for (const [index, opener] of openers().entries()) {
  const inside = insideOf(opener);
  inside.id = `inside-${index}`;
  opener.setAttribute("role", "button");
  opener.setAttribute("aria-controls", inside.id);
  opener.setAttribute("aria-expanded", String(!inside.hidden));
}

const show = (opener, open) => {
  insideOf(opener).hidden = !open;
  opener.setAttribute("aria-expanded", String(open));
};

const open = async (opener, { write = false } = {}) => {
  const inside = insideOf(opener);
  if (!inside.firstElementChild) {
    try {
      const answer = await fetch(opener.dataset.open, { headers: { Accept: "text/html" } });
      if (!answer.ok || answer.redirected) throw new Error(answer.status);
      inside.innerHTML = await answer.text();
    } catch {
      location.assign(opener.href); // The page itself says what is wrong.
      return;
    }
  }
  show(opener, true);
  if (write) {
    inside.querySelector(".board-write").open = true;
    inside.querySelector("textarea").focus();
  }
};

lines?.addEventListener("click", (event) => {
  const opener = event.target.closest("[data-open]");
  const one = event.target.closest(".board-one");
  if (event.ctrlKey || event.metaKey || event.shiftKey) return;
  if (one && new URL(one.href).searchParams.has("write")) {
    event.preventDefault();
    open(one.closest("li").querySelector("[data-open]"), { write: true });
  } else if (opener) {
    event.preventDefault();
    if (insideOf(opener).hidden) open(opener);
    else show(opener, false);
  }
});

lines?.addEventListener("keydown", (event) => {
  const item = event.target.closest("li.board-item");
  const opener = item?.querySelector("[data-open]");
  if (!opener || event.target.matches("input, textarea")) {
    if (event.key === "Escape" && opener) closeFrom(opener);
    return;
  }
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  if (step) {
    const all = openers();
    const next = all[all.indexOf(opener) + step];
    if (next) {
      event.preventDefault();
      next.focus();
    }
  } else if (event.key === "Escape") {
    closeFrom(opener);
  } else if (event.key === " " && event.target === opener) {
    event.preventDefault();
    opener.click();
  }
});

const closeFrom = (opener) => {
  show(opener, false);
  opener.focus();
};

// Looking clears what was new, once the page is left; a page never shown clears nothing.
const form = document.querySelector("[data-seen]");
let isShown = document.visibilityState === "visible";
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") isShown = true;
  else if (isShown && form) {
    const said = new FormData(form);
    said.set("do", "quietly");
    navigator.sendBeacon(form.action, said);
  }
});
