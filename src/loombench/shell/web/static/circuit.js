// The circuit view: a tap changes the state, the answer is put in place. Every change is an address, so that it can be
// kept, shared, and gone back to; without this script the same links load the whole page.
const facts = document.getElementById("circuit-facts");
const { Sheets } = await import(facts.dataset.sheets);
const PAGE = crypto.randomUUID ? crypto.randomUUID() : String(Math.random()).slice(2);
const HANDS = ["operate", "lead"];

/** @typedef {{address: string, pieces: Record<string, string>, pages: {key: string, live: string, over: string, still: string | null}[], taps: Record<string, string>}} Answer */

/** @type {Record<string, string>} */
let taps = JSON.parse(facts.dataset.taps);
let hand = HANDS[0];
let black = false;
let asked = 0;
/** What stands in each piece of the page. @type {Map<string, string>} */
const shown = new Map();

/** Say something at the foot of the page; an empty text takes it away. @param {string} text */
function say(text) {
  document.getElementById("said").textContent = text;
}

/** Ask for an address and put what follows from it in place. `kept` leaves the browser's history as it is.
 * @param {URL} address @param {boolean} kept */
async function go(address, kept = false) {
  const mine = ++asked;
  document.body.classList.add("waits");
  try {
    const headers = { Accept: "application/json", "X-Loombench-Page": PAGE, "X-Loombench-Have": sheets.keys().join(",") };
    const answer = await fetch(address, { headers });
    if (mine !== asked || answer.status === 204) return;
    if (!answer.ok) { location.assign(address); return; }
    put(await answer.json(), kept);
  } catch {
    if (mine === asked) say(document.body.dataset.lost ?? "");
  } finally {
    if (mine === asked) document.body.classList.remove("waits");
  }
}

/** @param {Answer} answer @param {boolean} kept */
function put(answer, kept) {
  const held = document.activeElement?.id ?? "";
  const open = new Set([...document.querySelectorAll("details[open]")].map((one) => one.id));
  for (const [name, text] of Object.entries(answer.pieces)) {
    const place = document.getElementById(name);
    if (shown.get(name) !== text) place.innerHTML = text;
    shown.set(name, text);
  }
  sheets.put(answer.pages);
  taps = answer.taps;
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  if (held) document.getElementById(held)?.focus({ preventScroll: true });
  say("");
  if (!kept) history.pushState(null, "", answer.address);
  document.dispatchEvent(new CustomEvent("circuit:put"));
}

/** The address with one word set, or taken out where it is empty. */
function withWord(name, value) {
  const at = new URL(location.href);
  if (value) at.searchParams.set(name, value); else at.searchParams.delete(name);
  return at;
}

/** @param {string} part */
function operate(part) {
  const at = withWord("part", part);
  if (taps[part]) at.searchParams.append("do", taps[part]);
  go(at);
}

/** Put the lead in hand on a pin; the other one is in hand then. @param {string} pin */
function lead(pin) {
  const at = withWord("pin", pin);
  at.searchParams.set(black ? "black" : "red", pin);
  if (!black) at.searchParams.delete("black");
  black = !black;
  go(at);
}

const sheets = new Sheets([...document.querySelectorAll(".paper .sheet")], (touched) => {
  if (hand === "lead") {
    if (touched.pin) lead(touched.pin); else say(facts.dataset.noPin);
  } else if (touched.part) operate(touched.part);
  else if (touched.wire) go(withWord("part", touched.wire));
  else say(facts.dataset.nothing);
});

function take(which) {
  hand = which;
  black = false;
  for (const one of document.querySelectorAll("[data-hand]")) one.setAttribute("aria-pressed", String(one.dataset.hand === hand));
}

for (const one of document.querySelectorAll("[data-hand]")) one.addEventListener("click", () => take(one.dataset.hand));
for (const one of document.querySelectorAll("[data-zoom]")) one.addEventListener("click", () => sheets.zoom(one.dataset.zoom));

document.addEventListener("click", (event) => {
  const link = event.target.closest("a[data-live]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  go(new URL(link.href));
});

document.addEventListener("submit", (event) => {
  if (!event.target.matches("form[data-live]")) return;
  event.preventDefault();
  const at = new URL(event.target.action);
  const words = [...new FormData(event.target)].filter(([, value]) => value !== "");
  at.search = new URLSearchParams(words).toString();
  go(at);
});

document.addEventListener("change", (event) => {
  if (event.target.matches("form[data-live] select")) event.target.form.requestSubmit();
});

addEventListener("popstate", () => go(new URL(location.href), true));

const KEYS = {
  "+": () => sheets.zoom("in"), "=": () => sheets.zoom("in"), "-": () => sheets.zoom("out"), 0: () => sheets.zoom("whole"),
  m: () => take("lead"), o: () => take("operate"), u: () => document.getElementById("back")?.click(),
};
document.querySelector(".paper").addEventListener("keydown", (event) => {
  const act = KEYS[event.key.toLowerCase()];
  if (!act || event.ctrlKey || event.metaKey || event.altKey) return;
  event.preventDefault();
  act();
});
