// Fifteen minutes: what of the week fits into them. Decisions only.

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
