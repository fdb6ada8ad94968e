// The forms: what was done in counts, other practice, days away, pain in words. And their drafts.

const option = (value, text, chosen) =>
  h`<option value="${value}" ${chosen === value && "selected"}>${text}</option>`;
const field = (label, input) => h`<label class="field">${label}${input}</label>`;
const tick = (kind, name, value, text, on) =>
  h`<label class="tick"><input type="${kind}" name="${name}" value="${value}" ${!!on && "checked"}>${text}</label>`;
const date = (name, label, value, limits = "") =>
  field(label, h`<input type="date" required name="${name}" value="${value}" ${limits}>`);
const noteField = (note) => field("Note", h`<textarea name="note" maxlength="2000" rows="2">${note}</textarea>`);
const TENS = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10];
const grade = (name, text, chosen) =>
  field(text, h`<select name="${name}"><option value="">not said${TENS.map((n) => option(n, n, chosen))}</select>`);

/** The day of a log. What nobody chose is today, also if the day turns while the form is open. */
const dayField = (day) =>
  date("day", "Day", day, h`max="${today()}" min="${addDays(today(), -59)}" ${day === today() && "data-now"}`);
const isChosen = ({ dataset, value, defaultValue }) => dataset.now === undefined || value !== defaultValue;

function counter(name, label, value, of) {
  const whole = [label, of].filter(Boolean).join(", ");
  const step = (by, sign, word) =>
    h`<button type="button" class="plain step" data-do="add" data-arg="${by}" aria-label="${whole}: one ${word}">${sign}</button>`;
  return h`<div class="count"><label for="${name}">${label}</label><span>${step(-1, "−", "less")}<input id="${name}" name="${name}" inputmode="decimal" autocomplete="off" value="${value}">${step(1, "+", "more")}</span></div>`;
}

/** The rows of one step: done, clean, and rep by rep for who wants it. */
function stepRows(step, i, part, { n, c, e } = {}, stop) {
  const timed = step?.u === "min";
  const name = step && stepName(step);
  const of = name && about(name);
  return h`<fieldset><legend>${name || "Done"}</legend>${counter(`n${i}`, timed ? "Minutes" : "Done", n, name)}
${!timed && counter(`c${i}`, "Clean", c, name)}${!timed && h`<details><summary>Rep by rep, effort${of}</summary><div class="two">${act("tally", h`Clean${of}`, `${i}1`)}${act("tally", h`Not clean${of}`, `${i}0`, "plain")}</div>${act("tally", h`Take the last one back${of}`, `${i}-`, "link")}<input type="hidden" name="t${i}">${counter(`e${i}`, "Effort, %", e, name)}</details>`}
${!!(part?.stop && i && !step.back) && tick("checkbox", "stop", i, h`Back to the step below${of}`, stop)}</fieldset>`;
}

const RULED = "Do the return set at the step below. Put 0 where nothing was done, and save: it counts in full.";
const rest = (e, b) =>
  h`${counter("min", "Minutes", b.min)}${grade("felt", "How hard it felt, 0 to 10", e.felt)}${noteField(e.note)}${dayField(e.day)}`;

/** The form of one block: a part as it was asked, or an entry as it stands. */
function form(e, b) {
  const { part } = partAt(b.p);
  const steps = part?.steps || b.s;
  // A stop that was kept does not say at which step: it stands at the last one that has a rule.
  const last = steps.reduce((found, step, i) => (i && !step.back ? i : found), 0);
  return h`<form id="f"><h2>${part?.name}</h2>${part && cueOf(part)}${!!part?.clean && h`<p class="quiet">Clean: ${part.clean}</p>`}
${part?.swaps.length > 0 && field("What you did", h`<select name="d"><option value="">${part.name}${part.swaps.map((id) => option(id, `Did a swap: ${state.week.drills[id]}`, b.d))}</select>`)}
${steps.map((s, i) => stepRows(part && s, i, part, b.s[i], b.stop && i === last))}<p role="status" id="ruled">${!!b.stop && RULED}</p>${rest(e, b)}</form>`;
}

function otherForm(e, b) {
  const kinds = { ...OTHER, ...state.week?.drills };
  return h`<form id="f" data-other="1">${field("What it was", h`<select name="what">${Object.entries(kinds).map(([k, v]) => option(k, v, b.d || b.w))}</select>`)}${counter("balls", "Balls or reps", b.balls ?? b.s?.[0]?.n)}${counter("hard", "Hard swings", b.hard)}${rest(e, b)}</form>`;
}

const saving = (text = "Save") => h`<button form="f">${text}</button>`;
const leave = (to = "") => go(to, "Leave it");
const otherScreen = (day = today()) => ({ title: "Other practice", body: otherForm({ day }, {}), main: saving(), left: leave() });

/** A part's form, for today or for the day that was tapped. */
function logScreen(arg = "") {
  const [id, day = today()] = arg.split(",");
  const { part, w } = partAt(id);
  if (!part) return weekScreen();
  const title = w.closes < day ? "For last week" : "Log it";
  const kept = day === today() && begunOf(id);
  const b = { ...blockOf(part, w, day), ...(kept && { s: stepsDone(part.steps, setsOf(part), kept) }) };
  return { title, body: h`<p class="quiet">${kept ? "Filled in as you counted it." : "Filled in as asked."} Change what was different.</p>${form({ day }, b)}`, main: saving(), left: leave(`part=${id}`), part: id };
}

/** One block of an entry; the others of the same visit are one tap away. */
function changeScreen(arg) {
  const { row, b, at } = changing(arg);
  if (!row) return SCREENS.entries();
  const { e } = row;
  if (!b) return painWords(e);
  const others = e.b.map((x, i) => i !== at && go(`change=${rootOf(e)},${i}`, entryName({ b: [x] })));
  return { title: "Change it", body: h`${b.p ? form(e, b) : otherForm(e, b)}${others.some(Boolean) && h`<h2>Also of this visit</h2><div class="links">${others}</div>`}`, main: saving(), left: leave("entries"), part: b.p };
}

/** What is being changed: the row, the block of it, and where in the entry that stands. */
function changing(arg = "") {
  const [root, at = 0] = arg.split(",");
  const row = found(root);
  return { row, at: +at, b: row?.e.b?.[+at] };
}

const SIGNS = { sharp: "Sharp", spreading: "Spreading", tingling: "Tingling", numb: "Numb", weak: "Weak", night: "At night", changes_swing: "Changes the swing" };
const PLACES = ["Lower back", "Neck", "Shoulder", "Elbow", "Lead wrist", "Trail wrist", "Hip", "Knee"];

const MISTAP = "It was a mis-tap: nothing hurts.";

function painWords({ id, pain, note }) {
  return {
    title: "Thank you for saying it",
    body: h`<div id="grave" role="alert"></div><p>${partAt(pain.p).part && h`In <b>${partAt(pain.p).part.name}</b>, `}${pain.lvl} of 10. ${hurts(pain) ? STOPPED : "Stop if it grows."}</p><p id="coach" role="status"></p>${hurts(pain) && STOP}<form id="f">${field("Where", h`<input name="where" list="places" maxlength="60" value="${pain.where}">`)}<datalist id="places">${PLACES.map((p) => h`<option>${p}`)}</datalist>
<fieldset><legend>Is it any of these?</legend>${Object.entries(SIGNS).map(([k, v]) => tick("checkbox", "signs", k, v, pain.signs.includes(k)))}</fieldset><fieldset><legend>New or known?</legend>${tick("radio", "new", 1, "New", pain.new)}${tick("radio", "new", "", "Known", !pain.new)}</fieldset>
${grade("lvl", "How much, 1 to 10", pain.lvl)}${noteField(note)}</form>${note !== MISTAP && act("mistap", "It was a mis-tap", id, "plain")}`,
    main: saving("Save these words"),
    left: go("", "This week"),
    pain: true,
  };
}

function awayScreen(kind, day = today()) {
  return {
    title: state.week?.childOf ? `${state.me.name} is ${kind}` : WAYS[kind],
    body: h`<p>Nothing is asked on these days. ${kind === "away" ? "No reason is needed." : "You need not say what it is."}</p><form id="f" data-away="${kind}">${date("first", "First day", day)}${date("last", "Last day", day)}</form>${awayRows()}`,
    main: saving(),
    left: leave(),
  };
}

const lastWeek = (week, day) => week?.weeks.filter((w) => w.closes < day).at(-1);
const inOrder = (parts) => [...parts].sort((a, b) => a.priority - b.priority);
/** What is left of last week. It can be made up on the day after it, and told late for its own days. */
function lastScreen() {
  const w = lastWeek(state.week, today());
  const grace = w && addDays(w.closes, 1) === today();
  const words = !w ? "Nothing was sent for last week."
    : grace ? "Made up today, it counts for last week."
    : `Last week is over. What was done until ${dayName(w.closes)} still counts: tap its part, then choose its day.`;
  const rows = inOrder(planOf(w)).map((p) => partRow("log", grace || !w ? "" : w.closes)({ ...p, past: true }));
  return { title: "For last week", body: h`<p class="quiet">${words}</p>${list(rows)}`, main: go("", "This week"), left: go("other", "Other practice") };
}

/** One of the seven days: what is logged of it, and what can be. */
function dayScreen(day) {
  const of = own().filter(({ e }) => e.day === day);
  const w = state.week?.weeks.find(({ opens, closes }) => opens <= day && day <= closes);
  const come = day <= today();
  const parts = inOrder(planOf(w)).filter((p) => !p.halted);
  // Before practice a caution is read. What is over is only written down.
  const waiting = parts.filter((p) => day === today() && isUnread(p));
  return {
    title: dayName(day),
    body: h`${list(of.map(entryRow)) || h`<p>${come ? "Nothing is logged for this day." : "This day has not come yet."}</p>`}${come && h`<h2>Log for this day</h2>${list(parts.filter((p) => !waiting.includes(p)).map(partRow("log", day)))}${toRead(waiting)}<div class="links">${go(`other=${day}`, "Other practice")}</div>`}`,
    main: go("", "This week"),
    left: day >= today() ? go(`away=${day}`, "I’m away") : go("entries", "What I logged"),
  };
}

/** What was typed survives a call, a dead battery and a reload, until the day turns. */
function draft() {
  if (!$("#f")) return;
  const fields = [...new FormData($("#f"))].filter(([name]) => name !== "day");
  write((log, kv) => kv.put({ at: location.hash, day: today(), fields }, "draft")).catch(() => {});
}

async function restore() {
  const kept = $("#f") && (await read((log, kv) => kv.get("draft")).catch(() => null));
  if (kept?.at !== location.hash || kept.day !== today() || !$("#f")) return;
  for (const input of $("#f").elements) {
    const { name, type } = input;
    if (!name || name === "day" || input === document.activeElement) continue;
    const values = kept.fields.filter(([n]) => n === name).map(([, value]) => value);
    if (/checkbox|radio/.test(type)) input.checked = values.includes(input.value);
    else if (values.length) input.value = values[0];
  }
  ruled();
}

/** The words for an emergency come with the sign that asks for them, before anything is saved. */
function graver() {
  const f = $("#grave") && $("#f");
  if (f) place("#grave", h`${isGrave({ lvl: +f.elements.lvl.value, signs: new FormData(f).getAll("signs") }) && GRAVE}`);
}

/** Words and flag of the stop rule are one: there is no flag without its words. */
function ruled() {
  if ($("#ruled")) $("#ruled").textContent = $("[name=stop]:checked") ? RULED : "";
}

/** The day has turned: what nobody chose is today's now. */
function turned() {
  const input = $("#f")?.elements.day;
  if (!input || isChosen(input) || input.value === today()) return;
  input.max = input.value = input.defaultValue = today();
}

const number = (text) => {
  const n = parseFloat(String(text ?? "").replace(",", "."));
  return n >= 0 ? n : undefined;
};

/** Why nothing was kept, at the place that has to change. */
function refuse(words, place) {
  place?.focus();
  say(words);
}

/** The day a form is for, or nothing if it has none. */
const dayOf = (f) => f.elements.day && (isChosen(f.elements.day) ? f.elements.day.value : today());

/** A form as a document. `was` is the entry it changes, if any. What is not said is left out. */
function documentOf(data, f, was) {
  const [, arg] = here();
  const whole = (key) => number(data.get(key)) && Math.round(number(data.get(key)));
  const text = (key) => data.get(key)?.trim() || undefined;
  const body = { day: dayOf(f) || was?.day, felt: whole("felt"), note: text("note"), pain: was?.pain };
  const min = number(data.get("min"));
  if (data.has("where")) {
    body.pain = { ...was.pain, lvl: whole("lvl") ?? was.pain.lvl, where: text("where") || "", signs: data.getAll("signs"), new: !!data.get("new") };
    return body;
  }
  const { b: old, at } = changing(was && arg);
  const inPlace = (block) => ({ ...body, b: old ? was.b.map((x, i) => (i === at ? block : x)) : [block] });
  if (f.dataset.other) {
    const [what, balls, hard] = [data.get("what"), whole("balls"), whole("hard")];
    return inPlace(OTHER[what] ? { w: what, balls, hard, min } : { d: what, s: balls ? [{ n: balls }] : [], hard, min });
  }
  const { part, w } = partAt(old?.p || arg.split(",")[0]);
  const base = part ? blockOf(part, w, body.day) : old;
  const s = base.s.map((_, i) => {
    const n = whole(`n${i}`) || 0;
    return { n, c: whole(`c${i}`), e: whole(`e${i}`) || undefined };
  });
  // Counted by hand is not 'as asked', even if the counts are the same.
  const block = { ...base, d: text("d"), s, min, as: undefined, stop: data.has("stop") || undefined };
  if (old) Object.assign(block, { last: old.last, t: old.t, g: old.g });
  return inPlace(block);
}

function submitted(event) {
  event.preventDefault();
  const f = event.target;
  const data = new FormData(f);
  const [name, arg] = here();
  if (f.dataset.away) {
    const [first, last] = [data.get("first"), data.get("last")];
    if (last < first) return refuse("The last day comes before the first. Change one of them.", f.elements.last);
    return commit("away", { first, last, kind: f.dataset.away }, "Kept. Nothing is asked on these days.", "saved");
  }
  if (f.dataset.walk) return submitWalk(f, data);
  if (f.dataset.guess) return submitGuess(data);
  if (f.dataset.clip) return submitClip(f, data);
  if (f.dataset.ask !== undefined) return submitAsk(f, data);
  if (f.dataset.several) return submitSeveral(f, data);
  const { e, st } = (name === "change" && changing(arg).row) || {};
  const said = documentOf(data, f, e);
  const fault = faultOf(said, f);
  return fault ? refuse(...fault) : file(said, e, st);
}

const FAR_OVER = 3;
// The amounts that somebody was asked about, and saved again.
let sure = "";

/** What of a log cannot be, or is asked about once: the words, and their place. */
function faultOf({ b = [], felt, note, pain }, f) {
  const at = f.elements;
  const empty = ({ s = [], min, balls, hard, stop, shots, as }) => !(sum(s.map(({ n }) => n || 0)) || min || balls || hard || stop || shots || as);
  if (!pain && !note && felt === undefined && b.every(empty)) return ["Nothing is filled in yet. Say how many, or the minutes.", at.n0 || at.balls];
  for (const { p, s = [] } of b) {
    const i = s.findIndex(({ n, c }) => c > n);
    if (i >= 0) return [`Only ${s[i].n} were done, so ${s[i].c} cannot be clean.`, at[`c${i}`]];
    const { steps = [], sessions, total } = partAt(p).part || {};
    const asks = sum(steps.map(({ n }) => n)) * (total ? sessions : 1);
    const said = sum(s.map(({ n }) => n));
    if (asks && said > FAR_OVER * asks && sure !== `${p} ${said}`) {
      sure = `${p} ${said}`;
      return [`Really ${said}? ${asks} were asked. Save again if it is right.`, at.n0];
    }
  }
}

/** What of a document a form can change, as text: the order of its keys says nothing. */
const sense = ({ b, day, felt, note, pain }) =>
  JSON.stringify([b, day, felt, note, pain], (key, value) =>
    Object(value) === value && !Array.isArray(value)
      ? Object.fromEntries(Object.entries(value).filter(([k, x]) => k !== "as" && x !== "").sort())
      : value,
  );

/** A new document, a change of `e`, or `e` put right. A change that changes nothing is not written. */
function file(said, e, st) {
  // Through JSON, so that what is kept is what will be sent.
  const body = JSON.parse(JSON.stringify(said));
  if (!e) return commit("log", body, `Kept: ${entryName(body)}.`, "saved");
  if (st === 2) return commit(e.k, { ...body, ...(e.target && { target: e.target }) }, "Kept again, put right.", "saved", [e.id]);
  if (sense(body) === sense(e)) return nothingNew(e);
  return commit("change", { ...body, target: rootOf(e) }, "Change kept.", "saved");
}

function nothingNew(e) {
  moveTo(`saved=${e.id}`);
  say("Nothing was changed.");
}

DO.add = (by, button) => {
  const box = $("input", button.parentNode);
  // The first 'one less' of an uncounted clean starts from what was done.
  const start = box.name[0] === "c" && by < 0 ? $(`#n${box.name.slice(1)}`).value : 0;
  box.value = Math.max(0, (number(box.value || start) || 0) + +by);
};
DO.tally = (arg) => {
  const [, i, what] = arg.match(/(\d+)(.)$/);
  const part = (name) => $("#f").elements[name + i];
  const taps = what === "-" ? part("t").value.slice(0, -1) : part("t").value + what;
  part("t").value = taps;
  part("n").value = taps.length;
  part("c").value = taps.replaceAll("0", "").length;
  say(`${many(taps.length, "rep")}, ${part("c").value} clean`);
};
/** The coach reads it beside what was told. What stopped stays stopped until the coach has looked. */
DO.mistap = (id) => {
  const { e } = found(id);
  const { b, day, felt, pain } = e;
  return commit("change", { b, day, felt, pain, note: MISTAP, target: rootOf(e) }, "Kept. Your coach reads it and lifts the stop.", "saved");
};
DO.here = (days) => {
  const [first, last] = days.split(" ");
  return commit("away", { first, last, off: true }, "Taken back.", "saved");
};

document.addEventListener("submit", submitted);
document.addEventListener("input", () => {
  ruled();
  graver();
  draft();
});
document.addEventListener("click", ({ target }) => {
  if (target.closest("[data-do=add], [data-do=tally]")) draft();
});

Object.assign(SCREENS, {
  log: logScreen, change: changeScreen, last: lastScreen, other: otherScreen, day: dayScreen,
  away: (day) => awayScreen("away", day), unwell: (day) => awayScreen("unwell", day),
});
extra.turned = turned;
