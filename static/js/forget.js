// After signing out: clear what this phone shows of everybody whose key has ended. The phone log
// keeps it in a database and, for a lost database, in a cache beside it. What waits to be sent stays.
"use strict";

/** The phone log's database; null if this browser has none, and none is made. */
function opened() {
  return new Promise((yes) => {
    const ask = indexedDB.open("practice");
    ask.onupgradeneeded = () => ask.transaction.abort();
    ask.onsuccess = () => yes(ask.result);
    ask.onerror = () => yes(null);
  });
}

function inStores(db, work) {
  return new Promise((yes, no) => {
    const t = db.transaction(["log", "kv"], "readwrite");
    const ask = work(t.objectStore("log"), t.objectStore("kv"));
    t.oncomplete = () => yes(ask && ask.result);
    t.onabort = () => no(t.error);
  });
}

/** Whether the server says that this key was ended, and not just that it cannot be asked now. */
async function hasEnded(key) {
  try {
    const headers = { Authorization: `LogKey ${key}` };
    const answer = await fetch("/api/week", { headers, credentials: "omit", cache: "no-store" });
    return answer.status === 401 && (await answer.json()).ended === true;
  } catch {
    return false;
  }
}

async function forget(db, who, keys) {
  delete keys[who];
  const [me, rows] = await Promise.all([
    inStores(db, (log, kv) => kv.get("me")),
    inStores(db, (log) => log.getAll()),
  ]);
  await inStores(db, (log, kv) => {
    for (const row of rows) if (row.st === 1 && row.e.who === who) log.delete(row.id);
    kv.put(keys, "keys");
    kv.delete(`week ${who}`);
    kv.delete(`sitting ${who}`);
    kv.delete("draft");
    if (me?.id === who) kv.delete("me");
  });
  const aside = await caches.open("aside");
  await aside.put("/keys", new Response(JSON.stringify(keys)));
  for (const name of [`week ${who}`, `sitting ${who}`]) await aside.delete(`/${name}`);
  if (me?.id !== who) return;
  await aside.delete("/me");
  try {
    localStorage.removeItem("kept");
  } catch {}
}

async function clear() {
  const db = await opened();
  if (!db) return;
  const keys = (await inStores(db, (log, kv) => kv.get("keys"))) || {};
  for (const [who, { key }] of Object.entries(keys)) {
    if (await hasEnded(key)) await forget(db, who, keys);
  }
  db.close();
}

clear().finally(() => (document.body.dataset.cleared = "yes"));
