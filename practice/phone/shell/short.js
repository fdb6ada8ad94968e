// Fifteen minutes: what of the week fits into them. Decisions only.

/** A part cut to the time there is: all of it, its own short form, or its first steps. */
function shorter({ short, steps, spr, minutes: whole }, minutes) {
  if (whole <= minutes) return { n: steps.map(({ n }) => n), min: whole };
  if (short?.steps) return { n: steps.map((_, i) => short.steps[i]?.n || 0), min: short.minutes };
  // The minutes of the part are those its coach gave it: with its rests, and more than its reps take.
  const each = ({ u }) => (u === "min" ? 60 : spr);
  const pace = whole / sum(steps.map((s) => s.n * each(s)));
  let left = minutes;
  const n = steps.map((s) => {
    const fits = Math.max(0, Math.min(s.n, Math.floor(left / (each(s) * pace) + 1e-6)));
    left -= fits * each(s) * pace;
    return fits;
  });
  return { n, min: Math.ceil(minutes - left - 1e-6) };
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
