// What the server lost of what it had taken. Decisions only.

/** Entries we hold a receipt for that the server, in the days it lists, no longer has. */
function owed(rows, week) {
  const have = new Set(week.have);
  const listed = ({ st, e }) => st === 1 && e.who === week.me.id && e.day > week.since;
  return rows.filter((row) => listed(row) && !have.has(row.e.id)).map(({ e }) => e);
}
