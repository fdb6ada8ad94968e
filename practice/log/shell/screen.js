// Pages as text. Everything put into h`…` is escaped unless it came out of h`…` itself.

class Html extends String {}
const safe = (v) =>
  v instanceof Html ? v
  : Array.isArray(v) ? v.map(safe).join("")
  : String(v ?? "").replace(/[&<>"']/g, (c) => `&#${c.charCodeAt()};`);
const h = (parts, ...values) =>
  new Html(String.raw({ raw: parts }, ...values.map((v) => (v === false ? "" : safe(v)))));

const many = (n, one) => `${n} ${one}${n === 1 ? "" : "s"}`;
function dayName(day) {
  const text = new Date(`${day}T12:00`).toLocaleDateString([], { weekday: "short", day: "numeric", month: "short" });
  return day === today() ? `Today, ${text}` : text;
}
function stepName({ n, u, e, back, label }) {
  const how = /max|full/.test(label) ? " as hard as you can" : e ? ` at ${e} %` : "";
  return `${back ? "then back: " : ""}${n}${u === "reps" && how ? "" : ` ${u}`}${how}`;
}
const doseName = (steps) => steps.map(stepName).join(", ");

const act = (name, text, arg = "", kind = "") =>
  h`<button type="button" class="${kind}" data-do="${name}" data-arg="${arg}">${text}</button>`;
const go = (hash, text) => h`<a class="button plain" href="#${hash}">${text}</a>`;
const option = (value, text, chosen) =>
  h`<option value="${value}" ${chosen === value && "selected"}>${text}</option>`;
const field = (label, input) => h`<label class="field">${label}${input}</label>`;
const tick = (kind, name, value, text, on) =>
  h`<label class="tick"><input type="${kind}" name="${name}" value="${value}" ${!!on && "checked"}>${text}</label>`;
const date = (name, label, value, limits = "") =>
  field(label, h`<input type="date" required name="${name}" value="${value}" ${limits}>`);
const noteField = (note) => field("Note", h`<textarea name="note" maxlength="2000" rows="2">${note}</textarea>`);
const grade = (name, text, from, chosen) =>
  field(text, h`<select name="${name}"><option value="">not said${TENS.slice(from).map((n) => option(n, n, chosen))}</select>`);
const TENS = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10];
const list = (items) => items.length > 0 && h`<ul class="rows">${items.map((x) => h`<li>${x}</li>`)}</ul>`;

function counter(name, label, value) {
  const step = (by, sign, word) =>
    h`<button type="button" class="plain step" data-do="add" data-arg="${by}" aria-label="${label}: one ${word}">${sign}</button>`;
  return h`<div class="count"><label for="${name}">${label}</label><span>${step(-1, "−", "less")}<input id="${name}" name="${name}" inputmode="decimal" autocomplete="off" value="${value}">${step(1, "+", "more")}</span></div>`;
}

/** The rows of one step: done, clean, and rep by rep for who wants it. */
function stepRows(step, i, part, { n, c, e } = {}) {
  const timed = step?.u === "min";
  return h`<fieldset><legend>${step ? stepName(step) : "Done"}</legend>${counter(`n${i}`, timed ? "Minutes" : "Done", n)}
${!timed && counter(`c${i}`, "Clean", c)}${!timed && h`<details><summary>Rep by rep, effort</summary><div class="two">${act("rep", "Clean", `${i}1`)}${act("rep", "Not clean", `${i}0`, "plain")}</div>${act("rep", "Take the last one back", `${i}-`, "link")}<input type="hidden" name="t${i}">${counter(`e${i}`, "Effort, %", e)}</details>`}
${!!(part?.stop && i && !step.back) && act("rule", "Back to the step below", "", "plain")}</fieldset>`;
}

/** What is left of a part, and on which days and where it is meant to be. */
const whenOf = (p) => [leftWords(p), ...p.days.map((d) => `${dayName(d)} ${p.at?.[d] || ""}`)].join(" · ");
const cueOf = ({ cue }) => !!cue && h`<p class="cue">“${cue}”</p>`;
const leftWords = ({ halted, more }) =>
  halted ? "Nothing asked now" : more ? `${many(more, "session")} left this week` : "Done for this week";

/** A part: what to do, in whose words, and how much is left. */
function partSheet(p, drills) {
  const how = [["Set-up", p.setup], ["Clean", p.clean], ["Log", p.log]].filter(([, text]) => text);
  return h`<article class="sheet"><p class="quiet">Part ${p.priority} · ${p.minutes} min</p><h2>${p.name}</h2>${cueOf(p)}<p class="dose">${doseName(p.steps)}</p><p>${p.note}</p>${state.clip?.(p)}
${p.halted && h`<p class="care">${p.stopped || STOPPED}</p>`}<p class="quiet">${whenOf(p)}${p.total && ", spread as you like"}</p>
${how.length > 0 && h`<details><summary>How it is done</summary>${how.map(([k, v]) => h`<p><b>${k}:</b> ${v}</p>`)}${p.swaps.length > 0 && h`<p><b>Instead:</b> ${p.swaps.map((id) => drills[id]).join(" or ")}</p>`}</details>`}</article>`;
}

const partRow = (to) => (p) =>
  h`<a href="#${to}=${p.id}"><b>${p.priority}. ${p.name}</b><br>${doseName(p.steps)}<br><span class="quiet">${whenOf(p)}</span></a>`;

const OTHER = { range: "Range balls", round: "Round", group: "Group session", lesson: "Lesson", other: "Something else" };
const MORE = { away: "I’m away", unwell: "Unwell", last: "For last week", other: "Other practice", entries: "What I logged" };
const own = () => chains(state.week, state.rows, state.me.id);
const partsNow = () => {
  const w = thisWeek(state.week, today());
  return w ? plan(state.week, w, own(), today()) : [];
};

function weekScreen(arg) {
  const { week, rows } = state;
  if (!state.me) return welcome();
  const parts = partsNow();
  const p = parts.find(({ id }) => id === arg) || parts[0];
  const after = h`<h2>Another way</h2><div class="links">${Object.entries({ ...state.more, ...MORE }).map((x) => go(...x))}</div>${week?.lines.length > 0 && h`<h2>From your coach</h2>`}${list((week?.lines || []).map(coachLine))}`;
  if (!p) return { title: "This week", body: h`<p>${week ? "No week has been sent for today." : "Your week comes with the next signal."} What you practise can be logged all the same.</p>${after}` };
  const open = unread(p, week, rows);
  const total = sum(parts.map((x) => (x.halted ? 0 : x.more)));
  const excused = week.excused.some(({ first, last }) => first <= today() && today() <= last);
  return {
    title: "This week",
    body: h`<p class="quiet">${dayName(today())} · ${total ? `${many(total, "session")} left` : "all done"}</p>${excused && h`<p>Today is excused. Nothing is asked.</p>`}<p>${thisWeek(week, today()).note}</p>
${open.map((id) => h`<section class="sheet caution"><h2>Before you start</h2>${week.cautions[id].text}</section>`)}${partSheet(p, week.drills)}
${parts.length > 1 && h`<h2>Also this week</h2>`}${list(parts.filter((x) => x !== p).map(partRow("part")))}${after}`,
    bar: open.length
      ? act("read", "Understood", open[0])
      : h`${!p.halted && (state.balls?.(p) || act("asked", "Done as asked", p.id))}<div class="two">${!p.halted && go(`log=${p.id}`, "Did part")}${go(`hurts=${p.id}`, "Something hurts")}</div>`,
  };
}

const coachLine = (l) => h`${l.text}<br><span class="quiet">${l.by}, ${dayName(l.at.slice(0, 10))}</span>`;
const SIGN_IN = h`<a class="button" href="/account/login/?next=/log">Sign in</a>`;

/** Before this phone knows whose practice it keeps, or to choose somebody else's. */
function welcome() {
  const known = new Map([...Object.entries(state.keys), ...(state.students || []).map((s) => [s.id, s])]);
  if (known.size) return { title: "Whose practice?", body: h`<p>${!!state.writer && `You write as ${state.writer}.`}</p><div class="links">${[...known].map(([id, { name }]) => act("choose", name, id, "plain"))}</div>` };
  return state.students
    ? { title: "No week here", body: h`<p>Students join by the link their coach gives them.</p>` }
    : { title: "Welcome", body: h`<p>Sign in once. This phone then keeps your week and what you log, with or without signal.</p>`, bar: SIGN_IN };
}

/** The part a block belongs to, and its week. */
const partAt = (id) => {
  for (const w of state.week?.weeks || []) for (const part of w.parts) if (part.id === id) return { part, w };
  return {};
};

/** The form of one block: a part as it was asked, or an entry as it stands. */
function form(e, b) {
  const { part } = partAt(b.p);
  return h`<form id="f"><h2>${part?.name}</h2>${part && cueOf(part)}
${part?.swaps.length > 0 && field("Drill", h`<select name="d"><option value="">${part.name}${part.swaps.map((id) => option(id, `Did a swap: ${state.week.drills[id]}`, b.d))}</select>`)}
${(part?.steps || b.s).map((s, i) => stepRows(part && s, i, part, b.s[i]))}<input type="hidden" name="stop" value="${b.stop && 1}"><p role="status" id="ruled">${!!b.stop && RULED}</p>${rest(e, b)}</form>`;
}
const RULED = "Do the return set at the step below. Put 0 where nothing was done, and save: it counts in full.";
const rest = (e, b) =>
  h`${counter("min", "Minutes", b.min)}${grade("felt", "How hard it felt, 0 to 10", 0, e.felt)}${noteField(e.note)}${date("day", "Day", e.day, h`max="${today()}" min="${addDays(today(), -59)}"`)}`;

function otherForm(e, b) {
  const kinds = { ...OTHER, ...state.week?.drills };
  return h`<form id="f" data-other="1">${field("What it was", h`<select name="what">${Object.entries(kinds).map(([k, v]) => option(k, v, b.d || b.w))}</select>`)}${counter("balls", "Balls or reps", b.balls ?? b.s?.[0]?.n)}${counter("hard", "Hard swings", b.hard)}${rest(e, b)}</form>`;
}

const saving = (text = "Save") => h`<button form="f">${text}</button>`;
const otherScreen = () => ({ title: "Other practice", body: otherForm({ day: today() }, {}), bar: saving() });

function logScreen(id) {
  const { part, w } = partAt(id);
  if (!part) return weekScreen();
  const title = w.closes < today() ? "For last week" : "Log it";
  return { title, body: form({ day: today() }, blockOf(part, w, today())), bar: h`${saving()}${go(`hurts=${id}`, "Something hurts")}` };
}

function entryName({ b, pain, k }) {
  const [first] = b || [];
  if (!first) return pain ? "Something hurts" : { read: "Understood", away: "Days excused", back: "Taken back" }[k] || "Words";
  const count = sum((first.s || []).map((s) => s.n)) || first.balls;
  const name = partAt(first.p).part?.name || state.week?.drills[first.d] || OTHER[first.w] || "Practice";
  return [name, count && `${count} done`, first.min && `${first.min} min`].filter(Boolean).join(", ");
}
const found = (root) => own().find(({ e }) => rootOf(e) === root || e.id === root);

function changeScreen(root) {
  const row = found(root);
  if (!row) return entriesScreen();
  const { e } = row;
  const b = e.b?.[0] || {};
  if (!e.b?.length) return painScreen(e.pain?.p, e);
  return { title: "Change it", body: b.p ? form(e, b) : otherForm(e, b), bar: saving() };
}

const NOW = "Chest pain, fainting, short of breath at rest, a blow to the head, sudden severe headache, loss of feeling, trouble with sight or bladder: stop, call your local emergency services.";
const STOPPED = "This part stops until your coach has looked. Today counts as done, what is left is excused.";
const SIGNS = { sharp: "Sharp", spreading: "Spreading", tingling: "Tingling", numb: "Numb", weak: "Weak", night: "At night", swing: "Changes the swing" };
const PLACES = ["Lower back", "Neck", "Shoulder", "Elbow", "Lead wrist", "Trail wrist", "Hip", "Knee"];

function painScreen(part, { pain, note } = {}) {
  const stop = h`<h2 class="care">Stop this part now. Nothing is lost by saying so.</h2><p class="care">${NOW}</p>`;
  if (!pain) return { title: "Something hurts", body: stop, bar: h`<p id="q">How much, 1 to 10? A tap tells your coach.</p><div class="tens" role="group" aria-labelledby="q" data-part="${part}">${TENS.slice(1).map((n) => act("pain", n, n, "plain"))}</div>` };
  return {
    title: "Thank you for saying it",
    body: h`<p>${hurts(pain) ? STOPPED : "Stop if it grows. Your coach will see it."}</p><form id="f">${field("Where", h`<input name="where" list="places" maxlength="60" value="${pain.where}">`)}<datalist id="places">${PLACES.map((p) => h`<option>${p}`)}</datalist>
<fieldset><legend>Is it any of these?</legend>${Object.entries(SIGNS).map(([k, v]) => tick("checkbox", "signs", k, v, pain.signs.includes(k)))}</fieldset><fieldset><legend>New or known?</legend>${tick("radio", "new", 1, "New", pain.new)}${tick("radio", "new", "", "Known", !pain.new)}</fieldset>
${grade("lvl", "How much, 1 to 10", 0, pain.lvl)}${noteField(note)}</form>${hurts(pain) && stop}`,
    bar: saving("Save these words"),
  };
}

function awayScreen(kind) {
  const told = (state.week?.excused || []).filter(({ last }) => last >= today());
  return {
    title: MORE[kind],
    body: h`<p>Nothing is asked on these days. No reason is needed.</p><form id="f" data-away="${kind}">${date("first", "First day", today())}${date("last", "Last day", today())}</form>${list(told.map(({ first, last }) => h`${dayName(first)} to ${dayName(last)}${act("here", "Take it back", `${first} ${last}`, "plain")}`))}`,
    bar: saving(),
  };
}

const lastScreen = () => ({
  title: "For last week",
  body: h`<p class="quiet">Made up now, it counts for last week until your next lesson.</p>${list((lastWeek(state.week, today())?.parts || []).map(partRow("log")))}`,
});

function entryRow({ e, st, why }) {
  const fix = st === 2 && [!!(e.b || e.pain) && go(`change=${e.id}`, "Put it right"), act("discard", "Discard", e.id, "plain")];
  const edit = found(rootOf(e)) && e.at >= addDays(today(), -7) && (e.b || e.pain || e.note) && [go(`change=${rootOf(e)}`, "Change"), act("back", "Take it back", rootOf(e), "plain")];
  const where = ["Kept on this phone", "Your coach has it", h`<span class="look">Needs a look: ${why}</span>`][st];
  return h`<b>${entryName(e)}</b><br><span class="quiet">${dayName(e.day)} · ${where}</span><br>${e.note}<div class="two">${fix || edit || ""}</div>`;
}

const unsent = () =>
  state.rows.filter((r) => r.st !== 1).map(({ e }) => `${e.day} ${entryName(e)} ${e.note || ""}`).join("\n");

function entriesScreen() {
  const shown = own().slice(0, 60);
  const more = state.rows.filter((r) => r.st !== 1 && !shown.some(({ e }) => e.id === r.id));
  const old = state.rows.some((r) => r.st !== 1 && Date.now() - idTime(r.id) > 3 * 864e5);
  return {
    title: "What I logged",
    body: h`<p>${standing(state.rows, state.login)}. ${!!state.tried && `Last try at ${stamp(new Date(state.tried)).slice(11, 16)}.`}</p>${state.login && SIGN_IN}${old && h`<details><summary>Copy my unsent logs</summary><textarea readonly rows="6">${unsent()}</textarea></details>`}${list([...more, ...shown].map(entryRow))}${act("who", "Log for somebody else", "", "link")}`,
    bar: act("renew", "Send now"),
  };
}
