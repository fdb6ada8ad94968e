// The practice screen: one part, set by set, a tap a rep, and the rests between. It leaves a finished log.

/** The session that is being walked: kept in both stores at every tap, until it is an entry. */
let walk = null;
let awake = null;
let audio = null;
let quiet = false;
let turning = 0;

const walkKey = (id) => `walk ${state.me.id} ${id}`;
const isWalking = (id) => walk?.key === walkKey(id) && !isOver(walk, id);
// What was begun on this phone, by its key: what it counts is not logged a second time.
const begun = new Map();
const keepWalk = () => {
  begun.set(walk.key, walk);
  return remember(walk.key, walk);
};

/** A walk ends with its day, with its own log, or with whatever was logged of its part since it began. */
const isOver = (kept, id) =>
  kept.day !== today() || state.rows.some((row) => row.id === kept.id) ||
  own().some(({ e, st }) => st !== 2 && rootOf(e) > kept.id && e.day === kept.day && (e.b || []).some(({ p }) => p === id) && state.rows.some((row) => row.id === rootOf(e)));

/** The walk of a part that is begun and not saved, if anything was counted. */
function begunOf(id) {
  const kept = begun.get(walkKey(id));
  return kept?.said.some(Boolean) && !isOver(kept, id) && kept;
}
async function findBegun() {
  for (const { id } of partsNow()) {
    const kept = await recall(walkKey(id)).catch(() => null);
    if (kept && !begun.has(kept.key)) begun.set(kept.key, kept);
  }
  if (begun.size) changed();
}
const minutesText = (seconds) => `${Math.floor(seconds / 60)}:${`${seconds % 60}`.padStart(2, "0")}`;

/** Bring back what was tapped today, or begin. */
async function resumeWalk(id) {
  const key = walkKey(id);
  const kept = await recall(key).catch(() => null);
  quiet = !!(await recall("quiet").catch(() => false));
  askedLast = (await recall(`guess ${state.me.id}`).catch(() => "")) || "";
  if (here()[1] !== id || isWalking(id)) return;
  // An entry that was kept just before the phone died is not walked twice.
  walk = kept && !isOver(kept, id) ? kept : { key, id: newId(), day: today(), began: Date.now(), said: [] };
  show();
}

function walkScreen(id) {
  const p = partsNow().find((part) => part.id === id);
  // A caution that is not read, or a stop, stands on the part's own page.
  if (!p || p.halted || unread(p, state.week, state.rows).length) return weekScreen(id);
  if (!isWalking(id)) {
    setTimeout(resumeWalk, 0, id);
    return { title: p.name, body: h`` };
  }
  if (p.test && !walk.warm) return protocol(p, act("warm", "I am warmed up"));
  const sets = setsOf(p);
  const k = current(sets, walk);
  if (k < 0) return walkedScreen(p, sets);
  const set = sets[k];
  const step = p.steps[set.i];
  const mayStop = p.stop && set.i > 0 && !step.back;
  // Only a rest and a time are heard.
  const sounds = !!p.rest || sets.some(({ timed }) => timed);
  const left = walk.between ? act("enough", "Finish here", "", "plain") : p.clean && !set.timed ? act("rep", "Not clean", "0", "plain") : "";
  return {
    title: p.name,
    kind: "walks",
    body: h`<div class="walk"><p class="dose">Set ${k + 1} of ${sets.length}${set.rounds > 1 && `, round ${set.round}`}: ${stepName({ ...step, n: set.n, label: step.label.replace(/^(back )?\d+x/, "$1") })}</p><div id="count" role="status"></div><p id="rest" role="timer"></p>${cueOf(p)}<div class="links">${act("unrep", "Take the last one back", "", "plain")}${mayStop && act("below", "Back to the step below", "", "plain")}</div>
${!!p.clean && h`<p class="quiet">Clean: ${p.clean}</p>`}${whyOf(p)}${clipFold(p)}<details><summary>Something else</summary><div class="links">${act("whole", "The rest of this set is done", "", "plain")}${act("enough", "Finish here", "", "plain")}${sounds && act("quiet", quiet ? "Sound is off" : "Sound is on", "", "plain")}${askedLast === "never" && act("askguess", "Ask me about minutes again", "", "plain")}</div></details>${howOf(p)}${!navigator.wakeLock && h`<p class="quiet">This browser cannot keep the screen on.</p>`}</div>`,
    main: walk.between ? act("begin", `Begin set ${k + 1}`) : set.timed ? act("time", walk.until ? "Done" : `Start ${many(set.n, "minute")}`) : act("rep", p.clean ? "Clean" : "Done", p.clean ? "1" : "."),
    left,
    part: p.id,
  };
}

/** A test begins with how it is done, and with a body that is warm. */
const protocol = (p, main) => ({
  title: p.name,
  body: h`<h2>Before the test</h2><p class="dose">${doseName(p.steps, p.rounds)}</p>${[["Set-up", p.setup], ["What counts", p.clean], ["Log", p.log]].filter(([, v]) => v).map(([k, v]) => h`<p><b>${k}:</b> ${v}</p>`)}${!!p.rest && h`<p><b>Rest:</b> ${many(p.rest, "second")} after each ball.</p>`}<p>Same place, ball and device as last time. Warm up first, up to the hardest swing you will make. At any pain, stop.</p>`,
  main,
  left: go(`part=${p.id}`, "Leave it"),
  part: p.id,
});

/** Minutes from the first to the last tap, where they can be those of this part. */
function clockOf(p) {
  const spent = Math.round(((walk.last || walk.began) - walk.began) / 6e4);
  return spent > 0 && spent <= 2 * p.minutes ? spent : undefined;
}

/** Once a fortnight, and only of who has not said no: the minutes as he would have written them. */
let askedLast = "";
const asksMinutes = (p, sets) =>
  walk.guess === undefined && !!clockOf(p) && sets.some((set) => !set.timed) && !walk.out?.length && isGuessDue();
const isGuessDue = () => {
  const since = addDays(today(), -13);
  return askedLast < since && !own().some(({ e }) => e.day >= since && e.b?.some(({ g }) => g));
};
const guessScreen = (p) => ({
  title: p.name,
  body: h`<h2>One question, once a fortnight</h2><p>How many minutes was this? Say it before you see the clock.</p><form id="f" data-guess="1">${counter("guess", "Minutes, by feel")}</form><p class="quiet">It shows how near your own minutes are. Nothing that counts changes.</p><div class="links">${act("guess", "Skip it", "", "plain")}${act("guess", "Do not ask again", "never", "plain")}</div>`,
  main: saving("Say it"),
  part: p.id,
});
const guessed = (guess, when = today()) => {
  askedLast = when;
  remember(`guess ${state.me.id}`, when);
  walk = { ...walk, guess };
  keepWalk();
  show();
};
DO.guess = (when) => guessed(0, when || today());
DO.askguess = () => {
  askedLast = "";
  remember(`guess ${state.me.id}`, "");
  show();
};
function submitGuess(data) {
  const said = number(data.get("guess"));
  return said ? guessed(said) : say("Say the minutes, such as 20, or skip it.");
}

/** What was walked, as it will be kept. */
function walkedScreen(p, sets) {
  if (asksMinutes(p, sets)) return guessScreen(p);
  const s = stepsDone(p.steps, sets, walk);
  const some = sum(s.map(({ n }) => n)) > 0;
  const rows = p.steps.map((step, i) => h`<b>${stepName(step)}</b><br>${s[i].n} done${s[i].c !== undefined && `, ${s[i].c} clean`}`);
  const called = p.targets?.length > 0 && h`<h2>By target</h2>${list(byTarget(p, walk).map(({ at, n, c }) => h`<b>${distance(at)}</b>: ${n} done${!!p.clean && `, ${c} clean`}`))}`;
  const min = clockOf(p) || p.minutes;
  return {
    title: p.name,
    body: h`<h2>${walk.out?.length ? "So far" : "All of it is done"}</h2>${walk.guess > 0 && h`<p>You said ${many(walk.guess, "minute")}. The clock says ${clockOf(p)}.</p>`}${!!walk.stop && h`<p>Back to the step below: it counts in full.</p>`}${list(rows)}${some && called}<div class="links">${act("unrep", "Take the last one back", "", "plain")}${walk.out?.length > 0 && act("goon", "Go on with it", "", "plain")}</div>${some && h`<form id="f" data-walk="${p.id}">${rest({ day: today() }, { min })}</form>`}`,
    main: some ? saving() : h`<p class="inert">Nothing is counted yet</p>`,
    left: go(`part=${p.id}`, "Leave it"),
    part: p.id,
  };
}

/** The walk as an entry: nothing more is to be filled in. */
async function submitWalk(f, data) {
  const id = f.dataset.walk;
  const { part, w } = partAt(id);
  const said = { id: walk.id, day: dayOf(f), felt: number(data.get("felt")), note: data.get("note").trim() || undefined };
  const block = { ...blockOf(part, w, said.day), s: stepsDone(part.steps, setsOf(part), walk), min: number(data.get("min")), t: clockOf(part), g: walk.guess || undefined, as: undefined, stop: walk.stop };
  const body = JSON.parse(JSON.stringify({ ...said, b: [block] }));
  const { key } = walk;
  await commit("log", body, `Kept: ${entryName(body)}.`, `part=${id}`);
  if (!state.rows.some((row) => row.id === said.id)) return;
  walk = null;
  await remember(key, null);
}

/** What a tap leaves: kept, drawn, and the last set's end not taken for a Save. */
function walked(next) {
  const p = partAt(here()[1]).part;
  const sets = setsOf(p);
  const before = current(sets, walk);
  walk = { ...next, last: Date.now() };
  keepWalk();
  if (current(sets, walk) < 0 && before >= 0) hold();
  show();
}

/** One tap a rep: a wet screen that says it twice is heard once. */
let tapped = 0;
const isTwice = () => {
  const now = performance.now();
  const twice = now - tapped < Math.min(250, TIMES.guard);
  if (!twice) tapped = now;
  else say("Two taps so close count as one.");
  return twice;
};

const walkedSets = () => setsOf(partAt(here()[1]).part);

Object.assign(DO, {
  warm: () => walked({ ...walk, warm: true, began: Date.now() }),
  rep: (letter) => {
    if (isTwice()) return;
    const { part } = partAt(here()[1]);
    wake();
    navigator.vibrate?.(20);
    walked({ ...rep(walkedSets(), walk, letter), ready: part.rest && Date.now() + part.rest * 1000 });
  },
  begin: () => walked({ ...walk, between: false, ready: 0 }),
  time: () => {
    if (isTwice()) return;
    wake();
    const sets = walkedSets();
    const set = sets[current(sets, walk)];
    if (!walk.until) return walked({ ...walk, until: Date.now() + set.n * 6e4 });
    const over = Math.round(set.n - (walk.until - Date.now()) / 6e4);
    endTimed(Math.min(set.n, over));
  },
  unrep: () => walked({ ...unrep(walkedSets(), { ...walk, out: [] }), until: 0, stop: undefined }),
  whole: () => walked({ ...wholeSet(walkedSets(), walk), until: 0 }),
  below: () => walked(stepBack(walkedSets(), partAt(here()[1]).part.steps, walk)),
  enough: () => walked({ ...walk, out: walkedSets().map((_, k) => k), until: 0 }),
  goon: () => walked({ ...walk, out: [], stop: undefined, between: false }),
  quiet: () => {
    quiet = !quiet;
    remember("quiet", quiet);
    wake();
    show();
  },
});

/** A timed set ended before its time is over at what was done. */
function endTimed(minutes) {
  const sets = walkedSets();
  const k = current(sets, walk);
  const said = [...walk.said];
  said[k] = `${minutes}`;
  walked({ ...walk, said, until: 0, between: true, out: minutes < sets[k].n ? [...(walk.out || []), k] : walk.out });
}

/** Sound is allowed from a tap on only. */
function wake() {
  audio ||= self.AudioContext && new AudioContext();
  audio?.resume();
}

/** A rest or a timed set is over: heard, felt, and read. */
function bell() {
  navigator.vibrate?.([200, 100, 200]);
  if (quiet || !audio) return;
  const tone = audio.createOscillator();
  tone.frequency.value = 880;
  tone.connect(audio.destination);
  tone.start();
  tone.stop(audio.currentTime + 0.25);
}

/** What changes with every tap and every second of the practice screen. */
function paintWalk() {
  clearTimeout(turning);
  stayAwake();
  if (!$("#count") || !walk) return;
  const p = partAt(here()[1]).part;
  const sets = setsOf(p);
  const set = sets[current(sets, walk)];
  const said = walk.said[sets.indexOf(set)] || "";
  const called = targetOf(p, walk);
  const clean = said.replaceAll(/[0.]/g, "").length;
  place("#count", set.timed ? "" : h`<p class="reps">${said.length} of ${set.n}${said && !said.includes(".") && p.clean && h` <span class="quiet">${clean} clean</span>`}</p>${called !== undefined && h`<p class="dose">Target ${distance(called)}</p>`}`);
  const ends = set.timed ? walk.until : walk.ready;
  const seconds = Math.ceil(((ends || 0) - Date.now()) / 1000);
  const was = $("#rest").textContent;
  const words = !ends ? "" : seconds > 0 ? `${set.timed ? "Time" : "Rest"}: ${minutesText(seconds)}` : set.timed ? "" : "Rested.";
  if (was !== words) $("#rest").textContent = words;
  if (ends && seconds <= 0) {
    if (set.timed) {
      bell();
      return endTimed(set.n);
    }
    if (was.startsWith("Rest:")) bell();
  } else if (ends) turning = setTimeout(paintWalk, 250);
}

/** The screen stays on while somebody practises, where the browser can. */
async function stayAwake() {
  const wants = !!$(".walk, [data-balls]") && !document.hidden;
  if (wants && !awake) {
    awake = navigator.wakeLock?.request("screen").catch(() => null);
    (await awake)?.addEventListener("release", () => (awake = null));
  } else if (!wants && awake) {
    const lock = await awake;
    awake = null;
    await lock?.release();
  }
}
document.addEventListener("visibilitychange", stayAwake);

/** Several parts of one visit, ticked and kept in one save. */
function severalScreen() {
  const open = partsNow().filter((p) => p.open);
  const parts = open.filter((p) => !isUnread(p));
  return {
    title: "Several parts at once",
    body: h`${parts.length > 0 ? h`<p>Tick what was done as asked.</p><form id="f" data-several="1">${parts.map((p) => tick("checkbox", "p", p.id, `${p.name}: ${doseName(p.steps, p.rounds)}`))}<details><summary>How it felt, note, day</summary>${grade("felt", "How hard it felt, 0 to 10")}${noteField("")}${dayField(today())}</details></form>` : !open.length && NOTHING}${toRead(open)}`,
    main: parts.length > 0 ? saving() : h`<p class="inert">Nothing to save</p>`,
    left: leave(),
  };
}

function submitSeveral(f, data) {
  const chosen = data.getAll("p");
  if (!chosen.length) return say("Tick a part first.");
  const day = dayOf(f);
  const b = chosen.map((id) => blockOf(partAt(id).part, partAt(id).w, day));
  return file({ day, felt: number(data.get("felt")), note: data.get("note").trim() || undefined, b });
}

Object.assign(SCREENS, { walk: walkScreen, several: severalScreen });
extra.part = (p) => {
  const may = !p.halted && !isUnread(p);
  // After a save they stand above it already.
  const isSaid = addedOn(p, partAt(p.id).w, own(), today()) > 0;
  return h`${whyOf(p)}${!isSaid && heldOf(p)}${clipOf(p)}${wordsOf(p)}<div class="links">${may && go(`${p.measures ? "balls" : "walk"}=${p.id}`, p.measures ? "Log it ball by ball" : "Practise it now")}${go(`ask=${p.id}`, "Ask about it")}${takes("film") && go(`clip=${p.id}`, "Send a clip")}</div>`;
};
extra.how = howOf;
/** What stands in the place of Done as asked: nothing is asked, or some of it is counted already. */
extra.instead = (p) => {
  if (isAway(today())) return h`<p class="inert">Excused today</p>`;
  const kept = begunOf(p.id);
  if (!kept) return "";
  const sets = setsOf(p);
  const n = sum(kept.said.map((said, k) => (sets[k]?.timed ? 0 : (said || "").length)));
  return h`<a class="button" href="#walk=${p.id}">${n ? `${n} counted` : "Begun"}: save them or go on</a>`;
};
/** With large text the buttons would cover the count: the surface shrinks, and then they stand under the page. */
const fit = () => {
  const beside = matchMedia("(orientation: landscape) and (max-height: 500px)").matches;
  const covers = () => $("footer").offsetHeight / innerHeight;
  document.body.classList.remove("tight");
  const count = $("#count");
  const isTight = !beside && !!count && count.offsetTop + count.offsetHeight + $("footer").offsetHeight > innerHeight;
  document.body.classList.toggle("tight", isTight);
  $("footer").classList.toggle("flow", covers() > (beside ? 1 : $(".walk") && !isTight ? 0.6 : 0.45));
};
addEventListener("resize", fit);

/** What follows each drawing of the page. */
extra.drawn = () => {
  // Who logs for several sees where that is changed.
  const known = new Set([...Object.keys(state.keys), ...(state.students || []).map(({ id }) => id)]);
  $("#who").toggleAttribute("data-several", known.size > 1);
  paintWalk();
  showClips();
  restore();
  fit();
};
