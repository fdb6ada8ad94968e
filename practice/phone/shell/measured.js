// Decisions about balls and wedges: no clock, no network, no storage. SI, unless it says 'typed'.

/** What may be measured of a ball: how it is called, its unit, and the least and most that can be. */
const FIGURES = {
  carry: ["Carry", "m", 0, 450],
  total: ["Total", "m", 0, 500],
  side: ["Side", "m", 0, 200],
  ball_speed: ["Ball speed", "m/s", 1, 120],
  club_speed: ["Club speed", "m/s", 1, 90],
};
const LENGTHS = { hip: "hip-high", chest: "chest-high", full: "full" };
const SI = { m: { sign: "m", si: 1 }, "m/s": { sign: "m/s", si: 1 } };

/** A typed number in SI, or NaN for what is none; a comma is as good as a point. */
const toSi = (typed, { si }) =>
  /^\d{1,3}([.,]\d*)?$/.test(typed.trim()) ? Math.round(typed.trim().replace(",", ".") * si * 1e4) / 1e4 : NaN;
/** A figure as its reader reads it: without the unit, or with it. */
const shownIn = (value, { si }) => `${+(value / si).toFixed(1)}`.replace("-", "−");
const withUnit = (value, unit) => `${shownIn(value, unit)} ${unit.sign}`;

/** Why a figure cannot be, or nothing. */
function impossible(name, value, unit) {
  const [label, , least, most] = FIGURES[name];
  if (value >= least && value <= most) return "";
  return `${label} is a number from ${shownIn(least, unit)} to ${withUnit(most, unit)}. Nothing was added.`;
}

// A figure is asked about beyond one and a half times the usual, or below two thirds of it (practice.shots.odd).
const FAR = 1.5;
const isFar = (value, middle) => !(middle / FAR <= value && value <= middle * FAR);

/** What this student usually has of it, with that club and swing; nothing where too little is known. */
function usualOf(usual, name, { club = "", length = "" }) {
  const swing = FIGURES[name][1] === "m" ? length : "";
  return usual.find((row) => row.of === name && row.club === club && row.length === swing)?.middle;
}

/** The first figure of a ball that is far from the usual, and from all that was said to be right. */
function oddOf(ball, usual, sure = []) {
  for (const [name, value] of Object.entries(ball)) {
    const middle = FIGURES[name] && usualOf(usual, name, ball);
    const right = [middle, ...sure.filter((x) => x.name === name).map((x) => x.value)];
    if (middle && right.every((near) => isFar(value, near))) return { name, value, middle };
  }
}

/** How many balls one session asks for. */
const asked = ({ steps }) => sum(steps.map(({ n }) => n));

/** The targets still to be hit, in their order; a ball taken back brings its own back. */
function due(part, balls) {
  const { targets } = part;
  if (!targets?.length) return [];
  const open = Array.from({ length: asked(part) }, (_, i) => targets[i % targets.length]);
  for (const { target } of balls) if (open.includes(target)) open.splice(open.indexOf(target), 1);
  return open;
}

/** Balls as the counts of a part's steps: each is filled before the next. */
function counted(steps, count) {
  return steps.map((step, i) => {
    const n = i < steps.length - 1 ? Math.min(count, step.n) : count;
    count -= n;
    return { n, ...(step.e && { e: step.e }) };
  });
}

const swingName = ({ club, length }) => [club, LENGTHS[length]].filter(Boolean).join(" ");

function median(values) {
  const sorted = [...values].sort((a, b) => a - b);
  return (sorted[(sorted.length - 1) >> 1] + sorted[sorted.length >> 1]) / 2;
}

/** The middle of what was measured, swing by swing; of called distances, how far off it was. */
function results(balls, name) {
  const groups = new Map();
  for (const ball of balls.filter((b) => b[name] !== undefined)) {
    const key = ball.target ? "Off the target" : swingName(ball) || FIGURES[name][0];
    const value = ball.target ? Math.abs(ball[name] - ball.target) : ball[name];
    groups.set(key, [...(groups.get(key) || []), value]);
  }
  return [...groups].map(([key, values]) => ({ key, n: values.length, middle: median(values), least: Math.min(...values), most: Math.max(...values) }));
}

/** The error function to 1.5e-7: Abramowitz & Stegun (1964), 7.1.26. */
function erf(x) {
  const t = 1 / (1 + 0.3275911 * Math.abs(x));
  const tail = [1.061405429, -1.453152027, 1.421413741, -0.284496736, 0.254829592].reduce((all, a) => (all + a) * t, 0);
  return Math.sign(x) * (1 - tail * Math.exp(-x * x));
}

/** Mean distance from the target of balls that carry `off` it on average, with this spread. */
function expectedMiss(off, spread) {
  if (!spread) return Math.abs(off);
  const r = off / spread;
  return spread * Math.sqrt(2 / Math.PI) * Math.exp((-r * r) / 2) + off * erf(r / Math.SQRT2);
}

/** The swings with the smallest expected miss, best first. Those of too few balls are none. */
const bestSwings = (swings, target) =>
  swings
    .filter(({ miss }) => miss !== null)
    .map((swing) => ({ ...swing, off: swing.carry - target, expected: expectedMiss(swing.carry - target, swing.miss) }))
    .sort((a, b) => a.expected - b.expected)
    .slice(0, 3);
