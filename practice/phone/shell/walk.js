// A session walked set by set: decisions only, no clock, no network, no storage.

/** The sets of a part in the order they are walked; `n` are reps, or minutes of a timed step. */
function setsOf({ steps, rounds = 1 }) {
  const one = steps.flatMap((step, i) => {
    // A week of an older release says the whole of a step and not its sets.
    const { sets = 1, each = step.n / rounds } = step;
    return Array.from({ length: sets }, (_, k) => ({ i, n: each, set: k + 1, of: sets, timed: step.u === "min" }));
  });
  return Array.from({ length: rounds }, (_, r) => one.map((set) => ({ ...set, round: r + 1, rounds }))).flat();
}

/** How much of a set is done. A rep is one letter: 1 clean, 0 not, . not counted. A timed set is minutes. */
const doneOfSet = (set, said = "") => (set.timed ? +said : said.length);

/** The set that is being walked, or the number of sets when all are over. Left out is over. */
const current = (sets, walk) => sets.findIndex((set, k) => !walk.out?.includes(k) && doneOfSet(set, walk.said[k]) < set.n);

/** One more rep; the last of a set asks for a tap before the next set begins. */
function rep(sets, walk, letter) {
  const k = current(sets, walk);
  if (k < 0) return walk;
  const said = [...walk.said];
  said[k] = (said[k] || "") + letter;
  return { ...walk, said, between: said[k].length === sets[k].n };
}

/** The rest of a set, done and not counted one by one. */
function wholeSet(sets, walk) {
  const k = current(sets, walk);
  if (k < 0) return walk;
  const said = [...walk.said];
  said[k] = sets[k].timed ? `${sets[k].n}` : (said[k] || "").padEnd(sets[k].n, ".");
  return { ...walk, said, between: true };
}

/** The last rep, or the last timed set, taken back. */
function unrep(sets, walk) {
  const k = walk.said.findLastIndex(Boolean);
  if (k < 0) return walk;
  const said = [...walk.said];
  said[k] = sets[k].timed ? "" : said[k].slice(0, -1);
  return { ...walk, said, between: false };
}

/** The stop rule: what is above is left, the return set is all that still comes. */
function stepBack(sets, steps, walk) {
  const k = current(sets, walk);
  const out = sets.map((_, j) => j).filter((j) => j >= k && !steps[sets[j].i].back);
  return { ...walk, out: [...(walk.out || []), ...out], stop: true, between: true };
}

/** What was done, step by step, as a log says it. Clean is said only where every rep was. */
function stepsDone(steps, sets, walk) {
  return steps.map((step, i) => {
    const of = sets.map((set, k) => ({ set, said: walk.said[k] || "" })).filter(({ set }) => set.i === i);
    const n = sum(of.map(({ set, said }) => doneOfSet(set, said)));
    const letters = of.map(({ set, said }) => (set.timed ? "." : said)).join("");
    const counted = letters && !letters.includes(".");
    return { n, ...(counted && { c: letters.replaceAll("0", "").length }), ...(step.e && { e: step.e }) };
  });
}

/** Targets are called one after another, through all sets of a session. */
const targetOf = ({ targets }, walk) => (targets?.length ? targets[walk.said.join("").length % targets.length] : undefined);

/** Of each target how many were hit and how many clean, in the order they were called. */
function byTarget({ targets }, walk) {
  const out = new Map();
  [...walk.said.join("")].forEach((letter, i) => {
    const at = targets[i % targets.length];
    const { n, c } = out.get(at) || { n: 0, c: 0 };
    out.set(at, { n: n + 1, c: c + +(letter === "1") });
  });
  return [...out].map(([at, count]) => ({ at, ...count }));
}
