// Ball by ball, the wedge card, 15 minutes: screens and taps that the page can do without.

/** The sitting that is being typed: kept in both stores at every tap, until it is an entry. */
let tray = null;
let ticking = 0;

const unitsNow = () => state.week?.units || SI;
const unitOf = (name) => tray.units[FIGURES[name][1]];
// Without the #: the cache leaves away what follows it, and the sittings of two parts would be one.
const trayKey = () => `balls ${state.me.id} ${location.hash.slice(1)}`;
const keepTray = () => remember(tray.key, tray);
const settingOf = ({ device, ball, place, indoors }) => ({ device, ball, place, indoors });
/** The measure of a part, or of the balls an entry has. */
const measureOf = (part, [first] = []) => part?.measures || Object.keys(FIGURES).find((name) => first?.[name] !== undefined) || "carry";

/** Draw into a place of a screen, which may have been drawn anew and be empty. */
function place(where, html) {
  if (!$(where).innerHTML) delete shown[where];
  draw(where, html);
}

/** What stands on the screen now: a part's new sitting, or an entry that is being changed. */
function subject() {
  const [name, arg] = here();
  const { row, b, at } = name === "change" ? changing(arg) : {};
  const { part, w } = partAt(b ? b.p : arg);
  return { ...row, b, at, part, w, measure: measureOf(part, b?.shots?.balls) };
}

/** Bring back what was typed, or begin: with the clubs, device and place of the last time. */
async function resume() {
  const key = trayKey();
  const had = tray?.key === key;
  if (!had) {
    const [kept, last] = await Promise.all([recall(key), recall(`sitting ${state.me.id}`)].map((p) => p.catch(() => null)));
    const { b } = subject();
    // A copy of its own: what is being changed stays as it is until the change is kept.
    const begun = { key, id: newId(), units: unitsNow(), typed: {}, ...state.week?.sitting, ...last, ...b?.shots, balls: [...(b?.shots?.balls || [])] };
    // An entry that was kept just before the phone died is not typed twice.
    if (key === trayKey()) tray = kept && !state.rows.some(({ id }) => id === kept.id) ? kept : begun;
  }
  if (tray?.key !== key) return;
  if ($("#with")) paintForm();
  else if (!had) show();
}

function ballsScreen() {
  const { e, b, part } = subject();
  if (!part && !b) return weekScreen();
  setTimeout(resume);
  if (part?.test && !b) {
    if (tray?.key !== trayKey()) return { title: part.name, body: h`` };
    if (!tray.warm && !tray.balls.length) return protocol(part, act("ready", "I am warmed up"));
  }
  return {
    title: b ? "Change it" : "Ball by ball",
    body: h`<form id="f" data-balls="1"><h2>${part?.name || "Balls"}</h2>${part && cueOf(part)}<div id="now" role="status"></div><p id="rest" role="timer"></p><div id="with"></div><div id="got"></div><details><summary>Minutes, how it felt, note, day</summary>${rest(e || { day: today() }, b || { min: part.minutes })}</details></form>`,
    main: act("ball", "Next ball"),
    left: act("keep", "Save", "", "plain"),
    part: part?.id,
  };
}

/** Everything of the form that is not a plain field: once, and when a club is added. */
function paintForm() {
  const { measure } = subject();
  const wedges = measure === "carry";
  const clubs = [...new Set([...(state.week?.clubs || []), ...tray.balls.map(({ club }) => club), tray.club].filter(Boolean))];
  const numeric = (name) => field(`${FIGURES[name][0]}, ${unitOf(name).sign}`, h`<input data-figure="${name}" inputmode="decimal" autocomplete="off" enterkeyhint="next" value="${tray.typed[name]}">`);
  const said = (name, label) => field(label, h`<input data-set="${name}" maxlength="60" value="${tray[name]}">`);
  const another = field(clubs.length ? "Its name" : "Which", h`<input data-club="1" maxlength="20" autocomplete="off">`);
  const roof = [["", "not said"], ["1", "Indoors"], ["0", "Outdoors"]];
  const others = Object.keys(FIGURES).filter((name) => name !== measure);
  place("#with", h`${numeric(measure)}<details><summary>Other numbers of this ball</summary>${others.map(numeric)}<div class="two">${tick("radio", "way", "-", "Left", tray.way)}${tick("radio", "way", "", "Right")}</div></details>
<fieldset><legend>Club</legend><div class="links">${clubs.map((club) => tick("radio", "club", club, club, club === tray.club))}</div>${clubs.length ? h`<details><summary>Another club</summary>${another}</details>` : another}</fieldset>
${wedges && h`<fieldset><legend>Swing</legend><div class="links">${Object.entries(LENGTHS).map(([key, text]) => tick("radio", "length", key, text, key === tray.length))}</div></fieldset>`}
<details><summary>${[tray.device, tray.ball, tray.place].filter(Boolean).join(", ") || "Device, ball and place"}</summary>${said("device", "Device (empty: judged by eye)")}${said("ball", "Ball")}${said("place", "Place")}${field("Roof", h`<select data-set="indoors">${roof.map(([key, text]) => option(key, text, tray.indoors == null ? "" : `${+tray.indoors}`))}</select>`)}</details>`);
  paint();
}

const figureWords = (ball) =>
  Object.keys(FIGURES)
    .filter((name) => ball[name] !== undefined)
    .map((name) => (name === "side" ? `${withUnit(Math.abs(ball.side), unitOf(name))} ${ball.side < 0 ? "left" : "right"}` : withUnit(ball[name], unitOf(name))))
    .join(" · ");

const ballRow = (ball, i) =>
  h`<div class="count"><span><b>${i + 1}.</b> ${figureWords(ball)} <span class="quiet">${swingName(ball)}${!!ball.target && ` at ${withUnit(ball.target, unitOf("carry"))}`}</span></span><button type="button" class="link" data-do="unball" data-arg="${i}" >Take it back${about(`ball ${i + 1}`)}</button></div>`;

function resultRow({ key, n, middle, least, most }, unit) {
  return h`<p><b>${key}: median ${withUnit(middle, unit)}</b>, ${many(n, "ball")}, from ${shownIn(least, unit)} to ${withUnit(most, unit)}</p>`;
}

/** What changes with every ball. The result comes after the last one, not before. */
function paint() {
  const { part, measure } = subject();
  const { balls } = tray;
  const most = part ? asked(part) : 0;
  const [target] = part ? due(part, balls) : [];
  const over = balls.length >= most;
  place("#now", h`<p class="dose">${over ? (most ? "All balls are in." : "") : `Ball ${balls.length + 1} of ${most}`}${!!target && ` · Target ${withUnit(target, unitOf("carry"))}`}</p>${!!tray.asks && h`<p class="look">${doubtWords(tray.asks)}</p>`}${over && results(balls, measure).map((r) => resultRow(r, unitOf(measure)))}`);
  $("[data-do=ball]").textContent = tray.asks ? `Yes, ${withUnit(tray.asks.value, unitOf(tray.asks.name))}` : "Next ball";
  // When all are in, keeping them is the next thing to do.
  $("[data-do=ball]").classList.toggle("plain", most && over);
  $("[data-do=keep]").classList.toggle("plain", !most || !over);
  place("#got", list(balls.map(ballRow).reverse()) || h``);
  paintRest();
}

/** The rest between balls in words. It holds nobody up. */
function paintRest() {
  clearTimeout(ticking);
  if (!$("#rest") || !tray) return;
  const { part } = subject();
  const more = part && tray.balls.length < asked(part);
  const seconds = Math.min(part?.rest || 0, Math.ceil(((tray.ready || 0) - Date.now()) / 1000));
  const words = !more || !part.rest || !tray.balls.length ? "" : seconds > 0 ? `Rest: ${many(seconds, "second")} more.` : "Rested. The next ball may go.";
  if ($("#rest").textContent !== words) $("#rest").textContent = words;
  if (words && seconds > 0) ticking = setTimeout(paintRest, 250);
  else if (words && tray.rests) bell();
  tray.rests = !!words && seconds > 0;
}

/** Ask once about a figure that is far from this student's usual: a second tap keeps it. */
function isDoubted(ball) {
  const { asks, sure = [] } = tray;
  const odd = oddOf(ball, state.week?.usual || [], sure);
  const isAsked = odd && asks?.name === odd.name && asks.value === odd.value;
  tray.asks = isAsked ? null : odd;
  if (isAsked) tray.sure = [...sure, odd];
  if (!odd || isAsked) return false;
  keepTray();
  hold();
  paint();
  return true;
}

/** The question, to the student or to a parent. */
function doubtWords({ name, value, middle }) {
  const unit = unitOf(name);
  const whose = state.week?.childOf ? `${state.me.name} usually has` : "You usually have";
  return `Really ${withUnit(value, unit)}? ${whose} about ${Math.round(middle / unit.si)}.`;
}

/** Take the typed numbers as the next ball. False if one of them cannot be or is asked about; then it stays typed. */
function addBall() {
  const { part, measure } = subject();
  const ball = {};
  for (const input of document.querySelectorAll("[data-figure]")) {
    const name = input.dataset.figure;
    if (!input.value.trim() && name !== measure) continue;
    const value = toSi(input.value, unitOf(name));
    const why = impossible(name, value, unitOf(name));
    if (why) {
      say(why);
      if (input.closest("details")) input.closest("details").open = true;
      input.focus();
      return false;
    }
    ball[name] = name === "side" && tray.way ? -value : value;
  }
  const [target] = part ? due(part, tray.balls) : [];
  const whole = { club: tray.club || undefined, length: (measure === "carry" && tray.length) || undefined, target, ...ball };
  if (isDoubted(whole)) return false;
  tray.balls.push(whole);
  tray.typed = {};
  tray.ready = Date.now() + (part?.rest || 0) * 1000;
  for (const input of document.querySelectorAll("[data-figure]")) input.value = "";
  say(`Ball ${tray.balls.length}: ${figureWords(ball)}`);
  keepTray();
  paint();
  return true;
}

DO.ready = () => {
  tray.warm = true;
  keepTray();
  wake();
  show();
};
DO.ball = () => {
  wake();
  if (addBall()) $("[data-figure]").focus();
};

DO.unball = (i) => {
  tray.balls.splice(i, 1);
  say(`Ball ${+i + 1} taken back.`);
  keepTray();
  paint();
};

DO.keep = async () => {
  if ($("[data-figure]").value.trim() && !addBall()) return;
  if (!tray.balls.length) return say("Type a number first.");
  const { e, st, b, at, part, w, measure } = subject();
  const f = $("#f");
  const data = new FormData(f);
  const day = dayOf(f);
  const base = part ? blockOf(part, w, day) : b;
  const shots = { ...settingOf(tray), balls: tray.balls };
  const block = { ...base, d: b?.d, s: counted(base.s, shots.balls.length), shots, min: number(data.get("min")), as: undefined, stop: b?.stop, last: b ? b.last : base.last };
  const felt = data.get("felt") ? +data.get("felt") : undefined;
  const { id, key, club, length } = tray;
  const body = { id, v: 2, day, felt, note: data.get("note").trim() || undefined, pain: e?.pain, b: e ? e.b.map((x, i) => (i === at ? block : x)) : [block] };
  remember(`sitting ${state.me.id}`, { ...settingOf(tray), club, length: measure === "carry" ? length : undefined });
  await file(body, e, st);
  if (!state.rows.some((row) => row.id === id)) return;
  tray = null;
  await remember(key, null);
};

/** Of a swing: what it carries, how surely, and since when. */
function swingWords({ carry, spread, n, newest }, unit) {
  if (spread === null) return `Too few balls: ${n} of ${state.week.card.need}.`;
  const old = addDays(newest, 90) < today() ? ", stale" : "";
  return `Carries ${withUnit(carry, unit)}, spread ${withUnit(spread, unit)}, ${many(n, "ball")}, newest ${dayName(newest)}${old}`;
}

function cardScreen() {
  const { swings, need, series } = state.week?.card || { swings: [] };
  const unit = unitsNow().m;
  const ready = swings.some(({ miss }) => miss !== null);
  const body = swings.length
    ? h`${ready ? h`${field(`Distance, ${unit.sign}`, h`<input id="far" inputmode="decimal" autocomplete="off">`)}<div id="hits" role="status"></div>` : h`<p>Too few balls to choose by: a swing needs ${need}.</p>`}<h2>All swings</h2>${list(swings.map((swing) => h`<b>${swingName(swing)}</b><br><span class="quiet">${swingWords(swing, unit)}</span>`))}<p class="quiet">Measured with: ${series}.</p>`
    : h`<p>No distances yet. They come from wedges logged ball by ball, with club and swing.</p>`;
  return { title: WAYS.card, body };
}

function paintHits() {
  const unit = unitsNow().m;
  const far = toSi($("#far").value, unit);
  const off = (value) => (Math.abs(value / unit.si) < 0.05 ? "right on it" : `${withUnit(Math.abs(value), unit)} ${value < 0 ? "short" : "long"}`);
  const hit = (swing, i) => h`<b class="${!i && "dose"}">${swingName(swing)}</b>: ${off(swing.off)}, expected miss ${withUnit(swing.expected, unit)}<br><span class="quiet">${swingWords(swing, unit)}</span>`;
  place("#hits", far > 0 ? list(bestSwings(state.week.card.swings, far).map(hit)) : h``);
}

DO.short = (id) => {
  const { part, w } = partAt(id);
  const { n, min } = shorter(part, 15);
  return logBlock(id, { ...blockOf(part, w, today(), n), min });
};

function shortScreen() {
  const fit = fitting(partsNow(), 15);
  return {
    title: "I have 15 minutes",
    body: h`${fit.map(({ part, n, min }) => h`<article class="sheet"><p class="quiet">Part ${part.priority} · ${Math.ceil(min)} min</p><h2>${part.name}</h2>${cueOf(part)}<p class="dose">${doseName(part.steps.map((s, i) => ({ ...s, n: n[i] })).filter((s) => s.n))}</p>${isUnread(part) ? go(`part=${part.id}`, h`Read before you start${about(part.name)}`) : act("short", h`Done${about(part.name)}`, part.id)}</article>`)}${!fit.length && NOTHING}`,
  };
}

document.addEventListener("input", ({ target }) => {
  const { figure, set, club } = target.dataset;
  if (target.id === "far") paintHits();
  if (!tray || !target.closest("[data-balls]")) return;
  if (figure) tray.typed[figure] = target.value;
  if (figure && tray.asks) {
    tray.asks = null;
    paint();
  }
  if (set) tray[set] = set === "indoors" ? (target.value ? target.value === "1" : null) : target.value;
  if (club) tray.club = target.value.trim();
  if (["club", "length", "way"].includes(target.name)) tray[target.name] = target.value;
  keepTray();
});
// A club that was typed becomes one to tap.
document.addEventListener("change", ({ target }) => {
  if (!target.dataset.club) return;
  delete shown["#with"];
  paintForm();
});
// Enter is the next ball. The form has no button of its own that could keep it.
document.addEventListener("keydown", (event) => {
  if (event.key !== "Enter" || !event.target.dataset.figure) return;
  event.preventDefault();
  if (!event.repeat) DO.ball();
});

SCREENS.balls = ballsScreen;
SCREENS.card = cardScreen;
SCREENS.short = shortScreen;
SCREENS.change = (arg) => (changing(arg).b?.shots ? ballsScreen() : changeScreen(arg));
