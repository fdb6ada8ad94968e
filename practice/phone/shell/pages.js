// What stands round the part: the week by day, what a save brought, the other ways, pain, what was kept.

const OTHER = { range: "Range balls", round: "Round", group: "Group session", lesson: "Lesson", other: "Something else" };
const WAYS = { words: "From my coach", ask: "Ask my coach", several: "Several parts at once", short: "I have 15 minutes", card: "Look up a distance", away: "I’m away", unwell: "Unwell", last: "For last week", other: "Other practice", remind: "Remind me on this phone", entries: "What I logged" };

/** The seven ruled days: what is meant when and where, and what is done. A tap logs for that day. */
function byDay(w, parts) {
  const done = own().filter(({ st }) => st !== 2).map(({ e }) => e);
  const name = (b) => parts.find(({ id }) => id === b.p)?.name || state.week.drills[b.d] || OTHER[b.w];
  const rows = [0, 1, 2, 3, 4, 5, 6].map((n) => {
    const day = addDays(w.opens, n);
    const did = done.filter((e) => e.day === day).flatMap((e) => (e.b || []).map(name));
    const meant = parts.filter((p) => p.days.includes(day) && (day < today() || (p.more && !p.halted))).map((p) => [p.name, p.at?.[day]].filter(Boolean).join(" "));
    const words = [isAway(day) && "Excused", did.length > 0 && h`<b>Done: ${[...new Set(did)].join(", ")}</b>`, meant.filter((m) => !did.includes(m)).join(", ")];
    const text = h`<span>${dayText(day).slice(0, 3)} ${+day.slice(8)}</span><span>${words.filter((x) => `${x || ""}`).map((x, i) => h`${!!i && " · "}${x}`)}</span>`;
    // The name says the whole date: the row has room for less.
    return day > today() ? h`<a href="#day=${day}" class="quiet">${text}</a>` : h`<a href="#day=${day}" aria-current="${day === today() && "date"}">${text}</a>`;
  });
  return h`<h2>This week by day</h2><p class="quiet">Tap a day to log for it.</p><div class="days">${list(rows)}</div>`;
}

/** What a button is about, for who hears its name without seeing where it stands. */
const about = (words) => h`<span class="about">: ${words}</span>`;

/** Days on which nothing is asked: what the server knew, and what this phone has told since. */
function excused() {
  const { excused: known = [], have = [] } = state.week || {};
  return state.rows.reduce((spans, { e, st }) => {
    if (e.k !== "away" || e.who !== state.me.id || st === 2 || have.includes(e.id)) return spans;
    const others = spans.filter(({ first, last }) => first !== e.first || last !== e.last);
    return e.off ? others : [...others, { first: e.first, last: e.last }];
  }, known);
}
const isAway = (day) => excused().some(({ first, last }) => first <= day && day <= last);
const spanName = ({ first, last }) => (first === last ? dayName(first) : `${dayName(first)} to ${dayName(last)}`);
/** Days away that are not over, each with what takes it back. */
const awayRows = () => list(excused().filter(({ last }) => last >= today()).map((span) => h`<b>Excused</b><br><span class="quiet">${spanName(span)}</span>${act("here", h`Take it back${about(spanName(span))}`, `${span.first} ${span.last}`, "plain")}`));

/** After midnight it is still the day before: late practice belongs to its evening. */
const lateWords = () =>
  stamp(new Date()).slice(0, 10) > today() && h`<p>Until 03:00 it is ${dayText(today())}.</p>`;

/** What the clock is off by, in words; nothing below ten minutes. */
function clockWords(skew) {
  const min = Math.round(Math.abs(skew) / 6e4);
  if (min <= 10) return "";
  const much = min < 120 ? many(min, "minute") : min < 2880 ? many(Math.round(min / 60), "hour") : many(Math.round(min / 1440), "day");
  return `This phone’s clock is ${much} ${skew > 0 ? "behind" : "ahead"}. Set it right, or days will be wrong.`;
}

/** From the second day on: what waits is on this phone and nowhere else. */
function waitWords(waiting, now) {
  const first = Math.min(...waiting.map(({ id }) => idTime(id)));
  if (!(now - first > 2 * 864e5)) return "";
  return `${many(waiting.length, "log")} wait${waiting.length === 1 ? "s" : ""} on this phone. Open this page where there is signal.`;
}


/** A number of sessions as it is said: one place behind the point, and none where it is whole. */
const amount = (n) => `${Math.floor(n * 10 + 1e-6) / 10}`;

function countedWords(p, w) {
  const added = addedOn(p, w, own(), today());
  return added > 0.999 ? "Today counts as a whole visit." : added > 0 ? `Today counts as ${Math.floor(added * 100)} % of a visit.` : "Today is kept. It adds nothing to what was asked.";
}
/** After the save: what counted, what holds now and what is next. Nothing is praised that was not done. */
function savedWords(p, w, parts) {
  const next = parts.find((x) => x.open && x !== p);
  const held = heldOf(p);
  const blocks = counting(own()).filter((e) => e.day === today()).flatMap((e) => (e.b || []).filter((b) => b.p === p.id));
  return h`<section class="sheet"><p><b>${countedWords(p, w)}</b></p><p>Done of this part: ${amount(p.now)} of ${many(+amount(p.asked), "visit")}.</p>${held.length ? held : h`<p>${notYet(p, blocks)}</p>`}<p>${next ? h`Next: <a href="#part=${next.id}">${next.name}</a>` : "Nothing else is asked today."}</p>${workBar(parts)}</section>${homeWords() || remindWords()}`;
}

/** What holds now and what the tests say of it: as the server said it last. */
const heldOf = ({ holds, moved }) => [holds, moved].filter(Boolean).map((words) => h`<p>${words}</p>`);

/** The work of the week as one bar: the outline is what is asked, the hatching what is done. */
function workBar(parts) {
  // Rounded down, as every page says what is asked and done.
  const minutes = (of) => Math.floor(sum(parts.map((p) => of(p) * p.minutes)) + 1e-6);
  const asked = minutes((p) => p.asked);
  const done = minutes((p) => Math.min(p.asked, p.now));
  if (!asked) return "";
  return h`<svg viewBox="0 0 320 22" aria-hidden="true"><defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse"><path d="M0 6L6 0"/></pattern></defs><rect class="done" x="1" y="5" width="${(318 * done) / asked}" height="14"/><rect x="1" y="5" width="318" height="14"/></svg><p class="quiet">${many(done, "minute")} of ${asked} asked this week are done.</p>`;
}

/** Whose words they are: a parent reads them as the child's. */
const you = () => (state.week?.childOf ? state.me.name : "You");
/** What an entry without practice is called. */
function wordOf({ k, pain, note, first, last, off }) {
  if (pain) return `Something hurts: ${painText(pain)}`;
  if (k === "away") return `${off ? "Not away after all" : "Excused"}: ${spanName({ first, last })}`;
  return { read: "Understood", back: "Taken back" }[k] || (note?.includes("?") ? "Question" : "Note");
}
const painText = ({ where, lvl, signs }) => [where, `${lvl} of 10`, ...signs.map((sign) => (SIGNS[sign] || sign).toLowerCase())].filter(Boolean).join(", ");

/** Pain that is not for a coach alone. The server says the same (practice.care.rules). */
const isGrave = ({ lvl, signs }) => lvl >= 9 || signs.includes("numb");
const GRAVE = h`<section class="care"><h2>This needs help now</h2><p>Stop, and call your local emergency services. Tell somebody near you.</p></section>`;

/** Pain that was told and that nobody has looked at: of today, or what still stops something. */
const painNow = () =>
  own().filter(({ e, st }) => st !== 2 && e.pain && e.note !== MISTAP && (e.day === today() || (hurts(e.pain) && (!state.week?.have.includes(e.id) || state.week.stops?.some((since) => since <= e.day)))));
const stoppedNow = () => partsNow().filter(({ halted }) => halted).map(({ name }) => name);
/** What waits for the coach, in the words of the part and of the receipt. */
const waitsWords = () => {
  const names = stoppedNow();
  return names.length > 0 && h`<p>Not for now, until your coach has looked: ${names.join(", ")}, and all hard swings.</p>`;
};
const gotWords = (row) => [
  "Your coach does not know yet: it is still on this phone. Do not wait for signal, phone.", "Your coach has it.", `Needs a look: ${row?.why}`,
][row?.st ?? 1];
const painTop = () => painNow().map((row) => h`<section class="sheet">${isGrave(row.e.pain) && row.e.day === today() && GRAVE}<p><b>${you()} said what hurts: ${painText(row.e.pain)}. ${dayName(row.e.day)}.</b></p>${hurts(row.e.pain) && waitsWords()}<p class="quiet">${gotWords(row)}</p>${go(`change=${rootOf(row.e)}`, "Say more of it")}</section>`);

/** What stands outside the screen that is drawn, and in a form that is not drawn anew. */
function told() {
  draw("#clock", h`${clockWords(state.skew || 0) || waitWords(state.rows.filter(({ st }) => st === 0), Date.now())}`);
  paintUndo();
  graver();
  if ($("#coach")) place("#coach", h`${gotWords(changing(here()[1]).row)}`);
}

const AT_ONCE = ["Chest pain or fainting", "Short of breath at rest", "A blow to the head", "A sudden severe headache", "Loss of feeling", "Trouble with sight or bladder"];
const STOP = h`<section class="care"><h2>Stop this part now. Nothing is lost by saying so.</h2><p>Stop, and call your local emergency services for any of these:</p>${list(AT_ONCE)}</section>`;

/** Two taps say it: this one, and how much. The part it came from is what it is in, unless told otherwise. */
function painScreen(id) {
  const parts = partsNow();
  const { part } = partAt(id);
  // Of last week: if the same drill is asked now, it is that one.
  const meant = parts.find((p) => p.id === id) || (part && (parts.find((p) => p.drill === part.drill) || part));
  const chosen = meant?.id;
  if (meant && !parts.includes(meant)) parts.push(meant);
  const choice = (value, text) => h`<label class="tick"><input type="radio" name="in" value="${value}" ${(chosen || "") === value && "checked"}>${text}</label>`;
  return {
    title: "Something hurts",
    body: h`<fieldset id="in"><legend>In which drill?</legend>${parts.map((p) => choice(p.id, p.name))}${choice("", "Something else")}</fieldset><h2 id="q">How much, 1 to 10?</h2><div class="tens" role="group" aria-labelledby="q">${TENS.slice(1).map((n) => act("pain", n, n, "plain"))}</div><p class="quiet">1 is hardly there, 10 is the worst you know. One tap tells your coach.</p>${STOP}`,
    main: h`<p class="care help">Very bad or numb: call for help now</p>`,
    left: go(chosen ? `part=${chosen}` : "", "Leave it"),
    pain: true,
  };
}

/** What was kept, when the form it came from is gone. Its bar does nothing. */
function savedScreen(id) {
  const row = state.rows.find((r) => r.id === id && r.e.who === state.me.id);
  const { e } = row || { e: {} };
  const gone = "log change".includes(e.k) && !found(rootOf(e));
  const parts = partsNow();
  const did = gone || e.day !== today() ? [] : parts.filter((p) => !p.halted && e.b?.some((b) => b.p === p.id));
  const w = did.length > 0 && partAt(did[0].id).w;
  return { title: gone ? "Taken back" : "Kept", body: h`${!!e.pain && isGrave(e.pain) && GRAVE}<div class="sheet"><p><b>${row && entryName(e)}</b></p>${!!e.day && e.k !== "away" && h`<p class="quiet">${dayName(e.day)}</p>`}${!!e.pain && h`${hurts(e.pain) && waitsWords()}<p role="status">${gotWords(row)}</p>`}</div>${did.length > 1 ? h`<section class="sheet">${did.map((p) => h`<p><b>${p.name}:</b> ${countedWords(p, w)}</p>`)}${workBar(parts)}</section>` : did.map((p) => savedWords(p, w, parts))}`, main: act("wait", "Saved", "", "inert"), left: go("entries", "What I logged") };
}

/** Under the week: what else can be said, words of the coach, and the pages that need signal. */
function after() {
  const { pages = [] } = state.week || {};
  return h`<h2>More to do here</h2><div class="links">${Object.entries(WAYS).map((x) => go(...x))}</div>${pages.length > 0 && h`<h2>Your pages</h2><p class="quiet">These need signal.</p>`}${[...new Set(pages.map(({ of }) => of))].map((of) => h`<h3>${of}</h3><div class="links pages">${pages.filter((page) => page.of === of).map(({ text, at }) => h`<a href="${at}">${text}</a>`)}</div>`)}`;
}

const isUnread = (p) => unread(p, state.week, state.rows).length > 0;
/** Parts that cannot be ticked yet are named, or somebody looks for them in vain. */
const toRead = (parts) => {
  const waiting = parts.filter(isUnread);
  return waiting.length > 0 && h`<div class="links">${waiting.map((p) => go(`part=${p.id}`, `${p.name}: read before you start`))}</div>`;
};

/** Where a list of what is asked has nothing in it. */
const NOTHING = h`<p>Nothing more is asked today. More is welcome.</p><div class="links">${go("other", "Other practice")}</div>`;

DO.pain = (lvl) => {
  const pain = { lvl: +lvl, where: "", signs: [], new: true, p: $("[name=in]:checked").value || null };
  return commit("log", { pain }, "Kept.", "change");
};

/** Until somebody has answered what a coach asks before the first week, or that is there. */
const asksWords = () => !!state.week.asks && !state.week.weeks.length && h`<p><a class="button plain" href="${state.week.asks}">Six questions before your first week</a></p>`;

Object.assign(SCREENS, { hurts: painScreen, saved: savedScreen });
Object.assign(extra, {
  after, top: () => h`${painTop()}${lateWords()}${insideApp()}${asksWords()}${newWords()}${isAway(today()) && h`<p>Today is excused. Nothing is asked.</p>`}`, counted: tallied, days: byDay, saved: savedWords, isAway,
  nameOf: ({ p, d, w }) => state.week?.names?.[p] || state.week?.drills[d] || OTHER[w],
  word: wordOf, told,
});
