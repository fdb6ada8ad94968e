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

/** A name under which something of this student is kept: a week, a walk, reminders, a clip. */
const bears = (who, name) => name.split(/[ /]/).includes(who);

/** Empty a cache of what bears the student's id. */
async function forgetCache(cache, who) {
  for (const at of await cache.keys()) {
    if (bears(who, decodeURIComponent(new URL(at.url).pathname))) await cache.delete(at);
  }
}

async function forgetDatabase(db, who, keys, isMe) {
  const rows = await inStores(db, (log) => log.getAll());
  const names = await inStores(db, (log, kv) => kv.getAllKeys());
  await inStores(db, (log, kv) => {
    for (const row of rows) if (row.st === 1 && row.e.who === who) log.delete(row.id);
    for (const name of names) if (bears(who, name)) kv.delete(name);
    kv.put(keys, "keys");
    kv.delete("draft");
    if (isMe) kv.delete("me");
  });
}

async function forget(db, aside, who, keys) {
  delete keys[who];
  const isMe = (await kept(db, aside, "me"))?.id === who;
  if (db) await forgetDatabase(db, who, keys, isMe);
  await aside.put("/keys", new Response(JSON.stringify(keys)));
  if (isMe) await aside.delete("/me");
  for (const cache of [aside, await caches.open("clips")]) await forgetCache(cache, who);
  if (isMe) document.cookie = "kept=;path=/log;max-age=0";
}

/** What is kept under a name, from whichever store still has it. */
const kept = async (db, aside, name) =>
  (db && (await inStores(db, (log, kv) => kv.get(name)))) || (await (await aside.match(`/${name}`))?.json());

/** This browser is nudged about nothing once it keeps nobody's practice. */
async function unremind() {
  const registered = await navigator.serviceWorker?.getRegistration("/log");
  const held = await registered?.pushManager?.getSubscription();
  await held?.unsubscribe();
}

async function clear() {
  const db = await opened();
  const aside = await caches.open("aside");
  const keys = (await kept(db, aside, "keys")) || {};
  for (const [who, { key }] of Object.entries(keys)) {
    if (await hasEnded(key)) await forget(db, aside, who, keys);
  }
  db?.close();
  if (!Object.keys(keys).length) await unremind();
}

clear().finally(() => (document.body.dataset.cleared = "yes"));
