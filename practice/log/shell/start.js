// What a tap does, and how the page starts.

const $ = (query, from = document) => from.querySelector(query);
const SCREENS = {
  log: logScreen, change: changeScreen, hurts: painScreen, last: lastScreen, other: otherScreen,
  away: () => awayScreen("away"), unwell: () => awayScreen("unwell"), entries: entriesScreen, who: welcome,
};
let guard = false;
let lastSaved = null;
const shown = {};

const here = () => location.hash.slice(1).split("=");

/** Draw into a place, unless that stands there already: a button drawn anew in mid-tap loses it. */
function draw(place, html) {
  if (shown[place] === `${html}`) return;
  shown[place] = `${html}`;
  const lost = document.activeElement.closest(place);
  $(place).innerHTML = html;
  if (lost) $("h1").focus();
}

function show() {
  const [name, arg] = here();
  const screen = state.me && SCREENS[name];
  const { title, body, bar = "" } = screen ? screen(arg) : weekScreen(arg);
  $("h1").textContent = document.title = title;
  $("#who").textContent = state.me?.name;
  $("#home").hidden = !screen;
  draw("#main", body);
  draw("#do", bar);
  pill();
  restore();
  fit();
}

/** With large text the buttons would cover the page: then they stand under it. */
const fit = () => $("footer").classList.toggle("flow", $("footer").offsetHeight > innerHeight * 0.45);

/** Draw again, unless somebody is in the middle of a form. */
const changed = () => ($("#f") ? pill() : show());

function pill() {
  const text = standing(state.rows, state.login);
  if ($("#pill").textContent !== text) $("#pill").textContent = text;
  $("#sent").hidden = !state.me && !state.rows.length;
  $("#undo").hidden = !lastSaved;
}

const say = (words) => ($("#said").textContent = words);

/** What was typed survives a call, a dead battery and a reload. */
const draft = () =>
  $("#f") &&
  write((log, kv) =>
    kv.put({ at: location.hash, fields: [...new FormData($("#f"))] }, "draft"),
  ).catch(() => {});
async function restore() {
  const kept = $("#f") && (await read((log, kv) => kv.get("draft")).catch(() => null));
  if (kept?.at !== location.hash) return;
  for (const [name, value] of kept.fields) {
    const input = $("#f")?.elements[name];
    if (input && input !== document.activeElement) input.value = value;
  }
}

/** Keep it, say so, and take no second tap for a moment: the id is made once. */
async function commit(k, more, words, to = "", gone = []) {
  if (guard) return;
  guard = true;
  try {
    const entry = fresh(k, more);
    const kept = await save(entry, gone, words);
    if (!kept) return fail(entry);
    $("#failed").hidden = true;
    lastSaved = k === "log" ? kept.id : null;
    say(words);
    location.replace(`#${to === "change=" ? to + kept.id : to}`);
    show();
    scrollTo(0, 0);
  } finally {
    setTimeout(() => {
      guard = false;
      document.body.dataset.ready++;
    }, TIMES.guard);
  }
}

function fail(entry) {
  $("#failed").hidden = false;
  $("#failed").textContent = `NOT saved. Keep this page open. ${entryName(entry)}`;
}

const number = (text) => {
  const n = parseFloat(String(text ?? "").replace(",", "."));
  return n >= 0 ? n : undefined;
};

/** A form as a document. `was` is the entry it changes, if any. What is not said is left out. */
function documentOf(data, f, was) {
  const [name, arg] = here();
  const whole = (key) => number(data.get(key)) && Math.round(number(data.get(key)));
  const text = (key) => data.get(key)?.trim() || undefined;
  const body = { day: text("day") || was?.day, felt: whole("felt"), note: text("note"), pain: was?.pain };
  const min = number(data.get("min"));
  const old = was?.b?.[0];
  if (data.has("where")) {
    body.pain = { ...was.pain, lvl: whole("lvl") ?? was.pain.lvl, where: text("where") || "", signs: data.getAll("signs"), new: !!data.get("new") };
    return body;
  }
  if (f.dataset.other) {
    const [what, balls, hard] = [data.get("what"), whole("balls"), whole("hard")];
    return { ...body, b: [OTHER[what] ? { w: what, balls, hard, min } : { d: what, s: balls ? [{ n: balls }] : [], hard, min }] };
  }
  const { part, w } = partAt(old?.p || arg);
  const base = part ? blockOf(part, w, today()) : old;
  const s = base.s.map((_, i) => {
    const n = whole(`n${i}`) || 0;
    const c = whole(`c${i}`);
    return { n, c: c === undefined ? c : Math.min(c, n), e: whole(`e${i}`) || undefined };
  });
  // Counted by hand is not 'as asked', even if the counts are the same.
  const block = { ...base, d: text("d"), s, min, as: undefined, stop: !!data.get("stop") || undefined };
  if (old) block.last = old.last;
  return { ...body, b: [block, ...(was?.b || []).slice(1)] };
}

function submitted(event) {
  event.preventDefault();
  const f = event.target;
  const data = new FormData(f);
  const [name, arg] = here();
  if (f.dataset.away) {
    const [first, last] = [data.get("first"), data.get("last")].sort();
    return commit("away", { first, last, kind: f.dataset.away }, "Kept. Nothing is asked on these days.");
  }
  const { e, st } = (name === "change" && found(arg)) || {};
  return file(documentOf(data, f, e), e, st);
}

/** A new document, a change of `e`, or `e` put right. */
function file(said, e, st) {
  // Through JSON, so that what is kept is what will be sent.
  const body = JSON.parse(JSON.stringify(said));
  if (!e) return commit("log", body, `Kept: ${entryName(body)}.`);
  if (st === 2) return commit(e.k, { ...body, ...(e.target && { target: e.target }) }, "Kept again, put right.", "", [e.id]);
  return commit("change", { ...body, target: rootOf(e) }, "Change kept.");
}

function logged(id, cut) {
  const { part, w } = partAt(id);
  const body = { b: [{ ...blockOf(part, w, today(), cut?.n), ...(cut && { min: cut.min }) }] };
  return commit("log", body, `Kept: ${entryName(body)}.`);
}

const DO = {
  asked: (id) => logged(id),
  short: (id) => logged(id, shorter(partAt(id).part, 15)),
  read: (caution) => commit("read", { caution }, "Understood.", location.hash.slice(1)),
  pain: (lvl, button) => {
    const pain = { lvl: +lvl, where: "", signs: [], new: true, p: button.parentNode.dataset.part || null };
    return commit("log", { pain }, "Kept.", "change=");
  },
  back: (target) => commit("back", { target }, "Taken back.", location.hash.slice(1)),
  undo: () => DO.back(lastSaved),
  here: (days) => {
    const [first, last] = days.split(" ");
    return commit("away", { first, last, off: true }, "Taken back.");
  },
  discard: async (id) => {
    if (!confirm("Discard it? It is nowhere else.")) return;
    await discard(id).catch(() => {});
    await refresh();
    show();
  },
  renew,
  choose: async (id) => {
    if (state.keys[id]) await become({ id, name: state.keys[id].name });
    else await takeKey(state.students.find((s) => s.id === id), true);
    location.replace("#");
    show();
    await renew();
  },
  who: async () => {
    await getKey("nobody");
    location.hash = "who";
  },
  add: (by, button) => {
    const box = $("input", button.parentNode);
    // The first 'one less' of an uncounted clean starts from what was done.
    const start = box.name[0] === "c" && by < 0 ? $(`#n${box.name.slice(1)}`).value : 0;
    box.value = Math.max(0, (number(box.value || start) || 0) + +by);
  },
  rep: (arg) => {
    const [, i, what] = arg.match(/(\d+)(.)$/);
    const part = (name) => $("#f").elements[name + i];
    const taps = what === "-" ? part("t").value.slice(0, -1) : part("t").value + what;
    part("t").value = taps;
    part("n").value = taps.length;
    part("c").value = taps.replaceAll("0", "").length;
    say(`${many(taps.length, "rep")}, ${part("c").value} clean`);
  },
  rule: () => {
    $("#f").elements.stop.value = 1;
    $("#ruled").textContent = RULED;
  },
};

/** Send what waits, fetch what is new. */
async function renew() {
  await nudge();
  await fetchWeek();
  changed();
}

async function start() {
  const [me, keys] = await Promise.all([recall("me"), recall("keys"), refresh()]);
  state.keys = keys || {};
  if (me) await become(me);
  await takeLink();
  const { words, carry, gone, again } = history.state || {};
  if (words) say(words);
  if (again) lastSaved = again;
  if (carry && !(await save(carry, gone, words))) fail(carry);
  show();
  if (!state.me) await getKey();
  show();
  await renew();
  document.body.dataset.ready = 1;
}

document.addEventListener("click", ({ target }) => {
  const button = target.closest("[data-do]");
  // What is kept needs no draft: it would come back, and be kept again.
  if (button && !DO[button.dataset.do](button.dataset.arg, button)) draft();
});
document.addEventListener("submit", submitted);
document.addEventListener("input", draft);
addEventListener("hashchange", () => {
  show();
  scrollTo(0, 0);
  $("h1").focus();
});
addEventListener("online", renew);
async function back() {
  if (document.hidden) return;
  (await navigator.serviceWorker?.getRegistration())?.update().catch(() => {});
  await renew();
}
addEventListener("pageshow", (event) => event.persisted && back());
document.addEventListener("visibilitychange", back);
navigator.serviceWorker?.register("/sw.js", { updateViaCache: "none" }).catch(() => {});
start();
