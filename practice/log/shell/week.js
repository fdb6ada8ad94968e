// What the student sees of the week: the server's copy with this phone's own entries laid over it.

const sum = (list) => list.reduce((a, b) => a + b, 0);
const thisWeek = (week, day) => week?.weeks.find((w) => w.opens <= day && day <= w.closes);
const lastWeek = (week, day) => week?.weeks.filter((w) => w.closes < day).at(-1);
const allParts = (week) => (week ? week.weeks.flatMap((w) => w.parts) : []);
const rootOf = (e) => e.target || e.id;

/** Entries that count, newest first: what the server listed, then what it had not seen yet. */
function chains(week, rows, who) {
  const seen = new Set(week?.have);
  const out = new Map((week?.entries || []).map((e) => [rootOf(e), { e, st: 1 }]));
  const mine = rows.filter(({ e }) => e.who === who && "log change back".includes(e.k));
  for (const row of [...mine.filter(({ e }) => !e.target), ...mine.filter(({ e }) => e.target)]) {
    const root = rootOf(row.e);
    if (seen.has(row.id) && row.st === 1 && out.get(root)?.e.id !== row.id) continue;
    if (row.e.k === "back" && row.st !== 2) out.delete(root);
    else if (row.st === 2) out.set(row.id, row);
    else out.set(root, row);
  }
  return [...out.values()].sort((a, b) => (a.e.day + a.e.at < b.e.day + b.e.at ? 1 : -1));
}

/** How much of one session of a part a document holds; a stop by its rule is a whole one. */
function share(e, { id, steps }) {
  const done = (b) => sum(steps.map(({ n }, i) => Math.min(n * 1.5, b.s?.[i]?.n || 0)));
  const asked = sum(steps.map(({ n }) => n)) || 1;
  return sum((e?.b || []).filter((b) => b.p === id).map((b) => (b.stop ? 1 : done(b) / asked)));
}

/** Sessions of a part that are left, entries of this phone that the server has not counted included. */
function left(part, week, all) {
  const counted = new Map((week.entries || []).map((e) => [rootOf(e), e]));
  const now = new Map(all.filter((r) => r.st !== 2).map(({ e }) => [rootOf(e), e]));
  const roots = [...new Set([...counted.keys(), ...now.keys()])];
  const more = sum(roots.map((root) => share(now.get(root), part) - share(counted.get(root), part)));
  // What the server counted may end in half a session.
  return Math.max(0, Math.ceil(part.left - (part.sessionsDone % 1) - more - 0.02));
}

/** Pain that stops a part. */
const hurts = (pain) => pain && (pain.lvl >= 4 || pain.signs.length > 0);

const loggedOn = (part, all, day) =>
  all.some(({ e, st }) => st !== 2 && e.day === day && (e.b || []).some((b) => b.p === part.id));

/** Parts of a week as the page needs them: what is to do today first, then by priority. */
function plan(week, w, all, day) {
  const halted = ({ id, stopped }) =>
    !!stopped || all.some(({ e }) => !week.have.includes(e.id) && hurts(e.pain) && e.pain.p === id);
  const rank = ({ open, days, sessions }) =>
    !open ? 3 : days.includes(day) ? 0 : days.length < sessions ? 1 : 2;
  return w.parts
    .map((p) => ({ ...p, more: left(p, week, all), halted: halted(p) }))
    .map((p) => ({ ...p, open: p.more > 0 && !p.halted && !loggedOn(p, all, day) }))
    .sort((a, b) => rank(a) - rank(b) || a.priority - b.priority);
}

/** Cautions of a part that nobody has tapped 'Understood' for. */
function unread(part, week, rows) {
  const here = new Set(rows.filter(({ e }) => e.k === "read").map(({ e }) => e.caution));
  return part.cautions.filter((id) => week.cautions[id] && !week.cautions[id].read && !here.has(id));
}

/** A part cut to the time there is: its own short form, else its first steps. */
function shorter({ short, steps, spr }, minutes) {
  if (short?.steps) return { n: steps.map((_, i) => short.steps[i]?.n || 0), min: short.minutes };
  let seconds = minutes * 60;
  const n = steps.map((s) => {
    const each = s.u === "min" ? 60 : spr;
    const fits = Math.max(0, Math.min(s.n, Math.floor(seconds / each)));
    seconds -= fits * each;
    return fits;
  });
  return { n, min: Math.ceil(minutes - seconds / 60) };
}

/** Short forms that fit, priority 1 first. */
function fitting(parts, minutes) {
  const out = [];
  for (const part of parts.filter((p) => p.open).sort((a, b) => a.priority - b.priority)) {
    const cut = shorter(part, minutes);
    if (cut.min > minutes || !sum(cut.n)) continue;
    minutes -= cut.min;
    out.push({ part, ...cut });
  }
  return out;
}

/** The block of a part done as asked, or of `amounts` of it. What is not said is left out. */
const blockOf = (part, w, day, amounts) => ({
  p: part.id,
  s: part.steps.map(({ n, e }, i) => ({ n: amounts ? amounts[i] : n, ...(e && { e }) })),
  min: part.minutes,
  ...(!amounts && { as: true }),
  ...(w.closes < day && { last: true }),
});

/** 'All sent' or what is still on this phone. */
function standing(rows, login) {
  const waits = rows.filter((r) => r.st === 0).length;
  const looks = rows.filter((r) => r.st === 2).length;
  return [
    looks && `${looks} need${looks > 1 ? "" : "s"} a look`,
    waits && `${waits} kept on this phone`,
    login && (waits ? "sign in to send" : "sign in to get your week"),
  ].filter(Boolean).join(" · ") || "All sent";
}
