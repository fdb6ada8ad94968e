// What a tap does, and how the page starts.

const $ = (query, from = document) => from.querySelector(query);
// The second script adds its own.
const SCREENS = {};
let guard = false;
const shown = {};

/** A screen of the second script that is not there yet. */
const comes = () => ({ title: "This week", body: h`<p>One moment.</p>` });

const here = () => location.hash.slice(1).split("=");

/** Draw into a place, unless that stands there already: a button drawn anew in mid-tap loses it. */
function draw(place, html) {
  if (shown[place] === `${html}`) return;
  shown[place] = `${html}`;
  const lost = document.activeElement.closest(place);
  $(place).innerHTML = html;
  if (lost) $("h1").focus();
}

/**
 * The bar has one height and the same corners on every screen. What saves stands in its first
 * row, and after a save what stands there writes nothing.
 */
const bar = ({ main, left, part, pain }) =>
  state.me && !state.asks
    ? h`<div class="main">${main}</div><div class="two">${left || go("", "This week")}${pain ? h`<p class="inert">Something hurts</p>` : go(`hurts=${part || ""}`, "Something hurts")}</div>`
    : h`${main}`;

function show() {
  const [name, arg] = here();
  const screen = state.me && !state.asks && (SCREENS[name] || (name && name !== "part" && !extra.after && comes));
  const drawn = screen ? screen(arg) : weekScreen(arg);
  state.drawn = today();
  $("h1").textContent = document.title = drawn.title;
  $("#who").textContent = state.me?.name;
  $("#home").hidden = !screen;
  document.body.className = drawn.kind || "";
  draw("#main", drawn.body);
  draw("#do", bar(drawn));
  pill();
  extra.drawn?.();
}

/** Draw again, unless somebody is in the middle of a form. */
function changed() {
  if (!$("#f")) return show();
  extra.turned?.();
  pill();
}

function put(place, text) {
  if ($(place).textContent !== text) $(place).textContent = text;
}

function pill() {
  put("#pill", extra.standing(state.rows, state.login));
  $("#sent").hidden = !state.me && !state.rows.length;
  extra.told?.();
}

const say = (words) => put("#said", words);

/** To another screen, in the place of this one: back does not lead to a form that was kept. */
function moveTo(hash) {
  history.replaceState(history.state, "", `#${hash}`);
  show();
  scrollTo(0, 0);
  $("h1").focus();
}

/** Keep it and say so: the id is made once. */
async function commit(k, more, words, to = "", gone = []) {
  if (guard) return;
  guard = true;
  try {
    const entry = fresh(k, more);
    // Which day it is for is said, unless that is today.
    const told = k !== "back" && entry.day !== today() ? `${words} For ${dayName(entry.day)}.` : words;
    const kept = await save(entry, gone, told);
    if (!kept) return fail(entry);
    $("#failed").hidden = true;
    state.saved = k === "log" && !more.pain ? kept.id : null;
    moveTo(/^(change|saved)$/.test(to) ? `${to}=${kept.id}` : to);
    say(told);
  } finally {
    hold();
  }
}

/** Take no tap for a moment: a finger may still be where the last screen had its button. */
function hold() {
  guard = true;
  setTimeout(() => {
    guard = false;
    document.body.dataset.ready++;
  }, TIMES.guard);
}

function fail(entry) {
  $("#failed").hidden = false;
  $("#failed").textContent = `NOT saved. Keep this page open. ${entryName(entry)}`;
}

const logBlock = (id, block) => commit("log", { b: [block] }, `Kept: ${entryName({ b: [block] })}.`, `part=${id}`);

const DO = {
  skip: () => $("#do :is(button, a)")?.focus(),
  asked: (id) => {
    const { part, w } = partAt(id);
    return logBlock(id, blockOf(part, w, today()));
  },
  wait: (what) => say(what ? "Read the caution first, then tap Understood." : "It is saved already. Nothing more was written."),
  read: (caution) => {
    state.justRead.add(caution);
    return commit("read", { caution }, "Understood.", location.hash.slice(1));
  },
};

/** Send what waits, fetch what is new. */
async function renew() {
  await nudge();
  await fetchWeek();
  changed();
}

let loading;
/** The second script, once the first has drawn what it can: it has run, or does not come soon. */
const load = () =>
  (loading ||= soon(
    new Promise((on) => {
      const script = document.createElement("script");
      script.onload = script.onerror = on;
      script.src = $("[as]").href;
      document.head.append(script);
    }),
  ).catch(() => {}));

/** A key, and the week, for whoever logs for one alone. */
const askKey = () => ask("/api/key", { method: "POST", body: '{"only":1}' });

/** What the answer to that brings is drawn first, and kept then. */
async function firstVisit() {
  const { status, body } = await state.first;
  if (status !== 201) return;
  state.first = null;
  const { key, student, students, writer, week } = body;
  const { id, name } = student;
  Object.assign(state, { students, writer: writer?.name, week, me: { id, name, by: signedIn() }, keys: { [id]: { key, name } } });
  show();
  await framed();
  await Promise.all([remember("keys", state.keys), remember(`week ${id}`, week), remember("me", state.me)]);
}

/**
 * Once what was drawn is on the screen: what takes long is begun after that. A page that nobody
 * sees draws no frame.
 */
const framed = () =>
  new Promise((on) => {
    requestAnimationFrame(() => setTimeout(on));
    setTimeout(on, 300);
  });

/** The script stands before the page's body: what it waits for comes while that is read. */
const parsed = new Promise((on) => addEventListener("DOMContentLoaded", on));

async function start() {
  const brings = /[#&](key|for)=/.test(location.hash);
  // As the second script left it: where nobody's week is kept, a key is asked for at once.
  if (!brings && !document.cookie.includes("kept=")) state.first = askKey();
  const inside = readAll().catch(() => []);
  const [[, keys, me, week]] = await Promise.all([inside, refresh(inside.then(([log]) => log)), parsed]);
  state.keys = keys || (await beside("keys")) || {};
  state.me = me || (await beside("me"));
  if (state.me) state.week = week || (await recall(`week ${state.me.id}`)) || null;
  // A link's key, or another child: the screen waits until it is clear whose it is.
  if (brings) {
    await load();
    await extra.brought?.();
  }
  state.asks = !!state.me && signedIn() !== state.me.by;
  const { words, carry, gone, again } = history.state || {};
  if (again) state.saved = again;
  if (carry && !(await save(carry, gone, words))) fail(carry);
  state.begun = true;
  show();
  if (words) say(words);
  if (!state.me) {
    state.first ||= askKey();
    await firstVisit();
  }
  await framed();
  await load();
  await extra.whose?.();
  state.late = !extra.whose;
  show();
  await renew();
  document.body.dataset.ready = 1;
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-do]");
  if (guard) event.preventDefault();
  else if (button) DO[button.dataset.do]?.(button.dataset.arg, button);
});
addEventListener("hashchange", () => {
  state.justRead.clear();
  state.gone.clear();
  say("");
  show();
  scrollTo(0, 0);
  $("h1").focus();
});
addEventListener("online", renew);
// By their places: in the page a name would cost its letters.
self.phone = [@HANDED@];
// What the worker fetches does not hold up a first visit.
start().finally(() => navigator.serviceWorker?.register("/sw.js", { updateViaCache: "none" }).catch(extra.unkept));
