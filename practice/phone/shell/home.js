// What is said once: that the page can stand on the home screen, and where it cannot do its work.

let install = null;
let isToldHome = true;
recall("home").then((told) => (isToldHome = !!told), () => {});
addEventListener("beforeinstallprompt", (event) => {
  event.preventDefault();
  install = event;
});

const isOnHome = () => matchMedia("(display-mode: standalone)").matches || navigator.standalone;
const byHand = () => ("standalone" in navigator ? "Tap Share, then Add to Home Screen." : "In the menu of your browser, choose Add to Home screen.");

/** After a save that has arrived: a home screen may keep a store of its own, so nothing may wait here. */
function homeWords() {
  if (isToldHome || isOnHome() || extra.standing(state.rows, state.login) !== "All sent") return "";
  return h`<section class="sheet"><p>This page can stand on your home screen. It opens there with no signal too. ${!install && byHand()}</p><div class="links">${!!install && act("install", "Put it there")}${act("home", "Not now", "", "plain")}</div></section>`;
}
function toldHome() {
  isToldHome = true;
  remember("home", 1);
  show();
}
DO.home = toldHome;
DO.install = () => {
  install.prompt();
  toldHome();
};

/** Inside another app a page is not kept, and its store may never be opened again. */
const insideApp = () =>
  isSecureContext && (!("serviceWorker" in navigator) || /; wv\)/.test(navigator.userAgent)) &&
  h`<p class="look">This page is open inside another app. Open it in your browser: only there it works without signal.</p>`;

/** Ask the browser to send what waits when there is signal, where it can: the page itself does as long as it is seen. */
function sendLater() {
  if (state.rows.some(({ st }) => st === 0) || queue.rows.length) navigator.serviceWorker?.ready.then((registered) => registered.sync?.register("outbox")).catch(() => {});
}
/** Ask the browser to clear nothing of it by itself. */
const stay = () => navigator.storage?.persist?.().catch(() => {});
extra.kept = () => {
  stay();
  if (!navigator.onLine) sendLater();
};
// A page that stays open through the turn of the day is drawn for the new one.
const turn = () => state.drawn !== today() && changed();
setInterval(turn, 3e4);
async function back() {
  if (document.hidden) return sendLater();
  turn();
  (await navigator.serviceWorker?.getRegistration())?.update().catch(() => {});
  await renew();
}
addEventListener("pageshow", (event) => event.persisted && back());
document.addEventListener("visibilitychange", back);
const sendingWords = () =>
  "SyncManager" in self ? "What waits is sent as soon as there is signal." : "What waits is sent when this page is open and there is signal.";
