// What the server says it holds beside what this phone holds a receipt for: what it lost goes back into the queue.

const requeued = new Set();

/** After each week that arrives: send again what is owed, and let go of what is older than is listed. */
async function compare(week) {
  // Nothing of a person: only that the next start asks for no key.
  document.cookie = "kept=1;path=/log;max-age=34560000;samesite=strict";
  const lost = owed(state.rows, week).filter((e) => !requeued.has(e.id));
  for (const { id } of lost) requeued.add(id);
  await settle(lost.map((e) => ({ id: e.id, e, st: 0 })));
  for (const { st, e } of state.rows) {
    if (st === 1 && e.who === week.me.id && e.day < week.since) await discard(e.id);
  }
  await refresh();
  // This may be the end of a sending that has taken all it will take: then once more.
  if (lost.length) setTimeout(() => flush().then(flush));
  keepClips().catch(() => {});
  sendParcels();
  findBegun();
}

extra.arrived = compare;
