// What was logged: every entry with what became of it.

const found = (root) => own().find(({ e }) => rootOf(e) === root || e.id === root);

/** Too old to be changed here. */
const isOld = ({ at }) => at < addDays(today(), -7);

function entryRow({ e, st, why }) {
  const gone = state.gone.has(rootOf(e));
  const what = about(`${entryName(e)}, ${dayName(e.day)}`);
  const fix = st === 2 && [!!(e.b || e.pain) && go(`change=${e.id}`, h`Put it right${what}`), act("discard", h`Discard${what}`, e.id, "plain")];
  const edit = !gone && found(rootOf(e)) && !isOld(e) && (e.b || e.pain || e.note) && [(e.b?.length || e.pain) ? go(`change=${rootOf(e)}`, h`Change${what}`) : "", act("back", h`Take it back${what}`, rootOf(e), "plain")];
  const where = gone ? "Taken back" : ["Kept on this phone", "Your coach has it", h`<span class="look">Needs a look: ${why}</span>`][st];
  // A row that was just taken back keeps its room: the next one must not move under the finger.
  return h`<b>${entryName(e)}</b><br><span class="quiet">${dayName(e.day)} · ${where}</span><br>${e.note}<div class="two">${fix || edit || (gone && [act("again", h`Put it back${what}`, rootOf(e), "plain"), h`<p class="button inert"></p>`]) || ""}</div>`;
}

async function discard(id) {
  await soon(dropCopy(id)).catch(() => {});
  await write((log) => log.delete(id));
}

const unsent = (rows) => rows.map(({ e }) => `${e.day} ${entryName(e)} ${e.note || ""}`).join("\n");

/** What somebody else saved on this phone is counted, and never shown. */
function entriesScreen() {
  const rows = [...own(), ...state.gone.values()].sort((a, b) => (a.e.day + a.e.at < b.e.day + b.e.at ? 1 : -1)).slice(0, 60);
  const mine = state.rows.filter(({ st, e }) => st !== 1 && e.who === state.me.id);
  const more = mine.filter((r) => r.e.k !== "back" && !rows.some(({ e }) => e.id === r.id));
  const waits = mine.length > 0 || myParcels().length > 0;
  const old = mine.some((r) => Date.now() - idTime(r.id) > 3 * 864e5);
  return {
    title: "What I logged",
    body: h`<p>${extra.standing(state.rows, state.login)}. ${!!state.tried && `Last try at ${stamp(new Date(state.tried)).slice(11, 16)}.`} ${waits && sendingWords()}</p>${state.login && SIGN_IN}${old && h`<details><summary>Copy my unsent logs</summary><textarea readonly rows="6">${unsent(mine)}</textarea></details>`}${waitingRows()}${list([...more, ...rows].map(entryRow))}${rows.some(({ e }) => isOld(e)) && h`<p class="quiet">What is older than a week stays as it is. If it is wrong, tell your coach.</p>`}${awayRows()}${mayBeOthers() && act("who", "Log for somebody else", "", "link")}`,
    main: waits || state.login ? act("renew", "Send now") : go("", "This week"),
    left: go("other", "Other practice"),
  };
}

DO.discard = async (id) => {
  if (!confirm("Discard it? It is nowhere else.")) return;
  await discard(id).catch(() => {});
  await refresh();
  show();
};

DO.back = (target) => {
  const row = found(target);
  if (row) state.gone.set(target, row);
  return commit("back", { target }, "Taken back.", location.hash.slice(1));
};
/** What it said is said again: nothing that one tap took is gone. */
DO.again = (target) => {
  const { e } = state.gone.get(target);
  const { v, day, b, min, felt, note, pain, about } = e;
  state.gone.delete(target);
  const said = JSON.parse(JSON.stringify({ v, day, b, min, felt, note, pain, about, target }));
  return commit("change", said, "It is back.", location.hash.slice(1));
};
DO.undo = () => DO.back(state.saved);

/** Only where what it would take back stands on the screen: its receipt, or the part it was of. */
function paintUndo() {
  const [name, arg] = here();
  const row = state.saved && found(state.saved);
  const isHere = row && (name === "saved" ? arg === row.e.id : name === "part" && row.e.b?.some(({ p }) => p === arg));
  $("#undo").hidden = !isHere;
  if (isHere) draw("#undo", h`Take it back${about(`${entryName(row.e)}, ${dayName(row.e.day)}`)}`);
}
DO.renew = renew;

SCREENS.entries = entriesScreen;
