// What counts of a part: the same sums as on the server (practice.compliance.parts). Decisions only.

/** What of a block counts for each step of its part. The server says the same (compliance.parts.amounts). */
function amounts({ steps, drill, minutes }, { s = [], d, as, min }) {
  const asked = sum(steps.map(({ n }) => n));
  const total = sum(s.map(({ n }) => n || 0));
  const swap = d && d !== drill;
  if (swap || !s.length) {
    const timed = steps.every(({ u }) => u === "min");
    const worth = total ? total / asked : as ? 1 : min && (timed || swap) ? min / (timed ? asked : minutes) : 0;
    return steps.map(({ n }) => worth * n);
  }
  const felt = (step, done) => !step.e || !done?.e || Math.abs(step.e - done.e) <= 10;
  return steps.map((step, i) => (felt(step, s[i]) && s[i]?.n) || 0);
}

/** Whether work of this day can count for a week: from the day it was sent on, or made up the day after. */
const isCredited = (w, day, { last }) =>
  !w.published || (w.published <= day && (day <= w.closes || (last && day === addDays(w.closes, 1))));

/** Sessions of a part that these entries earn: at most one and a half a day, and all that is asked. */
function earned(part, w, entries) {
  const { id, steps, spr, asked, total } = part;
  const days = {};
  for (const { day, b } of entries) {
    for (const block of (b || []).filter((x) => x.p === id && isCredited(w, day, x))) {
      days[day] ||= { of: steps.map(() => 0) };
      amounts(part, block).forEach((n, i) => (days[day].of[i] += n));
      days[day].stop ||= block.stop;
    }
  }
  const mixed = new Set(steps.map(({ u }) => u === "min")).size > 1;
  const weight = ({ n, u }) => n * (mixed && u !== "min" ? spr / 60 : 1);
  const held = steps.map(({ n }, i) =>
    Math.min(asked * n, sum(Object.values(days).map(({ of, stop }) => Math.min(total ? Infinity : 1.5 * n, stop ? Math.max(of[i], n) : of[i])))),
  );
  return sum(steps.map((step, i) => (held[i] / step.n) * weight(step))) / sum(steps.map(weight)) || 0;
}

const counting = (all) => all.filter(({ st }) => st !== 2).map(({ e }) => e);

/** Sessions done of a part: what the server counted, and what it has not seen yet. */
const doneOf = (part, w, week, all) =>
  part.done + earned(part, w, counting(all)) - earned(part, w, week.entries || []);

/** Whole sessions still to do. */
const left = (part, w, week, all) =>
  Math.max(0, Math.ceil(part.asked - doneOf(part, w, week, all) - 1e-6));

/** What today's practice of a part adds to it: sessions, of what it would be without it. */
const addedOn = (part, w, all, day) =>
  earned(part, w, counting(all)) - earned(part, w, counting(all).filter((e) => e.day !== day));

/** Where nothing is said of a part yet: what these blocks of it are good for, or what would tell more. */
function notYet({ measures, clean }, blocks) {
  if (blocks.some(({ shots }) => shots)) return "These balls are kept. What changes is said after more test days.";
  if (blocks.some(({ s = [] }) => s.some(({ c }) => c !== undefined))) return "Your clean count is kept. What holds is said after more days.";
  if (measures) return "Log it ball by ball next time. Your numbers show what changes.";
  return clean ? "Count the clean ones on a few days, and this says what holds." : "Nothing is measured here. Doing it as asked is what counts.";
}

/** What a part has by the server's count and this phone's entries together. */
const tallied = (p, w, week, all) => ({ more: left(p, w, week, all), now: doneOf(p, w, week, all) });
