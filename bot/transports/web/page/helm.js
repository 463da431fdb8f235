// The screen at the helm. Asks for the board every few seconds and counts the times by itself; where the
// boat's computer does not answer it says so, for a board that stands still looks like one that is true.
const el = (id) => document.getElementById(id);
const EVERY_MS = 3000, WITHIN_MS = 8000, LIGHTS = ["auto", "day", "night"];
let board = null, none = "No trip yet. Say: trip start.", ahead = 0, heard = Date.now(), light = localStorage.getItem("deckcall-light") || "auto";

const now = () => Date.now() + ahead;
const cell = (name, text) => Object.assign(document.createElement("td"), { className: name, textContent: text });

function lasted(since, seconds) {
  const whole = Math.max(0, Math.floor((now() - Date.parse(since)) / 1000));
  const hours = Math.floor(whole / 3600), minutes = Math.floor(whole / 60) % 60;
  if (seconds && !hours) return `${minutes}:${String(whole % 60).padStart(2, "0")}`;
  return hours ? `${hours} h ${String(minutes).padStart(2, "0")}` : `${minutes} min`;
}

function put(id, text) {
  if (el(id).textContent !== text) el(id).textContent = text;
  el(id).hidden = !text;
}

function clockOf(at) {
  const form = { hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
  try { return at.toLocaleTimeString([], { ...form, timeZone: board?.zone }); } catch { return at.toLocaleTimeString([], form); }
}

function rowFor(one) {
  const row = document.createElement("tr");
  row.className = one.on ? "on" : "";
  const strikes = one.strikes ? `${one.strikes} strike${one.strikes === 1 ? "" : "s"}` : "";
  row.append(cell("line", one.line), cell("lure", one.lure), cell("strikes", strikes));
  row.append(cell("time", board.fishing ? lasted(one.since) : ""));
  return row;
}

function fishFor(one) {
  const line = document.createElement("p");
  const where = [one.line || "position not called", one.what].filter(Boolean).join(", ");
  const time = Object.assign(document.createElement("b"), { textContent: lasted(one.since, true) });
  line.append(`Fish on: ${where} `, time);
  return line;
}

// The first steps stand below what happened, one to a line; the table makes room.
function putTrouble(what, steps) {
  const told = what ? [what, ...steps] : [];
  el("trouble").hidden = !what;
  if (told.join("\n") === el("trouble").dataset.told) return;
  el("trouble").dataset.told = told.join("\n");
  el("trouble").replaceChildren(...told.map((text, n) => Object.assign(document.createElement(n ? "p" : "h1"), { textContent: text })));
  document.querySelector("main").classList.toggle("alarm", steps.length > 0);
}

function paint() {
  const at = new Date(now());
  put("clock", clockOf(at));
  const night = light === "auto" ? board?.night ?? matchMedia("(prefers-color-scheme: dark)").matches : light === "night";
  document.body.className = night ? "night" : "";
  el("light").textContent = `Light: ${light}`;
  const quiet = Math.floor((Date.now() - heard) / 1000);
  put("stale", quiet > WITHIN_MS / 1000 ? `No answer from the boat's computer for ${quiet} s: what stands here may be old` : "");
  putTrouble(board?.trouble, board?.steps || []);
  el("fish").replaceChildren(...(board?.fish || []).map(fishFor));
  el("out").replaceChildren(...(board?.out || []).map(rowFor));
  put("none", !board ? none : !board.fishing ? "Lines are out of the water." : board.out.length ? "" : "Nothing called out yet.");
  document.querySelector("table").classList.toggle("laid", Boolean(board) && !board.fishing);
  put("tally", board?.tally || "");
  put("proposed", board?.proposed || "");
  put("last", board?.last ? `Last: ${board.last}` : "");
}

async function ask() {
  try {
    const answer = await fetch("helm.json", { signal: AbortSignal.timeout(WITHIN_MS) });
    if (answer.status === 401) { location.href = "./?to=helm"; return; } // let in first, then back here
    if (!answer.ok) throw new Error(String(answer.status));
    const told = await answer.json();
    board = told.board;
    none = told.none || none;
    ahead = Date.parse(told.now) - Date.now();
    heard = Date.now();
  } catch { /* it is asked again; the screen says for how long nothing came */ }
  setTimeout(ask, EVERY_MS);
}

el("light").addEventListener("click", () => {
  light = LIGHTS[(LIGHTS.indexOf(light) + 1) % LIGHTS.length];
  localStorage.setItem("deckcall-light", light);
  paint();
});

async function stayAwake() {
  try { await navigator.wakeLock?.request("screen"); } catch { /* the browser decides */ }
}
document.addEventListener("visibilitychange", () => { if (!document.hidden) stayAwake(); });

stayAwake();
ask();
setInterval(paint, 1000);
paint();
