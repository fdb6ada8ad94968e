// Decisions only: no clock, no network, no storage. Tested as they stand.

/** A UUID of version 7 from milliseconds and ten random bytes. */
function uuid7(ms, random) {
  const time = ms.toString(16).padStart(12, "0");
  const hex = [...random].map((n) => (n | 256).toString(16).slice(1)).join("");
  const variant = "89ab"[random[9] & 3];
  return `${time.slice(0, 8)}-${time.slice(8)}-7${hex.slice(0, 3)}-${variant}${hex.slice(3, 6)}-${hex.slice(6, 18)}`;
}

/** The milliseconds an id was made from. */
const idTime = (id) => parseInt(id.replace("-", "").slice(0, 12), 16) || 0;

/** What a receipt does to an entry: a new state, or null to keep it as it is. */
function receipt(r, why) {
  const [word, reason] = Array.isArray(r) ? r : [];
  if (word === "stored" || word === "had") return { st: 1 };
  return word === "refused" ? { st: 2, why: why || `It was not taken (${reason}).` } : null;
}

/** What an answer means. Only a receipt that names an id we sent moves an entry. */
function judge(status, body, ids) {
  const { ok, r, code } = Object(body);
  if (status === 200 && ok === true) {
    const named = ids.filter((id) => Object(r)[id]);
    return { kind: named.length ? "receipts" : "unknown", named };
  }
  if (status === 401 && code === "login") return { kind: "login" };
  return { kind: status === 413 || status >= 500 ? "split" : "unknown" };
}

/** How long to wait after the n-th failure running. `asked` is the server's Retry-After. */
function pause(n, random, base, most, asked) {
  const own = Math.min(most, base * 2 ** n) * (0.7 + 0.6 * random);
  return Math.max(own, Math.min(asked * 1000 || 0, 36e5));
}

/** Entries in the order they must arrive (a change after what it changes; what was tried in vain last), cut for sending. */
function batches(entries, failures, oneByOne) {
  const late = (e) => (failures[e.id] || 0) + (failures[e.target] || 0);
  const sorted = [...entries].sort(
    (a, b) => late(a) - late(b) || !!a.target - !!b.target || (a.id < b.id ? -1 : 1),
  );
  const out = [];
  while (sorted.length) out.push(sorted.splice(0, oneByOne ? 1 : 40));
  return out;
}

/** The phone's own clock, as text. */
const local = (d) => new Date(d - d.getTimezoneOffset() * 6e4).toISOString();

/** The practice day turns over at 03:00, by the calendar and not three hours on. */
const practiceDay = (d) =>
  local(new Date(d.getFullYear(), d.getMonth(), d.getDate(), d.getHours() - 3)).slice(0, 10);

/** Local time with its offset. */
function stamp(d) {
  const off = d.getTimezoneOffset();
  const size = new Date(Math.abs(off) * 6e4).toISOString().slice(11, 16);
  return `${local(d).slice(0, 19)}${off > 0 ? "-" : "+"}${size}`;
}

const addDays = (day, n) => new Date(Date.parse(day) + n * 864e5).toISOString().slice(0, 10);
