// A key that was ended from elsewhere: this phone no longer shows what it read by it.

/** Clear a student's week and what arrived of it. What waits to be sent stays for its owner. */
extra.forget = async (who) => {
  delete state.keys[who];
  await remember("keys", state.keys);
  await unremindAll().catch(() => {});
  for (const name of [`week ${who}`, `sitting ${who}`, `remind ${who}`]) await remember(name, null);
  await write((log, kv) => kv.delete("draft"));
  await dropClips(who).catch(() => {});
  for (const { id, st, e } of await rows()) if (st === 1 && e.who === who) await discard(id);
  if (state.me?.id !== who) return;
  state.me = state.week = null;
  await remember("me", null);
  await refresh();
  moveTo("");
  try {
    localStorage.removeItem("kept");
  } catch {}
};
