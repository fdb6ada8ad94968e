// A clip taken at the range and a question by voice: made here, and kept until they are sent.

const MOST_FILM = 60 * 2 ** 20;
const LONGEST_VOICE = 15;
const queue = { rows: [], failed: 0, timer: 0, sending: null };

const takes = (what) => !!state.week?.takes?.[what];
const voiceType = () => ["audio/webm;codecs=opus", "audio/mp4"].find((type) => self.MediaRecorder?.isTypeSupported(type));
const maySpeak = () => takes("voice") && !!navigator.mediaDevices && !!voiceType();
const myParcels = () => queue.rows.filter(({ who }) => who === state.me?.id);
const parcelsWord = () => {
  const waiting = queue.rows.filter(({ why }) => !why).length;
  const stuck = queue.rows.length - waiting;
  return [waiting && `${many(waiting, "recording")} wait${waiting === 1 ? "s" : ""} on this phone`, stuck && `${many(stuck, "recording")} need${stuck === 1 ? "s" : ""} a look`].filter(Boolean).join(" · ");
};

async function countParcels() {
  queue.rows = await allParcels().catch(() => queue.rows);
  if (state.begun) changed();
}

/** All that wait, after the logs they belong to; stops at the first answer that is not ours. */
async function sendAllParcels() {
  queue.rows = await allParcels();
  for (const row of queue.rows.filter(({ why }) => !why)) {
    const key = () => state.keys[row.who]?.key;
    let fate = key() ? await sendParcel(row, key()) : { code: "login" };
    if (fate.code === "login" && (await extra.newKey?.(row.who))) fate = await sendParcel(row, key());
    if (fate.code === "entry" && !state.rows.some(({ id }) => id === row.entry))
      await putParcel({ ...row, why: "What it belongs to is no longer on this phone. Send it again from its part." });
    else if (!fate.sent && !fate.why && !/^(entry|login|link)$/.test(fate.code)) throw Error("not ours");
  }
  queue.failed = 0;
}

/** One at a time, in one tab where the browser can say so; what fails is tried again. */
function sendParcels() {
  clearTimeout(queue.timer);
  queue.sending ||= (navigator.locks
    ? navigator.locks.request("parcels", { ifAvailable: true }, (lock) => lock && sendAllParcels())
    : sendAllParcels())
    .catch(() => {
      queue.timer = setTimeout(sendParcels, Math.min(TIMES.most, TIMES.base * 2 ** queue.failed++));
    })
    .finally(() => {
      queue.sending = null;
      return countParcels();
    });
  return queue.sending;
}

/** Keep it with its bytes before anything is said. */
async function keepParcel(row) {
  try {
    await putParcel({ who: state.me.id, ...row });
  } catch {
    return false;
  }
  await countParcels();
  stay();
  return true;
}
const NO_ROOM = "NOT kept: this phone has no room for it. Make room, and choose it again.";

const waitingRows = () => list(myParcels().map(({ id, name, at, why }) => h`<b>${name}</b><br><span class="quiet">${dayName(at)} · </span>${why ? h`<span class="look">Needs a look: ${why}</span>` : "Waits on this phone"}<div class="two">${!!why && act("resend", h`Try again${about(name)}`, id, "plain")}${act("unsend", h`Discard${about(name)}`, id, "plain")}</div>`));

function clipScreen(id) {
  const { part } = partAt(id);
  if (!part || !takes("film")) return weekScreen(id);
  return {
    title: "Send a clip",
    body: h`<form id="f" data-clip="${id}"><h2>${part.name}</h2>${field("A clip or a picture", h`<input type="file" name="file" accept="image/*,video/*" required>`)}<p class="quiet">Film the swing alone, 60 seconds at most. Without signal it waits on this phone.</p>${field("Words, if any", h`<input name="words" maxlength="200">`)}</form>`,
    main: saving("Keep and send it"),
    left: leave(`part=${id}`),
    part: id,
  };
}

async function submitClip(f, data) {
  const file = data.get("file");
  const { part } = partAt(f.dataset.clip);
  if (!file?.size) return say("Choose a clip or a picture first.");
  if (file.size > MOST_FILM) return say("That is more than 60 MB. Trim it to the swing, and choose it again.");
  say("One moment: it is being kept.");
  const row = { id: newId(), at: today(), name: `Clip: ${part.name}`, drill: part.drill, words: data.get("words").trim(), file, still: await self.stillOf(file) };
  if (!(await keepParcel(row))) return say(NO_ROOM);
  moveTo(`part=${part.id}`);
  say("Kept on this phone. It is sent when there is signal.");
  sendParcels();
}

/** The voice note that is being made, for the question that stands on the screen. */
let voice = null;

const voiceOf = () =>
  !maySpeak() ? ""
  : !voice ? h`<p>Or say it, in 15 seconds at most:</p><div class="links">${act("speak", "Record it", "", "plain")}</div>`
  : voice.recorder ? h`<p role="timer" id="spoken"></p><div class="links">${act("spoken", "Stop")}</div>`
  : h`<p>Your voice note, ${many(voice.seconds, "second")}:</p><audio controls src="${voice.url}"></audio><div class="links">${act("mute", "Throw it away", "", "plain")}</div>`;

function mute() {
  voice?.recorder?.stop();
  if (voice?.url) URL.revokeObjectURL(voice.url);
  voice = null;
}

/** Draw the voice's place alone: the words that are being typed stay. */
const paintVoice = () => $("#voice") && ($("#voice").innerHTML = `${voiceOf()}`);

async function speak() {
  mute();
  const stream = await navigator.mediaDevices.getUserMedia({ audio: true }).catch(() => null);
  if (!stream) return say("This phone does not let the page hear you. Allow the microphone, or type it.");
  const recorder = new MediaRecorder(stream, { mimeType: voiceType(), audioBitsPerSecond: 24000 });
  const mine = (voice = { recorder, parts: [], began: Date.now() });
  recorder.ondataavailable = ({ data }) => mine.parts.push(data);
  recorder.onstop = () => {
    stream.getTracks().forEach((track) => track.stop());
    if (voice !== mine) return;
    const blob = new Blob(mine.parts, { type: recorder.mimeType.split(";")[0] });
    voice = { blob, url: URL.createObjectURL(blob), seconds: Math.max(1, Math.round((Date.now() - mine.began) / 1000)) };
    paintVoice();
    say("Recorded. Listen to it, or send it.");
  };
  recorder.start();
  paintVoice();
  listen(mine);
}

function listen(mine) {
  if (voice !== mine || !$("#spoken")) return voice === mine && mine.recorder && mute();
  const seconds = Math.floor((Date.now() - mine.began) / 1000);
  if (seconds >= LONGEST_VOICE) return mine.recorder.stop();
  $("#spoken").textContent = `Recording: ${seconds} of ${LONGEST_VOICE} seconds`;
  setTimeout(listen, 250, mine);
}

/** A question with a voice note: the bytes first, then the log that they belong to. */
async function sendVoice(more, to) {
  if (voice.recorder) return say("Stop the recording first.");
  const entry = newId();
  const { blob: file, seconds } = voice;
  if (!(await keepParcel({ id: newId(), at: today(), name: `Voice note, ${many(seconds, "second")}`, entry, file }))) return say(NO_ROOM);
  mute();
  return commit("log", { ...more, id: entry }, "Kept. Your coach will hear it.", to);
}

Object.assign(DO, {
  speak, mute: () => (mute(), paintVoice()), spoken: () => voice?.recorder?.stop(),
  resend: async (id) => {
    await putParcel({ ...queue.rows.find((row) => row.id === id), why: undefined });
    return sendParcels();
  },
  unsend: async (id) => {
    if (!confirm("Discard it? It is nowhere else.")) return;
    await dropParcel(id);
    await countParcels();
    say("Discarded.");
  },
});
SCREENS.clip = clipScreen;
const { standing } = extra;
extra.standing = (rows, login) => {
  const words = parcelsWord();
  const logs = standing(rows, login);
  return !words ? logs : logs === "All sent" ? words : `${logs} · ${words}`;
};
addEventListener("online", sendParcels);
document.addEventListener("visibilitychange", () => document.hidden || sendParcels());
