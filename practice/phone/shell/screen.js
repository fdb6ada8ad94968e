// Pages as text. Everything put into h`…` is escaped unless it came out of h`…` itself.

class Html extends String {}
const safe = (v) =>
  v instanceof Html ? v
  : Array.isArray(v) ? v.map(safe).join("")
  : String(v === false ? "" : v ?? "").replace(/[&<>"']/g, (c) => `&#${c.charCodeAt()};`);
const h = (parts, ...values) =>
  new Html(String.raw({ raw: parts }, ...values.map(safe)));

const many = (n, one) => `${n} ${one}${n === 1 ? "" : "s"}`;
/** "Sun 5 Nov", as the other pages write it. Not by the browser's locales: they take 30 ms to wake. */
const dayText = (day) => new Date(day).toUTCString().slice(0, 11).replace(/, 0?/, " ");
const dayName = (day) => (day === today() ? "Today, " : "") + dayText(day);
function stepName({ n, sets, each, u, e, back, label }) {
  const how = /max|full/.test(label) ? " as hard as you can" : e ? ` at ${e}\u00a0%` : "";
  const count = sets > 1 && sets * each === n ? `${sets} sets of ` : "";
  return `${back ? "then back: " : ""}${count}${count ? each : n}${u === "reps" && how ? "" : ` ${u}`}${how}`;
}
const doseName = (steps, rounds = 1) =>
  `${rounds > 1 ? `${rounds} rounds of: ` : ""}${steps.map((step) => stepName({ ...step, n: step.n / rounds })).join(", ")}`;

const act = (name, text, arg = "", kind = "") =>
  h`<button type="button" class="${kind}" data-do="${name}" data-arg="${arg}">${text}</button>`;
const go = (hash, text) => h`<a class="button plain" href="#${hash}">${text}</a>`;
const list = (items) => !!items.length && h`<ul>${items.map((x) => h`<li>${x}</li>`)}</ul>`;

/** What is left of a part, and on which days and where that is meant to be. */
const whenOf = (p) => [leftWords(p), ...(p.more && !p.halted ? p.days.map((d) => `${dayName(d)} ${p.at?.[d] || ""}`) : [])].join(" · ");
const cueOf = ({ cue }) => !!cue && h`<p class="cue">“${cue}”</p>`;
/** Neither left nor done is what was excused. */
const leftWords = ({ halted, more, now, past }) =>
  halted || !(more || now) ? "Nothing asked now" : more ? `${many(more, "visit")} left ${past ? "of last" : "this"} week` : `Done for ${past ? "last" : "this"} week`;

/** A part: what to do, in whose words, and how much is left. */
function partSheet(p) {
  return h`<article class="sheet"><p class="quiet">Part ${p.priority} · ${Math.ceil(p.minutes)} min</p><h2>${p.name}</h2>${cueOf(p)}<p class="dose">${doseName(p.steps, p.rounds)}</p><p>${p.note}</p>${extra.part?.(p)}${p.halted && h`<p class="care">${p.stopped || STOPPED}</p>`}<p class="quiet">${whenOf(p)}${p.total && ", any day, any split"}</p>${extra.how?.(p)}</article>`;
}

const partRow = (to, day = "") => (p) =>
  h`<a href="#${to}=${p.id}${day && `,${day}`}"><b>${p.priority}. ${p.name}</b><br>${doseName(p.steps, p.rounds)}<br><span class="quiet">${whenOf(p)}</span></a>`;

const STOPPED = "This part stops until your coach has looked. Today counts as done, what is left is excused.";
const own = () => chains(state.week, state.rows, state.me.id);
const planOf = (w) => (w ? plan(state.week, w, own(), today(), extra.counted) : []);
const partsNow = () => planOf(thisWeek(state.week, today()));


function weekScreen(arg) {
  const { week, rows } = state;
  if (!state.me || state.asks) return extra.welcome?.() || comes();
  const parts = partsNow();
  const p = parts.find(({ id }) => id === arg) || parts[0];
  const w = thisWeek(week, today());
  const after = extra.after?.() || "";
  if (!p) return { title: "This week", body: h`${!!week && extra.top?.()}<p>${week ? "No week has been sent for today." : "Your week comes with the next signal."} What you practise can be logged all the same.</p>${after}`, left: go("other", "Other practice") };
  // What is stopped is not to be done: nothing of it needs to be read first.
  const open = p.halted ? [] : unread(p, week, rows);
  const most = extra.isAway?.(today()) ? 0 : Math.max(...parts.map((x) => (x.halted ? 0 : x.more)));
  const closes = w.closes === today() ? "last day of this week" : `until ${dayName(w.closes)}`;
  const saved = loggedOn(p, own(), today());
  const main = p.halted ? h`<p class="inert">Stopped: nothing to log here</p>`
    : open.length ? act("wait", "Read the caution first", "read", "inert")
    : saved ? act("wait", "Saved", "", "inert")
    : extra.instead?.(p) || act("asked", "Done as asked", p.id);
  return {
    title: "This week",
    body: h`<p class="quiet">${dayName(today())} · ${most ? `at least ${many(most, "visit")} left` : "nothing more is asked"} · ${closes}</p>${extra.top?.()}<p>${w.note}</p>
${p.cautions.filter((id) => open.includes(id) || state.justRead.has(id)).map((id) => h`<section class="sheet caution"><h2>Before you start</h2><p>${week.cautions[id].text}</p>${open.includes(id) ? act("read", "Understood", id) : h`<p class="quiet">You understood this</p>`}</section>`)}${saved && !p.halted && extra.saved?.(p, w, parts)}${partSheet(p)}
${parts.length > 1 && h`<h2>Also this week</h2>`}${list(parts.filter((x) => x !== p).map(partRow("part")))}${extra.days?.(w, parts)}${after}`,
    main,
    left: p.halted || open[0] ? go("entries", "What I logged") : go(`log=${p.id}`, saved ? "Log more" : "Did part"),
    part: p.id,
  };
}

/** The part a block belongs to, and its week. */
const partAt = (id) => {
  for (const w of state.week?.weeks || []) for (const part of w.parts) if (part.id === id) return { part, w };
  return {};
};

/** Everything an entry says that was done, part by part. */
function entryName(e) {
  if (!e.b?.length) return extra.word?.(e) || "Note";
  return e.b.map((block) => {
    const count = sum((block.s || []).map((s) => s.n)) || block.balls;
    const name = partAt(block.p).part?.name || extra.nameOf?.(block) || "Practice";
    return [name, count && `${count} done`, block.min && `${Math.floor(block.min)} min`].filter(Boolean).join(", ");
  }).join("; ");
}
