// A key that was ended from elsewhere: this phone no longer shows what it read by it.

/** What is kept of a student bears the student's id in its name: a week, a walk, a tray, reminders. */
async function forgetNames(who) {
  const bears = (name) => name.split(" ").includes(who);
  const names = await read((log, kv) => kv.getAllKeys());
  await write((log, kv) => {
    for (const name of names) if (name === "draft" || bears(name)) kv.delete(name);
  });
  const cache = hasCopies() && (await aside());
  for (const at of cache ? await cache.keys() : []) {
    if (bears(decodeURIComponent(new URL(at.url).pathname.slice(1)))) await cache.delete(at);
  }
}

/** Clear a student's week and what arrived of it. What waits to be sent stays for its owner. */
extra.forget = async (who) => {
  delete state.keys[who];
  await remember("keys", state.keys);
  await unremindAll().catch(() => {});
  await forgetNames(who);
  await dropClips(who).catch(() => {});
  for (const { id, st, e } of await rows()) if (st === 1 && e.who === who) await discard(id);
  if (state.me?.id !== who) return;
  state.me = state.week = null;
  await remember("me", null);
  await refresh();
  moveTo("");
  document.cookie = "kept=;path=/log;max-age=0";
};
