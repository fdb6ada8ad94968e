// Two stores: a browser that is killed can lose its database, and has never lost both.

const COPIES = "copy";
const copyAt = (id) => `/_copy/${id}`;
let opening;

/** Opened without a version: a page that is older or newer than the other tab never blocks it. */
function opened() {
  opening ||= new Promise((yes, no) => {
    const ask = indexedDB.open("practice");
    ask.onupgradeneeded = () => {
      ask.result.createObjectStore("log", { keyPath: "id" });
      ask.result.createObjectStore("kv");
    };
    ask.onerror = () => no(ask.error);
    ask.onsuccess = () => {
      const db = ask.result;
      db.onversionchange = db.onclose = () => {
        db.close();
        opening = null;
      };
      yes(db);
    };
  });
  opening.catch(() => (opening = null));
  return opening;
}

/** One transaction over both tables. Done when it is on the disk, not when it was asked for. */
async function tx(mode, work) {
  const db = await opened();
  return new Promise((yes, no) => {
    const t = db.transaction(["log", "kv"], mode, { durability: "strict" });
    let ask;
    t.oncomplete = () => yes(ask && ask.result);
    // Not `error`: the transaction's own error is still empty there.
    t.onabort = () => no(t.error || Error("aborted"));
    ask = work(t.objectStore("log"), t.objectStore("kv"));
  });
}

const read = (work) => soon(tx("readonly", work));
const write = (work) => soon(tx("readwrite", work));
const aside = () => caches.open("aside");

/** What a start needs of the database, in one transaction: to open each costs what it reads. */
const readAll = () =>
  read((log, kv) => {
    const asked = [log.getAll(), kv.get("keys"), kv.get("me")];
    asked[2].onsuccess = ({ target }) => asked.push(kv.get(`week ${target.result?.id}`));
    return { get result() { return asked.map((one) => one.result); } };
  });

/** Who this phone logs for, and the week: in both stores too, or a lost database ends the logging. */
const remember = (name, value) =>
  Promise.allSettled([
    write((log, kv) => kv.put(value, name)),
    hasCopies() && soon(aside().then((cache) => cache.put(`/${name}`, new Response(JSON.stringify(value))))),
  ]);
const beside = async (name) => hasCopies() && (await (await aside()).match(`/${name}`))?.json();
const recall = async (name) => (await read((log, kv) => kv.get(name)).catch(() => null)) || beside(name);

/** A store that hangs is a store that failed. */
const soon = (promise) =>
  Promise.race([promise, new Promise((_, no) => setTimeout(no, TIMES.patience, Error("slow")))]);

const hasCopies = () => "caches" in self;
const copies = () => caches.open(COPIES);
const dropCopy = async (id) => hasCopies() && (await copies()).delete(copyAt(id));
const putCopy = async (e) =>
  (await copies()).put(copyAt(e.id), new Response(JSON.stringify(e)));

async function allCopies() {
  if (!hasCopies()) return [];
  const cache = await copies();
  const found = await Promise.all((await cache.keys()).map((key) => cache.match(key)));
  return Promise.all(found.filter(Boolean).map((answer) => answer.json()));
}

/** Everything this phone holds: the database and the copies together. */
async function rows(inside = read((log) => log.getAll())) {
  const [kept, copied] = await Promise.allSettled([inside, soon(allCopies())]);
  const all = new Map();
  for (const e of copied.value || []) all.set(e.id, { id: e.id, st: 0, e, copied: true });
  for (const row of kept.value || []) {
    const copied = all.has(row.id);
    all.set(row.id, { ...row, copied, kept: true });
  }
  return [...all.values()].sort((a, b) => (a.id < b.id ? -1 : 1));
}

/** Put back into either store what only the other still has, and drop copies no longer needed. */
async function heal() {
  const all = await rows();
  await Promise.allSettled(
    all.flatMap(({ kept, copied, st, e }) => [
      !kept && write((log) => log.add({ id: e.id, st: 0, e })),
      !copied && st !== 1 && hasCopies() && soon(putCopy(e)),
      copied && st === 1 && dropCopy(e.id),
    ]),
  );
}

/** Add, never overwrite. The same entry twice is one; another entry under its id gets an id of its own. */
async function addRow(e, gone) {
  try {
    await write((log, kv) => {
      log.add({ id: e.id, st: 0, e });
      kv.delete("draft");
      for (const id of gone) log.delete(id);
    });
    return e;
  } catch (error) {
    if (error.name !== "ConstraintError") throw error;
    const there = await read((log) => log.get(e.id));
    return JSON.stringify(there.e) === JSON.stringify(e) ? e : addRow({ ...e, id: newId() }, gone);
  }
}

/** Write to both. One is enough to say 'kept'. Tells which of them held. */
async function keep(e, gone = []) {
  const [row] = await Promise.allSettled([addRow(e, gone)]);
  const entry = row.value || e;
  // Only now is its id its own: the copy of another tab's entry must not be written over.
  const [copy] = await Promise.allSettled([hasCopies() ? soon(putCopy(entry)) : Promise.reject(Error("none"))]);
  for (const id of row.value ? gone : []) await soon(dropCopy(id)).catch(() => {});
  return {
    entry,
    any: !row.reason || !copy.reason,
    all: !row.reason && (!copy.reason || !hasCopies()),
  };
}

/** Move entries by their receipts, all or none, then let copies go (of a refused one it stays until somebody looks). */
const settle = (moved) =>
  write((log) => moved.forEach((row) => log.put(row))).then(
    () => Promise.allSettled(moved.map(({ id, st }) => st === 1 && soon(dropCopy(id)))),
    () => {}, // They are sent again: the server knows them.
  );
