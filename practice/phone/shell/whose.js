// Whose practice this phone keeps: keys, links, several students, somebody else signed in.

/** Ask for a key of this phone's own, by the sign-in. With several students, somebody must choose. */
async function getKey(who) {
  const asked = state.first || ask("/api/key");
  state.first = null;
  const { status, body } = await asked;
  if (status === 401) state.login = true;
  if (status !== 200 || !body.students) return false;
  state.students = body.students;
  state.writer = body.writer?.name || "";
  const one = body.students.find((s) => (who ? s.id === who : body.students.length === 1));
  return one ? takeKey(one) : false;
}

async function takeKey({ id, name }, chosen) {
  const { body } = await ask("/api/key", { method: "POST", body: JSON.stringify({ student: id }) });
  if (!body.key) return false;
  state.keys[id] = { key: body.key, name };
  await remember("keys", state.keys);
  if (chosen || !state.me) await become({ id, name });
  return true;
}

/** The key of a link that was opened, where the phone had one of its own already. */
function takeSpare(who) {
  const { spare, ...mine } = state.keys[who] || {};
  if (!spare) return false;
  state.keys[who] = { ...mine, key: spare };
  return true;
}

/**
 * A link brings a key after the #, and only from our own button: that leaves a cookie behind.
 * Another student than before is asked for. A key of the phone's own goes first.
 */
async function takeLink() {
  const { key, who, name, own } = Object.fromEntries(new URLSearchParams(location.hash.slice(1)));
  if (!key || !document.cookie.includes(`link=${who}.`)) return;
  history.replaceState(history.state, "", "/log");
  const known = state.keys[who];
  if (state.me && !known && !confirm(`Log for ${name}, not for ${state.me.name}?`)) return;
  state.keys[who] = known && !own ? { ...known, spare: key } : { key, name };
  await remember("keys", state.keys);
  await become({ id: who, name });
}

async function become({ id, name }) {
  const student = { id, name, by: signedIn() };
  // What the one before saved is not this one's to take back.
  if (state.me?.id !== id) state.saved = null;
  state.me = student;
  state.asks = false;
  state.week = (await recall(`week ${student.id}`)) || null;
  await remember("me", student);
}

const SIGN_IN = h`<a class="button" href="/account/login/?next=/log">Sign in</a>`;

/** Before this phone knows whose practice it keeps, or to choose somebody else's. */
function welcome() {
  const known = new Map([...Object.entries(state.keys), ...(state.students || []).map((s) => [s.id, s])]);
  const { me, asks, writer } = state;
  const stay = asks && h`<p>Until now this phone kept the practice of ${me.name}.</p>`;
  if (known.size && (state.asked || !asks)) return { title: "Whose practice?", body: h`<p>${!!writer && `You write as ${writer}.`}</p>${stay}<div class="links">${[...known].map(([id, { name }]) => act("choose", name, id, "plain"))}</div>${!asks && !state.students && act("who", "Log for somebody else", "", "link")}` };
  // Whoever is signed in is never told to sign in: first it is asked.
  if (!state.asked) return { title: "Welcome", body: h`<p>One moment.</p>` };
  return state.students
    ? { title: "No week here", body: h`<p>Students join by their coach’s link.</p>` }
    : { title: "Welcome", body: h`<p>Sign in once. This phone then keeps your week, signal or none.</p>`, main: h`${SIGN_IN}<a class="button plain" href="/phone/">I have six digits</a>` };
}

/** A page of ours about one child leads to that child's practice; an address from elsewhere asks. */
async function takeFor() {
  const [name, id] = here();
  if (name !== "for") return;
  history.replaceState(history.state, "", "/log");
  const { me, keys } = state;
  if (me?.id === id) return;
  if (me && !document.referrer.startsWith(location.origin) && !confirm(`Log for another student than ${me.name}?`)) return;
  if (keys[id] || (await getKey(id))) await become({ id, name: state.keys[id].name });
}

/** Somebody else may have signed in since: nothing of the last one is there to be tapped until it is clear. */
async function askWhose() {
  await getKey("nobody");
  if (state.students?.some(({ id }) => id === state.me.id)) await become(state.me);
}

DO.choose = async (id) => {
  if (state.keys[id] || state.me?.id === id) await become(state.keys[id] ? { id, name: state.keys[id].name } : state.me);
  else await takeKey(state.students.find((s) => s.id === id), true);
  moveTo("");
  await renew();
};
DO.who = async () => {
  // The screen first: what is chosen on it meanwhile stays chosen.
  location.hash = "who";
  await getKey("nobody");
  if (!mayBeOthers()) {
    moveTo("entries");
    return say("You log for nobody else here.");
  }
  changed();
  if (!state.students) say("Other names come with signal, and you signed in.");
};

/** A key that was asked for before it was known that there is one. */
async function endSpare() {
  const asked = state.first;
  state.first = null;
  const { body } = await asked;
  if (body.key) await ask("/api/key", { method: "DELETE" }, body.key);
}

/** Once at the start: whose this is, where the phone does not know or somebody else signed in. */
async function whose() {
  if (state.me && state.first) endSpare();
  if (!state.me) await getKey();
  state.asked = true;
  if (state.asks) await askWhose();
  stillReminded();
}

/** What the address brings: a link's key, or a child to log for. */
async function brought() {
  await takeLink();
  await takeFor();
}

/** Nobody looks for others where it is known that there are none. */
const mayBeOthers = () => !state.students || state.students.length > 1 || Object.keys(state.keys).length > 1;

SCREENS.who = welcome;
Object.assign(extra, { whose, brought, welcome, newKey: async (who) => (await getKey(who)) || takeSpare(who) });
