// The page of a job: where it stands, kept up with what other devices enter, and what is entered here.
const job = document.getElementById("job");
const { Entries } = await import(job.dataset.entries);
const { pad } = await import(job.dataset.pad);
const { leads } = await import(job.dataset.leads);
const { Sheets } = await import(job.dataset.sheets);
const { Pieces } = await import(job.dataset.piecesOf);
const base = `/job/${encodeURIComponent(job.dataset.case)}`;
const place = document.getElementById("now");
const unkept = document.getElementById("unkept");
const pieces = new Pieces(place);
const SAID_MS = 8000;
let keys = null, padded = null, asked = 0, clock = 0, leaving = 0, owed = false;

/** Say something at the foot of the page; what was kept stands on the page too and goes away there. @param {string} text */
function say(text, stays = true) {
  const said = document.getElementById("said");
  said.textContent = text;
  clearTimeout(leaving);
  if (!stays) leaving = setTimeout(() => { said.textContent = ""; }, SAID_MS);
}

const entries = new Entries(job.dataset.case, job.dataset.token, {
  changed: showUnkept,
  answered: (entry, answer) => {
    const wrong = answer.problems.map((one) => `${one.title}. ${one.seen} ${one.fix}`);
    say([...answer.said.map((one) => one.trim()), ...wrong].join("\n"), wrong.length > 0);
    if (!answer.kept && wrong.length) giveBack(entry);
  },
  stale: () => say(job.dataset.stale),
});

/** @param {{entry: string, line: string}[]} left @param {boolean} lost */
function showUnkept(left, lost) {
  unkept.replaceChildren(...left.map((one) => {
    const row = document.createElement("p"), drop = document.createElement("button");
    row.textContent = `${one.line}: ${job.dataset.unkept} `;
    drop.type = "button";
    drop.textContent = job.dataset.drop;
    drop.addEventListener("click", () => entries.drop(one.entry));
    row.append(drop);
    return row;
  }));
  unkept.classList.toggle("lost", lost && left.length > 0);
  if (lost) say(job.dataset.lost);
}

/** What could not be kept is put where it was typed. @param {{line: string, step?: string}} entry */
function giveBack(entry) {
  const field = document.getElementById("line");
  if (!entry.step && field && !field.value) field.value = entry.line;
}

function at() {
  return document.getElementById("at")?.dataset ?? {};
}

/** An answer to the step on show. @param {string} line */
function answer(line) {
  const { step, setup, number } = at();
  entries.add({ line, step, number: Number(number ?? 0), ...(setup ? { setup: JSON.parse(setup) } : {}) });
}

/** Anything else. @param {string} line */
function enter(line) {
  const { state, number } = at();
  entries.add({ line, state: state ?? "", number: Number(number ?? 0) });
}

async function load(again = false) {
  const mine = ++asked;
  try {
    const found = await fetch(`${base}/now${again ? "?again=1" : ""}`);
    if (mine !== asked || found.status === 204) return;
    if (found.ok) put(await found.text());
  } catch {
    say(job.dataset.lost);
  }
}

/** @param {string} text */
function put(text) {
  const { step: before } = at();
  const open = [...place.querySelectorAll("details[open][id]")].map((one) => one.id);
  const typed = new Map([...place.querySelectorAll("input[id]")].filter((one) => one.value).map((one) => [one.id, one.value]));
  const active = document.activeElement;
  const held = place.contains(active) || (owed && active === document.body);
  const same = pieces.write(text, (fresh) => before !== undefined && fresh.getElementById("at")?.dataset.step === before);
  for (const id of open) if (same || id === "suspects") document.getElementById(id)?.setAttribute("open", "");
  for (const [id, value] of typed) {
    const field = document.getElementById(id);
    if (field && !field.value && (same || id === "line")) field.value = value;
  }
  bind();
  // Who worked with the keyboard goes on where they were, or at the new step, which is then read out.
  // Where there is nothing to go on with yet, the focus is owed to what comes next.
  if (!place.contains(active)) {
    const next = held ? (active.id && document.getElementById(active.id)) || document.getElementById("action") : null;
    next?.focus({ preventScroll: true });
    owed = held && !next;
  }
  // A new step is read from its top, caution first, however far down the answer to the last one stood.
  const step = place.querySelector(".step");
  if (step && !same && active?.id !== "line" && step.getBoundingClientRect().top < 0) step.scrollIntoView();
  if (document.getElementById("see")) draw();
}

function bind() {
  const form = place.querySelector("[data-pad]");
  if (form !== padded) keys = form ? pad(form, (said) => { answer(said); keys.put(""); }) : null;
  padded = form;
  const working = place.querySelector(".working");
  clearInterval(clock);
  const seconds = document.getElementById("seconds");
  if (working && seconds) {
    const began = Date.now() - Number(working.dataset.seconds) * 1000;
    clock = setInterval(() => { seconds.textContent = String(Math.round((Date.now() - began) / 1000)); }, 1000);
  }
}

async function draw() {
  const wanted = `${at().number} ${at().step}`;
  if (document.getElementById("see").dataset.drawn === wanted) return;
  const found = await fetch(`${base}/step`).catch(() => null);
  if (!found?.ok || found.status === 204) return;
  const text = await found.text(), see = document.getElementById("see");
  if (wanted !== `${at().number} ${at().step}` || !see) return;
  // Asked for twice, the drawing comes twice: the second would close what was opened on the first.
  if (see.dataset.drawn === wanted) return;
  see.innerHTML = text;
  see.dataset.drawn = wanted;
  leads(see, Sheets, at().state ?? "", enter);
}

async function act(what) {
  if (what === "again") load(true);
  if (what === "stop") {
    await fetch(`${base}/stop`, { method: "POST", headers: { "X-Loombench-Token": job.dataset.token } }).catch(() => null);
  }
}

place.addEventListener("click", async (event) => {
  const one = event.target.closest("button");
  if (!one) return;
  const { say: line, sayStep, act: what, why, mend, method } = one.dataset;
  if (line) enter(line);
  if (sayStep) answer(sayStep);
  if (what === "shares") {
    const on = one.getAttribute("aria-pressed") !== "true";
    one.setAttribute("aria-pressed", String(on));
    for (const share of place.querySelectorAll(".share")) share.hidden = !on;
  } else if (what) act(what);
  const reasons = one.closest("li")?.querySelector(".reasons");
  if (why && reasons) {
    const found = await fetch(`${base}/why?suspect=${encodeURIComponent(why)}`).catch(() => null);
    if (found?.ok) reasons.innerHTML = await found.text();
  }
  if (mend && reasons) {
    reasons.replaceChildren(document.getElementById("mending").content.cloneNode(true));
    reasons.dataset.suspect = mend;
  }
  if (method && reasons) enter(`${method} ${reasons.dataset.suspect}`);
});

place.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.dataset.line === undefined) return;
  event.preventDefault();
  const field = form.querySelector("[name=line]"), said = field.value.trim();
  if (!said) { field.focus(); return; }
  const line = [form.dataset.line, said].filter(Boolean).join(" ");
  if (form.dataset.withStep === undefined) enter(line); else answer(line);
  field.value = "";
});

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest("input, select, textarea, [contenteditable]")) return;
  if (event.key === "/" && document.getElementById("line")) { event.preventDefault(); document.getElementById("line").focus(); return; }
  if (event.key === "Enter" && event.target.closest("button, a, summary")) return;
  if (keys?.pressed(event.key)) event.preventDefault();
});

addEventListener("online", () => entries.send());
const heard = new EventSource(`${base}/events`);
heard.addEventListener("open", () => { say(""); entries.send(); load(); });
heard.addEventListener("changed", () => load());
heard.addEventListener("there", () => load());
heard.addEventListener("working", (event) => {
  const far = document.getElementById("how-far");
  if (far) far.textContent = event.data;
});
heard.addEventListener("error", () => say(job.dataset.lost));
showUnkept(entries.left(), false);
