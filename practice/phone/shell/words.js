// Words: what the coach said, under what it answers; and asking.

const linesNow = () => state.week?.lines || [];
// What this page has shown already, told to the server when it can be.
const shownLines = new Set();
const unreadLines = () => linesNow().filter((line) => line.new && !shownLines.has(line.id));

const coachLine = (l) => h`${!!l.new && h`<b>New: </b>`}${l.text}<br><span class="quiet">${l.by}, ${dayName(l.at.slice(0, 10))}</span>`;

/** The entry that a line answers, if this phone still has it. */
const answeredBy = ({ about }) => about && own().find(({ e }) => rootOf(e) === about)?.e;

/** Questions about a part and the coach's answers, newest first. */
function wordsOf(p) {
  const asked = own().filter(({ e }) => e.note && (e.about === p.id || (e.b || []).some((b) => b.p === p.id)));
  const rows = asked.map(({ e }) => ({ e, lines: linesNow().filter(({ about }) => about === rootOf(e)) }));
  const told = rows.filter(({ e, lines }) => lines.length || e.note.includes("?")).slice(0, 3);
  return told.map(({ e, lines }) => h`<p class="quiet">${you()}, ${dayName(e.day)}: ${e.note}</p>${lines.map((line) => h`<p>${coachLine(line)}</p>`)}${!lines.length && h`<p class="quiet">Not answered yet.</p>`}`);
}

function wordsScreen() {
  readLines();
  const rows = linesNow().map((line) => {
    const e = answeredBy(line);
    return h`${e && h`<span class="quiet">${you()}: ${e.note}</span><br>`}${coachLine(line)}`;
  });
  const answered = new Set(linesNow().map(({ about }) => about));
  const open = own().filter(({ e }) => !e.pain && e.note?.includes("?") && !answered.has(rootOf(e))).slice(0, 5);
  const asked = open.map(({ e, st }) => h`<span class="quiet">${you()}, ${dayName(e.day)}:</span> ${e.note}<br><span class="quiet">${st ? "Not answered yet." : "Kept on this phone."}</span>`);
  return { title: "From my coach", body: list([...asked, ...rows]) || h`<p>No message yet. What was said in a lesson stands under From the lessons, among your pages.</p>`, main: go("ask", "Ask my coach") };
}

/** Tell the server which lines were shown. Without signal they are told the next time. */
async function readLines() {
  const lines = unreadLines().map(({ id }) => id);
  lines.forEach((id) => shownLines.add(id));
  if (!lines.length) return;
  const { status } = await askFor(state.me.id, "/api/read", { method: "POST", body: JSON.stringify({ lines }) });
  if (status !== 204) lines.forEach((id) => shownLines.delete(id));
}

function askScreen(id) {
  const { part } = partAt(id);
  return {
    title: "Ask my coach",
    body: h`${part && h`<p>About: <b>${part.name}</b></p>`}<form id="f" data-ask="${part?.id}">${field("Your question", h`<textarea name="note" maxlength="2000" rows="3"></textarea>`)}<div id="voice">${voiceOf()}</div><p class="quiet">The answer comes to this phone, under From my coach. If something hurts, say it under Something hurts instead.</p>${!!state.week?.guarded && h`<p class="quiet">Your guardians can read it too.</p>`}</form>`,
    main: saving("Send it"),
    left: leave(part ? `part=${part.id}` : ""),
    part: part?.id,
  };
}

function submitAsk(f, data) {
  const note = data.get("note").trim() || (voice && `Voice note, ${many(voice.seconds, "second")}`);
  if (!note) return say(maySpeak() ? "Write or say your question first." : "Write your question first.");
  const about = f.dataset.ask || undefined;
  const more = { note: note.includes("?") ? note : note.replace(/[.\s]*$/, "?"), ...(about && { about }) };
  const to = about ? `part=${about}` : "words";
  return voice ? sendVoice(more, to) : commit("log", more, "Kept. Your coach will read it.", to);
}

/** At the top of the week, so that an answer is seen. */
const newWords = () => unreadLines().length > 0 && h`<p><a class="button plain" href="#words">Words from your coach: ${unreadLines().length} new</a></p>`;

Object.assign(SCREENS, { words: wordsScreen, ask: askScreen });
