// Sends a clip, and keeps it on this phone while there is no signal. Its id is made here,
// so that sending it again adds nothing. Without this the form sends itself.
(() => {
  const form = document.getElementById("send-clip");
  const state = document.getElementById("clip-state");
  const student = form.dataset.student;
  // A server that is busy for a moment is asked again; coming back into signal asks at once.
  const PAUSE = 30000;
  const token = form.querySelector("[name=csrfmiddlewaretoken]").value;
  let busy = false;
  let again = 0;

  function store() {
    return new Promise((yes, no) => {
      const ask = indexedDB.open("clips", 1);
      ask.onupgradeneeded = () => ask.result.createObjectStore("waiting", { keyPath: "id" });
      ask.onerror = () => no(ask.error);
      ask.onsuccess = () => yes(ask.result);
    });
  }

  async function run(mode, work) {
    const db = await store();
    try {
      return await new Promise((yes, no) => {
        const turn = db.transaction("waiting", mode, { durability: "strict" });
        const asked = work(turn.objectStore("waiting"));
        turn.oncomplete = () => yes(asked.result);
        turn.onerror = turn.onabort = () => no(turn.error);
      });
    } finally {
      db.close();
    }
  }

  const keep = (clip) => run("readwrite", (rows) => rows.put(clip));
  const drop = (id) => run("readwrite", (rows) => rows.delete(id));
  const waiting = async () => (await run("readonly", (rows) => rows.getAll())).filter((clip) => clip.student === student);

  // Answers "sent", "refused" with the reason, or "later", with the reason if it is not the signal.
  async function send(clip) {
    const body = new FormData();
    body.set("csrfmiddlewaretoken", token);
    for (const name of ["id", "drill", "entry", "words"]) body.set(name, clip[name] ?? "");
    body.set("file", clip.file, clip.name);
    const still = await self.stillOf(clip.file);
    if (still) body.set("still", still, "still.jpg");
    try {
      const answer = await fetch(form.action, { method: "POST", body, headers: { "X-Fragment": "1" }, redirect: "manual" });
      if (answer.ok) return ["sent", ""];
      if (answer.status === 400) return ["refused", (await answer.json()).detail];
      if (answer.status === 413) return ["refused", "That is too big to take. Trim it to the swing."];
      const signedOut = answer.type === "opaqueredirect" || answer.status === 403;
      return ["later", signedOut ? "You are signed out: sign in again, and come back to this page." : ""];
    } catch {
      return ["later", ""];
    }
  }

  async function sendAll() {
    if (busy) return;
    busy = true;
    clearTimeout(again);
    let sent = 0;
    let reason = "";
    try {
      for (const clip of await waiting()) {
        const [what, why] = await send(clip);
        if (what === "later") {
          reason = why;
          break;
        }
        await drop(clip.id);
        if (what === "refused") {
          say(`${clip.name}: ${why}`);
          return;
        }
        sent += 1;
      }
      const left = (await waiting()).length;
      if (left) {
        say(`${left} kept on this phone. ${reason || "It is sent when there is signal and this page is open."}`);
        again = setTimeout(sendAll, PAUSE);
      } else if (sent) location.reload();
    } finally {
      busy = false;
    }
  }

  function say(words) {
    state.textContent = words;
  }

  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const file = form.elements.file.files[0];
    if (!file) return;
    const { drill, entry, words } = form.elements;
    const clip = { id: crypto.randomUUID(), student, drill: drill.value, entry: entry.value, words: words.value, name: file.name, file };
    try {
      await keep(clip);
    } catch {
      say("This phone cannot keep it. Stay on this page until it is sent.");
      const [what, why] = await send(clip);
      if (what === "sent") location.reload();
      else say(why || "There is no answer. Try again when there is signal.");
      return;
    }
    form.elements.file.value = "";
    words.value = "";
    say("Kept on this phone. Sending …");
    sendAll();
  });
  addEventListener("online", sendAll);
  sendAll();
})();
