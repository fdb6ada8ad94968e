// Answers two addresses from the cache: the shell and its second script. Other pages come from the
// network as they are; where there is none, it says so. It never touches an API, nor reloads a page.
const HASH = "@HASH@";
const CACHE = `shell-${HASH}`;
const MORE = `/log/more-${HASH}.js`;

self.addEventListener("install", (event) => {
  self.skipWaiting();
  event.waitUntil(keepShell());
  // Where the browser can, it answers from the cache without waking this worker.
  event.addRoutes?.([fromCache({ pathname: "/log", search: "" }, "navigate"), fromCache({ pathname: MORE })]).catch(() => {});
});

const fromCache = (at, requestMode) => ({
  condition: { urlPattern: new URLPattern(at), ...(requestMode && { requestMode }) },
  source: { cacheName: CACHE },
});

/** A portal's page or an error must never become the shell; both files are kept, or none. */
async function keepShell() {
  const [page, more] = await Promise.all([fresh("/log"), fresh(MORE)]);
  const text = await page.clone().text();
  const type = more.headers.get("Content-Type") || "";
  if (!text.includes(`data-shell="${HASH}"`) || !type.startsWith("text/javascript")) throw Error("not our shell");
  const cache = await caches.open(CACHE);
  await cache.put(MORE, more);
  await cache.put("/log", page);
}

async function fresh(path) {
  const answer = await fetch(path, { cache: "reload", credentials: "omit" });
  if (!answer.ok || answer.redirected) throw Error("not ours");
  return answer;
}

self.addEventListener("activate", (event) => {
  const old = (name) => name.startsWith("shell-") && name !== CACHE;
  event.waitUntil(caches.keys().then((names) => Promise.all(names.filter(old).map((name) => caches.delete(name)))));
});

self.addEventListener("fetch", (event) => {
  const { mode, method, url } = event.request;
  const path = new URL(url).pathname;
  const goes = mode === "navigate";
  if ((goes && path === "/log") || path === MORE) event.respondWith(kept(path, event.request));
  else if (goes && method === "GET") event.respondWith(fetch(event.request).catch(noSignal));
});

const h = String.raw;
/** In the place of the browser's own page, from which nothing leads back. */
const noSignal = () =>
  new Response(
    h`<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>No signal</title><style>:root{color-scheme:light dark;font:106.25%/1.5 system-ui,sans-serif}body{max-width:40rem;margin:0 auto;padding:16px}a{display:inline-block;padding:14px 0;margin-right:24px}</style><h1>No signal</h1><p>This page needs signal. What you logged is kept on this phone.</p><a href="/log">Back to This week</a><a href="">Try again</a>`,
    { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } },
  );

async function kept(path, request) {
  const found = await caches.open(CACHE).then((cache) => cache.match(path)).catch(() => null);
  return found || fetch(request);
}

// Signal is back while nobody has the page open: what waits is sent. The page asks for the receipts.
self.addEventListener("sync", (event) => event.waitUntil(sendCopies().then(sendLarge)));

async function sendCopies() {
  const [copies, aside] = await Promise.all([caches.open("copy"), caches.open("aside")]);
  const keys = (await (await aside.match("/keys"))?.json()) || {};
  const waiting = await Promise.all((await copies.keys()).map(async (at) => (await copies.match(at)).json()));
  // A change goes after what it changes.
  waiting.sort((a, b) => !!a.target - !!b.target || (a.id < b.id ? -1 : 1));
  for (const [who, { key }] of Object.entries(keys)) {
    const mine = waiting.filter((e) => e.who === who);
    while (mine.length) {
      const body = JSON.stringify({ sent: new Date().toISOString(), e: mine.splice(0, 40) });
      const headers = { "Content-Type": "application/json", Authorization: `LogKey ${key}` };
      const answer = await fetch("/api/sync", { method: "POST", redirect: "manual", body, headers });
      // A later batch may change what this one holds.
      if (!answer.ok) break;
    }
  }
}

/** Clips and voice notes go after the logs they belong to. */
async function sendLarge() {
  const keys = (await (await (await caches.open("aside")).match("/keys"))?.json()) || {};
  for (const row of await allParcels()) {
    const key = keys[row.who]?.key;
    if (key && !row.why) await sendParcel(row, key);
  }
}

// A nudge always shows something: a browser that sees none of it takes the permission back.
self.addEventListener("push", (event) => {
  const { notification: { title, ...more } } = said(event.data);
  event.waitUntil(registration.showNotification(title, { ...more, icon: "/static/icon-192.png", data: more }));
});

function said(data) {
  try {
    return data.json();
  } catch {
    return { notification: { title: "Practice", body: "There is something new." } };
  }
}

self.addEventListener("notificationclick", (event) => {
  event.notification.close();
  event.waitUntil(openPage(event.notification.data?.navigate || "/log"));
});

/** To the page that is open already, or to a new one; and say that it was looked at. */
async function openPage(address) {
  const { pathname, hash } = new URL(address, location.origin);
  looked(hash.replace("#for=", "")).catch(() => {});
  const pages = await clients.matchAll({ type: "window", includeUncontrolled: true });
  const page = pages.find(({ url }) => new URL(url).pathname === pathname);
  return page ? page.focus() : clients.openWindow(pathname + hash);
}

async function looked(who) {
  const aside = await caches.open("aside");
  const { key } = (await (await aside.match("/keys"))?.json())?.[who] || {};
  if (key) await fetch("/api/push/opened", { method: "POST", redirect: "manual", headers: { Authorization: `LogKey ${key}` } });
}
