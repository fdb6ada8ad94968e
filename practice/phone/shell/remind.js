// Being nudged on this phone: offered once, after a save that has arrived, and kept up at each start.

let isToldRemind = true;
// One question at a time: not on the visit on which the home screen was asked about.
Promise.all([recall("told remind"), recall("home")]).then(([told, home]) => (isToldRemind = !!told || !(home || isOnHome())), () => {});
const canRemind = () => "PushManager" in self && "Notification" in self && !!state.week?.push;
const REMIND = "It reminds you at your hour, on days with practice planned. It comes once a day at most, here and not by mail.";

function remindWords() {
  if (isToldRemind || !canRemind() || Notification.permission === "denied" || standing(state.rows, state.login) !== "All sent") return "";
  return h`<section class="sheet"><p>Shall this phone remind you? ${REMIND}</p><div class="links">${act("remind", "Remind me here")}${act("notnow", "Not now", "", "plain")}</div></section>`;
}

async function toldRemind(words) {
  isToldRemind = true;
  await remember("told remind", 1);
  show();
  if (words) say(words);
}

const asBytes = (text) => Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (c) => c.charCodeAt(0));
const pushing = async () => (await navigator.serviceWorker.ready).pushManager;

/** This browser's subscription, told to the server. One made for another key of ours is made anew. */
async function enrol({ id }) {
  const [manager, key] = [await pushing(), asBytes(state.week.push)];
  let held = await manager.getSubscription();
  const same = held && `${new Uint8Array(held.options.applicationServerKey)}` === `${key}`;
  if (held && !same) held = (await held.unsubscribe()) && null;
  held ||= await manager.subscribe({ userVisibleOnly: true, applicationServerKey: key });
  const { endpoint, keys } = held.toJSON();
  const { status, body } = await askFor(id, "/api/push", { method: "POST", body: JSON.stringify({ endpoint, ...keys }) });
  return status === 204 ? "" : body?.detail || "That did not arrive. Try again when there is signal.";
}

DO.notnow = () => toldRemind();
DO.remind = async () => {
  const { me } = state;
  if ((await Notification.requestPermission()) !== "granted") return toldRemind("This phone does not allow it. Mails come as before.");
  const fault = await enrol(me).catch(() => "This browser cannot do it. Mails come as before.");
  if (!fault) await remember(`remind ${me.id}`, 1);
  await toldRemind(fault || "This phone reminds you from now on.");
};
DO.unremind = async () => {
  const { status } = await askFor(state.me.id, "/api/push", { method: "DELETE" });
  if (status !== 204) return say("That did not arrive. Try again when there is signal.");
  await remember(`remind ${state.me.id}`, 0);
  await toldRemind("Reminders come by mail again.");
};

/** A subscription is renewed by the browser without a word: told again at each start. */
async function stillReminded() {
  const { me } = state;
  if (!me || !canRemind() || Notification.permission !== "granted" || !(await recall(`remind ${me.id}`))) return;
  await enrol(me).catch(() => {});
}

let isReminded = false;
SCREENS.remind = () => {
  recall(`remind ${state.me.id}`).then((on) => {
    if (isReminded === !!on) return;
    isReminded = !!on;
    changed();
  });
  const off = "PushManager" in self ? "" : "This browser cannot. On an iPhone put the page on the home screen first.";
  return {
    title: WAYS.remind,
    body: h`<p>${isReminded ? "This phone reminds you." : REMIND}</p>${!!off && h`<p>${off}</p>`}<p class="quiet">Hour and days are chosen under Reminders, among your pages.</p>`,
    main: isReminded ? act("unremind", "Mails instead") : canRemind() && act("remind", "Remind me here"),
  };
};

/** Nobody's practice is kept here any more: this browser is nudged about nothing. */
async function unremindAll() {
  if (!("PushManager" in self) || Object.keys(state.keys).length) return;
  await (await (await pushing()).getSubscription())?.unsubscribe();
}
