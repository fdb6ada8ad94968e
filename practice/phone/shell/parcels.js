// Clips and voice notes on this phone, with their bytes: kept, and sent. For the page and for the worker.

/** A database of its own: what is large does not stand in the file of the logs. */
async function inParcels(mode, work) {
  const db = await new Promise((yes, no) => {
    const ask = indexedDB.open("parcels", 1);
    ask.onupgradeneeded = () => ask.result.createObjectStore("waiting", { keyPath: "id" });
    ask.onerror = () => no(ask.error);
    ask.onsuccess = () => yes(ask.result);
  });
  try {
    return await new Promise((yes, no) => {
      const turn = db.transaction("waiting", mode, { durability: "strict" });
      const asked = work(turn.objectStore("waiting"));
      turn.oncomplete = () => yes(asked.result);
      turn.onabort = () => no(turn.error);
    });
  } finally {
    db.close();
  }
}
const allParcels = () => inParcels("readonly", (waiting) => waiting.getAll());
const putParcel = (row) => inParcels("readwrite", (waiting) => waiting.put(row));
const dropParcel = (id) => inParcels("readwrite", (waiting) => waiting.delete(id));

/** What an answer makes of a parcel: only a receipt that names it lets it go. */
function parcelFate(id, status, body) {
  if (status === 200 && body.ok === true && body.r?.[id]) return { sent: true };
  if (status === 422 || (status === 413 && body.detail)) return { why: body.detail };
  return { code: body.code };
}

/** Send one, and do what its receipt says. Sent again it adds nothing. */
async function sendParcel(row, key) {
  const body = new FormData();
  for (const name of ["drill", "entry", "words"]) if (row[name]) body.set(name, row[name]);
  body.set("file", row.file, "file");
  if (row.still) body.set("still", row.still, "still.jpg");
  const headers = { Authorization: `LogKey ${key}` };
  const answer = await fetch(`/api/clips/${row.id}`, { method: "POST", redirect: "manual", cache: "no-store", body, headers });
  const fate = parcelFate(row.id, answer.status, Object(await answer.json().catch(() => null)));
  if (fate.sent) await dropParcel(row.id);
  if (fate.why) await putParcel({ ...row, why: fate.why });
  return fate;
}
