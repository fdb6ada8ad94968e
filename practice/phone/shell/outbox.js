// Sending. Nothing like 'being sent' is ever stored; locks save work, correctness needs none.

const TIMES = { base: 5e3, most: 3e5, patience: 2e3, guard: 700, answer: 15e3, ...self.times };
const state = { keys: {}, rows: [], justRead: new Set(), gone: new Map() };
// What the second script adds to the page, once it is there.
const extra = { standing };
// When each was last tried in vain.
const failures = {};
let failed = 0;
let oneByOne = false;
let sending = null;
let timer = 0;
let lastMs = 0;
let turns = 0;
let reloaded = !!history.state?.again;

/** Ids grow even when the clock stands still or goes back. */
function newId() {
  lastMs = Math.max(Date.now(), lastMs + 1, 1);
  return uuid7(lastMs, crypto.getRandomValues(new Uint8Array(10)));
}

const today = () => practiceDay(new Date());
const fresh = (k, more) => ({
  id: newId(), v: 1, k, who: state.me.id, day: today(), at: stamp(new Date()), ...more,
});
const keyOf = (who) => state.keys[who]?.key;
const pending = () => state.rows.filter((row) => row.st === 0);

/** What is kept, read anew. A reading that was begun earlier and comes later changes nothing. */
async function refresh(inside) {
  const turn = ++turns;
  const all = await rows(inside);
  if (turn < state.rows.turn) return;
  state.rows = all;
  all.turn = turn;
  lastMs = Math.max(lastMs, ...state.rows.map(({ id }) => idTime(id)));
}

/** Fetch with a limit. The status counts even if the body cannot be read. */
async function ask(path, options, key) {
  const stop = new AbortController();
  const limit = setTimeout(() => stop.abort(), TIMES.answer);
  const headers = { "Content-Type": "application/json", ...options?.headers, ...(key && { Authorization: `LogKey ${key}` }) };
  try {
    const answer = await fetch(path, { redirect: "manual", cache: "no-store", ...options, headers, signal: stop.signal });
    const body = await answer.json().catch(() => null);
    return { status: answer.status, body: Object(body), again: answer.headers.get("Retry-After"), sent: answer.headers.get("Date"), tag: answer.headers.get("ETag") };
  } catch {
    return { status: 0, body: {} };
  } finally {
    clearTimeout(limit);
  }
}

/** Ask by a student's key. A key that is no longer taken is replaced by the sign-in, if there is one. */
async function askFor(who, path, options) {
  const turnedAway = ({ status, body }) => status === 401 && body.code === "login";
  let answer = await ask(path, options, keyOf(who));
  if (turnedAway(answer) && (await extra.newKey?.(who))) answer = await ask(path, options, keyOf(who));
  if ((state.login = turnedAway(answer)) && answer.body.ended) await extra.forget?.(who);
  return answer;
}

/** Send one batch and do what its receipts say. */
async function sendBatch(batch) {
  const body = JSON.stringify({ sent: stamp(new Date()), e: batch });
  const options = { method: "POST", body, keepalive: body.length < 2e4 };
  const { status, body: answer, again } = await askFor(batch[0].who, "/api/sync", options);
  const said = judge(status, answer, batch.map((e) => e.id));
  state.tried = Date.now();
  const moved = [];
  for (const e of said.kind === "receipts" ? batch : []) {
    const change = said.named.includes(e.id) && receipt(answer.r[e.id], answer.why?.[e.id]);
    if (change) moved.push({ id: e.id, e, ...change });
    failures[e.id] = change ? 0 : state.tried;
  }
  await settle(moved);
  return { kind: said.kind, again };
}

function byWho() {
  const out = {};
  for (const { e } of pending()) (out[e.who] ||= []).push(e);
  return Object.values(out);
}

/** Everything that waits, in batches; stops at the first answer that is not ours. */
async function sendAll() {
  await heal();
  await refresh();
  let running = 0;
  let last = { kind: "sent" };
  for (const mine of byWho()) {
    for (const batch of batches(mine, failures, oneByOne)) {
      // What changes an entry that still waits, waits with it.
      if (failures[batch[0].target]) continue;
      const said = await sendBatch(batch);
      if (said.kind === "receipts") {
        failed = running = 0;
        continue;
      }
      last = said;
      if (said.kind === "login") break;
      if (said.kind !== "split") return said;
      if (!oneByOne) {
        oneByOne = true;
        return said;
      }
      failures[batch[0].id] = state.tried;
      if (++running === 3) return said;
    }
  }
  oneByOne = last.kind === "split";
  return last;
}

/** One at a time in this page, and in one tab where the browser can say so. */
function flush() {
  clearTimeout(timer);
  sending ||= flushOnce()
    .catch(() => later({}))
    .finally(() => {
      sending = null;
      changed();
    });
  return sending;
}

const later = ({ again }) => {
  timer = setTimeout(flush, pause(failed++, Math.random(), TIMES.base, TIMES.most, again));
};

async function flushOnce() {
  const before = pending().length;
  const alone = (lock) => (lock ? sendAll() : { kind: "busy" });
  const said = await (navigator.locks
    ? navigator.locks.request("outbox", { ifAvailable: true }, alone)
    : sendAll());
  await refresh();
  if (said.kind === "sent") {
    if (before) await fetchWeek();
  } else if (said.kind !== "login") later(said);
}

/** Try now, whatever was waited for: on load, on coming back, on a save. */
async function nudge() {
  failed = 0;
  await sending;
  return flush();
}

/** The week, and what the server holds. */
async function fetchWeek() {
  if (!state.me) return;
  const known = state.week;
  const has = { headers: { "If-None-Match": known?.tag || "" } };
  const { status, body: told, sent, tag } = await askFor(state.me.id, "/api/week", has);
  const same = status === 304 && known?.tag === tag;
  const body = same ? known : told;
  if (!(same || status === 200) || !body.weeks || body.me?.id !== state.me?.id) return;
  state.skew = Date.parse(sent) - Date.now() || 0;
  state.week = same ? body : { ...body, tag };
  if (!same) await remember(`week ${body.me.id}`, state.week);
  await refresh();
  await extra.arrived?.(body);
}

/** Who signed in last in this browser, as the sign-in left it; nothing that opens anything. */
const signedIn = () => document.cookie.match(/\bsigned=(\w+)/)?.[1];

const never = () => new Promise(() => {});

/** Keep an entry on the phone and say so; false only if nothing could hold it. */
async function save(entry, gone = [], words = "") {
  const held = await keep(entry, gone);
  if (!held.any) {
    const carried = history.state?.carry;
    history.replaceState({ carry: entry, gone, words }, "");
    if (carried) return null;
    location.reload();
    return never();
  }
  self.ticked?.(held.entry);
  navigator.vibrate?.(30);
  if (held.all) {
    reloaded = false;
    history.replaceState(null, "");
  } else if (!reloaded) {
    // A dead store comes back with a reload of the page, and with nothing less.
    history.replaceState({ again: held.entry.id, words }, "", "/log");
    location.reload();
    return never();
  }
  await refresh();
  extra.kept?.();
  nudge();
  return held.entry;
}
