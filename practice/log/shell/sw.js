// Answers two addresses from the cache: the shell and its second script. It never touches an
// API or a page of the coach's, and it never reloads anybody's page.
const HASH = "@HASH@";
const CACHE = `shell-${HASH}`;
const MORE = `/log/more-${HASH}.js`;

self.addEventListener("install", (event) => {
  self.skipWaiting();
  event.waitUntil(keepShell());
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
  const { mode, url } = event.request;
  const path = new URL(url).pathname;
  if ((mode === "navigate" && path === "/log") || path === MORE) event.respondWith(kept(path, event.request));
});

async function kept(path, request) {
  const found = await caches.open(CACHE).then((cache) => cache.match(path)).catch(() => null);
  return found || fetch(request);
}
