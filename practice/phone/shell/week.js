// What the student sees of the week: the server's copy with this phone's own entries laid over it.

const sum = (list) => list.reduce((a, b) => a + b, 0);
const thisWeek = (week, day) => week?.weeks.find((w) => w.opens <= day && day <= w.closes);

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

const isHard = ({ e }) => e >= 90;

/** Pain that stops the part it was told of, and all hard work. */
const hurts = (pain) => pain && (pain.lvl >= 4 || pain.signs.length > 0);

const loggedOn = (part, all, day) =>
  all.some(({ e, st }) => st !== 2 && e.day === day && (e.b || []).some((b) => b.p === part.id));

/** Parts of a week: what is to do today first, then by priority. `counted` adds this phone's own entries. */
function plan(week, w, all, day, counted) {
  const halted = ({ id, stopped, steps }) =>
    !!stopped ||
    all.some(({ e }) => !week.have.includes(e.id) && hurts(e.pain) && (e.pain.p === id || steps.some(isHard)));
  const rank = ({ open, days, sessions }) =>
    !open ? 3 : days.includes(day) ? 0 : days.length < sessions ? 1 : 2;
  return w.parts
    .map((p) => ({ ...p, more: p.left, now: p.done, ...counted?.(p, w, week, all), halted: halted(p) }))
    .map((p) => ({ ...p, open: p.more > 0 && !p.halted && !loggedOn(p, all, day) }))
    .sort((a, b) => rank(a) - rank(b) || a.priority - b.priority);
}

/** Cautions of a part that nobody has tapped 'Understood' for. */
function unread(part, week, rows) {
  const here = new Set(rows.filter(({ e }) => e.k === "read").map(({ e }) => e.caution));
  return part.cautions.filter((id) => week.cautions[id] && !week.cautions[id].read && !here.has(id));
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
