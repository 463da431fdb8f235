// The page of the web chat. What people wrote is only ever put in as text. Calls that cannot leave
// wait in the phone, with the time they were made, and leave in order when the boat is in reach.
const el = (id) => document.getElementById(id);
const HEADERS = { "X-Deckcall": "1" };
const QUEUE = "deckcall-waiting";
let turn = 0, changed = 0, open = new Set(), dark = null, sending = false, me = {}, where = null, watching = null, editing = null, same = false;

const newRef = () => Array.from(crypto.getRandomValues(new Uint8Array(12)), (b) => b.toString(16).padStart(2, "0")).join("");
const waiting = () => JSON.parse(localStorage.getItem(QUEUE) || "[]");
const keepWaiting = (calls) => localStorage.setItem(QUEUE, JSON.stringify(calls));
const state = (text) => { el("state").textContent = text; };

function show(paired) {
  el("pair").hidden = paired;
  el("deck").hidden = !paired;
}

el("pair").addEventListener("submit", async (event) => {
  event.preventDefault();
  const body = JSON.stringify({ code: el("code").value, name: el("name").value, same });
  const answer = await fetch("pair", { method: "POST", headers: HEADERS, body });
  if (answer.ok && new URLSearchParams(location.search).get("to") === "helm") { location.href = "helm"; return; }
  if (answer.ok) { history.replaceState(null, "", "."); start(); return; }
  same = answer.status === 409; // somebody is called so: pressed again, it is the same person
  el("pair-told").textContent = (await answer.json()).told;
});
el("name").addEventListener("input", () => { same = false; });

function lineFor(ref) {
  const find = (wanted) => document.querySelector(`li[data-ref="${CSS.escape(wanted)}"]`);
  let item = find(ref) || find(`mine-${ref.split(":").pop()}`);
  if (item) item.dataset.ref = ref; // it stays where it was called
  if (!item) {
    item = document.createElement("li");
    item.dataset.ref = ref;
    item.append(Object.assign(document.createElement("p"), { className: "said" }));
    el("lines").append(item);
  }
  return item;
}

// A key that would do nothing looks dead: its question is answered or another's, or the log has changed since.
function isDead({ stands, about, turn: then, changed: log, own }) {
  if (stands === "always") return false;
  if (me.role === "guest") return true;
  if (about) return !open.has(about) || !(own === "yes" || me.skipper);
  return stands === "log" ? Number(log) !== changed : Number(then) !== turn;
}

function put(line) {
  if (line.turn) { turn = line.turn; changed = line.changed; }
  if ("board" in line) putBoard(line);
  for (const { about } of line.buttons || []) if (about) open.add(about);
  if (!("board" in line)) putLine(line);
  document.querySelectorAll(".keys button:not(.edit)").forEach((key) => { key.disabled = isDead(key.dataset); });
}

// Trouble stands above all else, outside of what scrolls, with what to do first.
function putBoard({ board, trouble, steps, open: asked, night }) {
  const lines = board.split("\n");
  if (trouble) lines.shift();
  open = new Set(asked || []);
  el("trouble").hidden = !trouble;
  el("deck").classList.toggle("alarm", Boolean(steps?.length));
  el("trouble").replaceChildren(...[trouble, ...(steps || [])].filter(Boolean).map((text, n) => Object.assign(document.createElement(n ? "p" : "h2"), { textContent: text })));
  el("board-text").replaceChildren(...lines.map((text) => Object.assign(document.createElement("p"), { textContent: text, className: text.startsWith("FISH ON") ? "fish-on" : "" })));
  dark = night ?? null;
  shine();
}

function putLine(line) {
  const item = lineFor(line.ref);
  const clock = new Date(line.at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hour12: false });
  item.classList.remove("waiting");
  item.firstChild.textContent = `${clock} ${line.who}: ${line.said}${line.edited ? " (edited)" : ""}`;
  item.querySelectorAll(".answer, .drawn, .keys, .paper, .edit").forEach((old) => old.remove());
  if (line.device === me.id && line.editable) item.firstChild.append(editFor(line));
  if (line.text) item.append(Object.assign(document.createElement("p"), { className: "answer", textContent: line.text }));
  for (const picture of line.pictures) item.append(drawn(picture));
  if (line.report) item.append(paperFor(line.report));
  if (line.buttons.length) item.append(keysFor(line));
  bringUp(item);
}

// A long answer is read from its beginning.
function bringUp(item) { item.scrollIntoView({ block: item.offsetHeight > el("lines").clientHeight ? "start" : "end" }); }

function paperFor(trip) {
  return Object.assign(document.createElement("a"), { className: "paper", href: `report/${encodeURIComponent(trip)}`, target: "_blank", rel: "noopener", textContent: "Open the report" });
}

function whole({ currentTarget }) { currentTarget.classList.toggle("whole"); }

function drawn({ name, caption }) {
  const picture = Object.assign(document.createElement("img"), { className: "drawn", src: `picture/${name}`, alt: caption });
  picture.addEventListener("load", () => bringUp(picture.parentElement));
  picture.addEventListener("error", () => picture.remove()); // one of long ago is not kept
  picture.addEventListener("click", whole);
  return picture;
}

function keysFor(line) {
  const keys = Object.assign(document.createElement("div"), { className: "keys" });
  for (const { label, say, about, stands } of line.buttons) {
    const key = Object.assign(document.createElement("button"), { type: "button", textContent: label });
    Object.assign(key.dataset, { stands, about: about || "", turn: line.turn, changed: line.changed, own: line.device === me.id ? "yes" : "no" });
    key.addEventListener("click", () => call({ text: say, turn: line.turn, changed: line.changed, about: about || "" }));
    keys.append(key);
  }
  return keys;
}

function editFor(line) {
  const key = Object.assign(document.createElement("button"), { type: "button", className: "edit", textContent: "Edit" });
  key.addEventListener("click", () => {
    edit(line.ref.split(":").pop());
    el("text").value = line.said;
    el("text").focus();
  });
  return key;
}

// The call that is being changed is marked; null: none is, and what is typed is a new call.
function edit(ref) {
  editing = ref;
  document.querySelectorAll("li.editing").forEach((old) => old.classList.remove("editing"));
  if (ref) lineFor(`web:${me.id}:${ref}`).classList.add("editing");
  el("send").textContent = ref ? "Change" : "Send";
  el("cancel").hidden = !ref;
}

function leaveEdit() {
  if (!editing) return;
  edit(null);
  el("text").value = "";
}
el("cancel").addEventListener("click", leaveEdit);
el("text").addEventListener("keydown", ({ key }) => { if (key === "Escape") leaveEdit(); });
el("text").addEventListener("input", () => { if (!el("text").value) leaveEdit(); });

function call(what) {
  look(false); // the answer is what is looked for now
  const one = { ref: newRef(), at: Date.now(), place: where, ...what };
  const item = lineFor(what.edited ? `web:${me.id}:${one.ref}` : `mine-${one.ref}`);
  item.classList.add("waiting");
  item.firstChild.textContent = what.text || "(spoken)";
  item.scrollIntoView({ block: "end" });
  keepWaiting([...waiting(), one]);
  leave();
}

async function leave() {
  if (sending) return;
  sending = true;
  try {
    for (let queue = waiting(); queue.length; queue = waiting()) {
      const answer = await send(queue[0]);
      if (answer.status >= 500) throw new Error(String(answer.status));
      if (answer.status === 401) { show(false); return; }
      done(queue[0], answer, await answer.json().catch(() => ({ told: "That could not be taken." })));
      keepWaiting(waiting().slice(1));
    }
    state("");
  } catch {
    state(`No connection to the boat. ${waiting().length} waiting, nothing is lost.`);
    setTimeout(leave, 3000);
  } finally {
    sending = false;
  }
}

function send(one) {
  const age = (Date.now() - one.at) / 1000;
  if (one.sound) {
    const bytes = Uint8Array.from(atob(one.sound), (c) => c.charCodeAt(0));
    const place = one.place ? `&lat=${one.place[0]}&lon=${one.place[1]}` : "";
    return fetch(`voice?ref=${one.ref}&age_s=${age}${place}`, { method: "POST", headers: HEADERS, body: bytes });
  }
  const [lat, lon] = one.place || [];
  const body = JSON.stringify({ text: one.text, ref: one.ref, age_s: age, turn: one.turn, changed: one.changed, about: one.about, edited: one.edited, lat, lon });
  return fetch("say", { method: "POST", headers: HEADERS, body });
}

function done(one, answer, line) {
  if (answer.ok) { put(line); return; }
  document.querySelector(`li[data-ref="mine-${one.ref}"]`)?.remove();
  state(line.told || "That could not be taken.");
}

el("say").addEventListener("submit", (event) => {
  event.preventDefault();
  const text = el("text").value.trim(), ref = editing;
  el("text").value = "";
  edit(null);
  if (text) call(ref ? { text, ref, edited: true } : { text });
});

async function callSound(blob) {
  const bytes = new Uint8Array(await blob.arrayBuffer());
  let text = "";
  for (let i = 0; i < bytes.length; i += 8192) text += String.fromCharCode(...bytes.subarray(i, i + 8192));
  call({ sound: btoa(text) });
}

el("file").addEventListener("change", async () => {
  const [file] = el("file").files;
  if (file) await callSound(file);
  el("file").value = "";
});

// One channel, 16 bit, at the rate of the device: the boat's computer does the rest.
function wav(blocks, rate) {
  const count = blocks.reduce((sum, block) => sum + block.length, 0);
  const view = new DataView(new ArrayBuffer(44 + 2 * count));
  const word = (at, text) => [...text].forEach((c, i) => view.setUint8(at + i, c.charCodeAt(0)));
  word(0, "RIFF"); view.setUint32(4, 36 + 2 * count, true); word(8, "WAVEfmt ");
  view.setUint32(16, 16, true); view.setUint16(20, 1, true); view.setUint16(22, 1, true);
  view.setUint32(24, rate, true); view.setUint32(28, 2 * rate, true); view.setUint16(32, 2, true); view.setUint16(34, 16, true);
  word(36, "data"); view.setUint32(40, 2 * count, true);
  let at = 44;
  for (const block of blocks) for (const x of block) { view.setInt16(at, Math.max(-1, Math.min(1, x)) * 32767, true); at += 2; }
  return new Blob([view], { type: "audio/wav" });
}

let taking = null;
async function startTalking() {
  if (taking) return;
  taking = { blocks: [], ended: false };
  const mine = taking;
  try {
    mine.stream = await navigator.mediaDevices.getUserMedia({ audio: { channelCount: 1 } });
    mine.context = new AudioContext();
    await mine.context.audioWorklet.addModule("recorder.js");
    const node = new AudioWorkletNode(mine.context, "recorder");
    node.port.onmessage = ({ data }) => { if (mine.blocks.length < 30000) mine.blocks.push(data); };
    mine.context.createMediaStreamSource(mine.stream).connect(node);
    el("talk").classList.add("on");
    el("talk").textContent = "Talking";
    if (mine.ended) stopTalking();
  } catch (problem) {
    taking = null;
    state(`The microphone cannot be used: ${problem.message}`);
    offerFile();
  }
}

async function stopTalking() {
  const mine = taking;
  if (!mine) return;
  if (!mine.context) { mine.ended = true; return; }
  taking = null;
  await new Promise((resolve) => setTimeout(resolve, 200)); // the last word
  mine.stream.getTracks().forEach((track) => track.stop());
  el("talk").classList.remove("on");
  el("talk").textContent = "Hold to talk";
  if (mine.blocks.length) await callSound(wav(mine.blocks, mine.context.sampleRate));
  mine.context.close();
}

function offerFile() {
  el("talk").hidden = true;
  el("file-label").hidden = false;
  el("file-hint").hidden = false;
}

if (window.isSecureContext && navigator.mediaDevices) {
  el("talk").addEventListener("pointerdown", startTalking);
  for (const name of ["pointerup", "pointercancel", "pointerleave"]) el("talk").addEventListener(name, stopTalking);
} else {
  offerFile();
}

// Where the phone is goes along with the calls while it is shared, and nowhere else.
el("place").hidden = !(window.isSecureContext && navigator.geolocation);
el("place").addEventListener("click", () => {
  if (watching !== null) { navigator.geolocation.clearWatch(watching); watching = where = null; sharing(false); return; }
  watching = navigator.geolocation.watchPosition(
    ({ coords }) => { where = [coords.latitude, coords.longitude]; sharing(true); },
    (problem) => {
      if (problem.code === 1) { navigator.geolocation.clearWatch(watching); watching = null; } // pressed again, it is asked again
      where = null;
      sharing(false);
      state(problem.code === 1 ? "No place: this phone keeps it from the page. Allow it in the browser's settings for this page, then press Place again." : "No place yet: this phone does not know where it is.");
    },
    { enableHighAccuracy: true, maximumAge: 30000 });
});
function sharing(on) {
  el("place").classList.toggle("on", on);
  el("place").setAttribute("aria-pressed", String(on));
  el("place").textContent = on ? "Place ✓" : "Place";
}

// Light: as the boat has it (dark after sunset), day, or night; by night the page is red on black.
const LIGHTS = ["auto", "day", "night"];
let light = localStorage.getItem("deckcall-light") || "auto";
function shine() {
  const asked = dark ?? matchMedia("(prefers-color-scheme: dark)").matches;
  document.body.className = (light === "auto" ? asked : light === "night") ? "night" : "";
  el("light").textContent = { auto: "Auto", day: "Day", night: "Night" }[light];
}
el("light").addEventListener("click", () => {
  light = LIGHTS[(LIGHTS.indexOf(light) + 1) % LIGHTS.length];
  localStorage.setItem("deckcall-light", light);
  shine();
});
shine();

el("board-text").addEventListener("click", whole);
el("spread").addEventListener("click", whole);

function look(at) {
  el("spread").hidden = !at;
  el("deck").classList.toggle("looking", at);
  el("show-spread").textContent = at ? "Chat" : "Spread";
  if (at) el("spread").src = `spread.png?${Date.now()}`;
  else el("lines").lastElementChild?.scrollIntoView({ block: "end" });
}
el("show-spread").addEventListener("click", () => look(el("spread").hidden));
el("spread").addEventListener("error", () => { look(false); state("No picture of the spread yet."); });

async function start() {
  const known = await fetch("me").catch(() => null);
  if (known && known.ok) me = await known.json();
  el("talk-keys").hidden = me.role === "guest";
  const events = new EventSource("events");
  events.onopen = () => { show(true); state(""); leave(); };
  events.onmessage = ({ data }) => put(JSON.parse(data));
  events.onerror = () => {
    if (events.readyState === EventSource.CLOSED) { events.close(); fallBack(); } else state("No connection to the boat. Calls wait in this phone.");
  };
}

async function fallBack() {
  const answer = await fetch("me").catch(() => null);
  if (!answer) { show(true); state("No connection to the boat. Calls wait in this phone."); setTimeout(start, 3000); return; }
  show(false);
  el("code").value = decodeURIComponent(location.hash.slice(1));
  if (el("code").value) el("name").focus();
}

start();
