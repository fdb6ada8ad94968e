// The one to copy, and why a part is asked: beside the drill, and kept on the phone.

const CLIPS = "clips";
const MOST_CLIP = 12e6;
const urls = new Map();
const clipAt = (who, at) => `/_clip/${who}${at}`;
const distance = (metres) => withUnit(metres, unitsNow().m);

/** Why this: what the lesson found, or what the drill is for. */
const whyOf = ({ why, purpose }) => !!(why || purpose) && h`<p class="quiet">${why || purpose}</p>`;
function howOf({ setup, clean, log, swaps, steps }) {
  const percent = steps.some(({ e }) => e) && "How hard it feels, of the hardest you can.";
  const how = [["Set-up", setup], ["Clean", clean], ["Percent", percent], ["Log", log], ["Instead", swaps.map((id) => state.week.drills[id]).join(" or ")]].filter(([, text]) => text);
  return how.length > 0 && h`<details><summary>How it is done</summary>${how.map(([k, v]) => h`<p><b>${k}:</b> ${v}</p>`)}</details>`;
}

function clipOf({ clip }) {
  if (!clip) return "";
  const what = clip.picture
    ? h`<img data-at="${clip.at}" alt="${clip.words || "The one to copy"}">`
    : h`<video data-at="${clip.at}" ${!!clip.still && h`poster="${clip.still}"`} controls playsinline muted loop preload="none" aria-label="The one to copy"></video>`;
  return h`<figure><figcaption class="quiet">The one to copy${!!clip.length && `, ${clip.length}`}${!!clip.words && `: ${clip.words}`}</figcaption>${what}<p role="status"></p></figure>`;
}
const clipFold = (p) => !!p.clip && h`<details><summary>The one to copy</summary>${clipOf(p)}</details>`;

/** Where a clip is played from: this phone if it is kept, else the server. */
async function clipSource(at) {
  if (urls.has(at)) return urls.get(at);
  const found = await caches.open(CLIPS).then((cache) => cache.match(clipAt(state.me.id, at))).catch(() => null);
  if (!found) return at;
  urls.set(at, URL.createObjectURL(await found.blob()));
  return urls.get(at);
}

async function showClips() {
  for (const place of document.querySelectorAll("[data-at]:not([src])")) place.src = await clipSource(place.dataset.at);
}

/** Keep the clips of the week that are small enough; let go of what is no longer shown to this student. */
async function keepClips() {
  const who = state.me?.id;
  const cache = who && "caches" in self && (await caches.open(CLIPS));
  if (!cache || !state.week) return;
  const wanted = new Set(state.week.weeks.flatMap(({ parts }) => parts.map(({ clip }) => clip?.at)).filter(Boolean));
  for (const key of await cache.keys()) {
    const path = new URL(key.url).pathname;
    const at = path.slice(clipAt(who, "").length);
    if (!path.startsWith(clipAt(who, "")) || wanted.has(at)) continue;
    await cache.delete(key);
    urls.delete(at);
  }
  for (const at of navigator.connection?.saveData ? [] : wanted) {
    if (await cache.match(clipAt(who, at))) continue;
    const answer = await fetch(at).catch(() => null);
    const isClip = /^(video|image)\//.test(answer?.headers.get("Content-Type"));
    if (answer?.status === 200 && isClip && answer.headers.get("Content-Length") < MOST_CLIP) await cache.put(clipAt(who, at), answer);
  }
}

/** Nothing of a student's clips stays when the phone forgets them. */
async function dropClips(who) {
  const cache = await caches.open(CLIPS);
  for (const key of await cache.keys()) if (new URL(key.url).pathname.startsWith(clipAt(who, ""))) await cache.delete(key);
  urls.clear();
}

/** A clip that is played here was looked at. Without signal that is lost: the next time tells it. */
addEventListener("play", ({ target }) => {
  const clips = target.dataset.at?.match(/[\da-f-]{36}/);
  if (clips) askFor(state.me.id, "/api/read", { method: "POST", body: JSON.stringify({ lines: [], clips }) });
}, true);
// An error of a picture or a clip does not bubble.
addEventListener("error", ({ target }) => {
  if (/IMG|VIDEO/.test(target.tagName)) target.nextSibling.textContent = "It needs signal, and you signed in.";
}, true);
