// The lesson note keeps itself: on this device at once, on the server as soon as there is
// an answer. Without it the buttons at the foot keep the whole page as a plain form.
(() => {
  const form = document.getElementById("note");
  const kept = document.getElementById("kept");
  const store = `lesson-${form.dataset.lesson}`;
  const token = form.querySelector("[name=csrfmiddlewaretoken]").value;
  const names = new Set([...form.querySelectorAll("textarea, input:not([type=hidden])")].map((field) => field.name));
  // As the page came: what was typed before this script ran is a change too.
  const server = new Map([...names].map((name) => [name, asSent(name)]));
  let wait = 0;
  let pause = 1000;
  let sending = null;
  let clash = "";

  function value(name) {
    if (!name.endsWith(".drills")) return form.elements[name].value;
    const ticked = [...form.querySelectorAll(`[name="${name}"]:checked`)].map((box) => box.value);
    return ticked.sort().join(",");
  }

  function asSent(name) {
    if (!name.endsWith(".drills")) return form.elements[name].defaultValue;
    const boxes = [...form.querySelectorAll(`[name="${name}"]`)].filter((box) => box.defaultChecked);
    return boxes.map((box) => box.value).sort().join(",");
  }

  function put(name, text) {
    if (!name.endsWith(".drills")) {
      form.elements[name].value = text;
      return;
    }
    const ticked = new Set(text.split(","));
    for (const box of form.querySelectorAll(`[name="${name}"]`)) box.checked = ticked.has(box.value);
  }

  function changed() {
    const found = {};
    for (const name of names) {
      if (value(name) !== server.get(name)) found[name] = { was: server.get(name), is: value(name) };
    }
    return found;
  }

  function say(words) {
    kept.textContent = [words, clash].filter(Boolean).join(" ");
  }

  // On this device first: a page closed without signal loses nothing.
  function keepHere(fields) {
    try {
      if (Object.keys(fields).length) localStorage.setItem(store, JSON.stringify(fields));
      else localStorage.removeItem(store);
      return true;
    } catch {
      return false;
    }
  }

  function bringBack() {
    let fields = {};
    try {
      fields = JSON.parse(localStorage.getItem(store) ?? "{}");
    } catch {
      return;
    }
    for (const [name, pair] of Object.entries(fields)) {
      if (!names.has(name)) continue;
      put(name, pair.is);
      form.elements[name]?.closest?.("details")?.setAttribute("open", "");
      // What it was when it was typed, so that a change made elsewhere since is noticed.
      server.set(name, pair.was);
    }
  }

  function later(milliseconds) {
    clearTimeout(wait);
    wait = setTimeout(send, milliseconds);
  }

  async function send() {
    clearTimeout(wait);
    if (sending) return;
    const fields = changed();
    if (!Object.keys(fields).length) {
      keepHere({});
      return;
    }
    say("Keeping …");
    sending = post(fields);
    const done = await sending;
    sending = null;
    keepHere(changed());
    if (!done) {
      say(signedOut
        ? "Kept on this device. You are signed out: sign in again, and come back to this page."
        : "Kept on this device; there is no answer yet.");
      pause = Math.min(pause * 2, 30000);
      later(pause);
      return;
    }
    pause = 1000;
    if (Object.keys(changed()).some((name) => !refused.has(name))) later(0);
    else say(refused.size ? [...refused.values()].join(" ") : "Kept.");
  }

  const refused = new Map();
  let signedOut = false;

  async function post(fields) {
    try {
      const answer = await fetch(form.dataset.typed, {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-CSRFToken": token },
        body: JSON.stringify({ fields }),
        redirect: "manual",
      });
      signedOut = answer.type === "opaqueredirect" || answer.status === 403;
      if (!answer.ok) return false;
      const told = await answer.json();
      refused.clear();
      for (const name of told.kept) server.set(name, fields[name].is);
      for (const [name, text] of Object.entries(told.elsewhere)) both(name, text);
      for (const [name, words] of Object.entries(told.refused)) refused.set(name, words);
      return true;
    } catch {
      signedOut = false;
      return false;
    }
  }

  // Two lines are seen as two lines, also where the style sheet alone cannot do it.
  function grow(field) {
    if (field.rows !== 1 || CSS.supports("field-sizing", "content")) return;
    field.style.height = "auto";
    field.style.height = `${field.scrollHeight + 2}px`;
  }

  // Typed here and elsewhere meanwhile: both stand in the field, and the coach decides.
  function both(name, text) {
    server.set(name, text);
    if (name.endsWith(".drills")) {
      put(name, [value(name), text].filter(Boolean).join(","));
      return;
    }
    const field = form.elements[name];
    if (field.value.includes(text)) return;
    // Of two counts of the same balls the longer one stands: each ball was tapped by somebody.
    if (name.endsWith(".balls")) {
      if (text.length > field.value.length) field.value = text;
      return;
    }
    const joined = `${text} / ${field.value}`;
    const fits = joined.length <= field.maxLength;
    if (fits) field.value = joined;
    clash = fits
      ? "A field was changed on another device too: both texts stand in it."
      : `On another device this stood in the same field, too long for both: “${text}”`;
    grow(field);
  }

  function ownWords() {
    for (const place of form.querySelectorAll(".own-words")) {
      const words = JSON.parse(document.getElementById(`own-${place.dataset.list}`).textContent);
      const field = document.getElementById(place.dataset.for);
      for (const word of words.filter((each) => each !== field.value).slice(0, 4)) {
        const button = document.createElement("button");
        button.type = "button";
        button.className = "plain";
        button.textContent = word;
        button.addEventListener("click", () => {
          field.value = word;
          field.dispatchEvent(new Event("input", { bubbles: true }));
        });
        place.append(button);
      }
    }
  }

  form.addEventListener("input", ({ target }) => {
    grow(target);
    if (!keepHere(changed())) say("This device cannot keep it: send it with the button below.");
    later(600);
  });
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const goesOn = event.submitter?.value === "close";
    await sending;
    await send();
    if (goesOn && !Object.keys(changed()).length) location.assign(form.dataset.close);
  });
  addEventListener("online", () => later(0));
  addEventListener("pagehide", () => keepHere(changed()));

  ownWords();
  bringBack();
  form.querySelectorAll("textarea").forEach(grow);
  if (Object.keys(changed()).length) later(0);
})();
