// The record of a job: what is added is kept in this browser until the laptop has it, and heard by all devices.
const job = document.getElementById("job");
const { Entries } = await import(job.dataset.entries);
const { signature } = await import(job.dataset.sign);
const { drawCourses } = await import(job.dataset.courses);
const base = `/job/${encodeURIComponent(job.dataset.case)}`;
const place = document.getElementById("now");
const unkept = document.getElementById("unkept");
const RETRY_MS = 2000, SAID_MS = 8000;
let ticking = 0, leaving = 0, role = "customer";

/** Say something at the foot of the page; what was kept stands on the page too and goes away there. @param {string} text */
function say(text, stays = true) {
  const said = document.getElementById("said");
  said.textContent = text;
  clearTimeout(leaving);
  if (!stays) leaving = setTimeout(() => { said.textContent = ""; }, SAID_MS);
}

const entries = new Entries(job.dataset.case, job.dataset.token, {
  changed: (left, lost) => {
    unkept.replaceChildren(...left.map((one) => {
      const row = document.createElement("p"), drop = document.createElement("button");
      row.textContent = `${one.shown ?? one.line}: ${job.dataset.unkept} `;
      drop.type = "button";
      drop.textContent = job.dataset.drop;
      drop.addEventListener("click", () => entries.drop(one.entry));
      row.append(drop);
      return row;
    }));
    if (lost) say(job.dataset.lost);
  },
  answered: (_entry, answer) => {
    const wrong = answer.problems.map((one) => `${one.title}. ${one.fix}`);
    say([...answer.said, ...wrong].join("\n"), wrong.length > 0);
  },
  stale: () => say(job.dataset.stale),
}, `${base}/record/entries`, "record");

/** @param {string} kind @param {Record<string, string>} fields @param {string} shown */
function add(kind, fields, shown) {
  entries.add({ kind, fields, shown });
}

async function load() {
  const found = await fetch(`${base}/record/now`).catch(() => null);
  if (!found?.ok || found.status === 204) return;
  place.innerHTML = await found.text();
  document.getElementById("clock").replaceChildren(place.querySelector("#clock-now"));
  drawCourses(place);
  tick();
}

/** The clock goes on on the page; what counts is what the laptop has. */
function tick() {
  clearInterval(ticking);
  const clock = document.getElementById("clock-now"), worked = document.getElementById("worked");
  if (!clock.dataset.running) return;
  const began = Date.now() - Number(clock.dataset.seconds) * 1000;
  ticking = setInterval(() => {
    const minutes = Math.floor((Date.now() - began) / 60000), limit = Number(clock.dataset.limit);
    worked.textContent = `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}`;
    clock.querySelector(".over").hidden = !(limit && minutes >= limit);
  }, 1000);
}

document.addEventListener("click", (event) => {
  const one = event.target.closest("button");
  if (!one) return;
  if (one.dataset.kind) add(one.dataset.kind, {}, one.textContent.trim());
  if (one.dataset.role) {
    role = one.dataset.role;
    for (const other of document.querySelectorAll("[data-role]")) other.setAttribute("aria-pressed", String(other === one));
  }
});

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.dataset.kind) return;
  event.preventDefault();
  const fields = Object.fromEntries([...new FormData(form)].map(([name, value]) => [name, String(value).trim()]));
  if (!Object.values(fields).some(Boolean)) { form.querySelector("input").focus(); return; }
  add(form.dataset.kind, fields, Object.values(fields).filter(Boolean).join(", "));
  form.reset();
});

const pen = signature(document.getElementById("sign-field"));
const signing = document.querySelector("[data-sign-form]");
/** @param {string} strokes */
function sign(strokes) {
  const name = document.getElementById("sign-name");
  if (!name.value.trim()) { name.focus(); return; }
  add("signed", { role, name: name.value.trim(), strokes }, name.value.trim());
  name.value = "";
  pen.clear();
}
signing.addEventListener("submit", (event) => { event.preventDefault(); if (pen.path()) sign(pen.path()); });
signing.addEventListener("click", (event) => {
  const what = event.target.closest("[data-sign]")?.dataset.sign;
  if (what === "clear") pen.clear();
  if (what === "paper") sign("");
});

document.getElementById("photo-file").addEventListener("change", async (event) => {
  const file = event.target.files[0], text = document.getElementById("photo-text");
  if (!file) return;
  say(job.dataset.sending);
  const entry = [...crypto.getRandomValues(new Uint8Array(16))].map((one) => one.toString(16).padStart(2, "0")).join("");
  const words = new URLSearchParams({ entry, text: text.value.trim() });
  const headers = { "Content-Type": file.type || "application/octet-stream", "X-Loombench-Token": job.dataset.token };
  event.target.value = "";
  let answer = null;
  while (!answer || answer.status >= 500) {
    answer = await fetch(`${base}/record/photos?${words}`, { method: "POST", body: file, headers }).catch(() => null);
    if (answer && answer.status < 500) break;
    say(job.dataset.lost);
    await new Promise((done) => setTimeout(done, RETRY_MS));
  }
  if (answer.status === 403) { say(job.dataset.stale); return; }
  if (answer.status === 413) { say(job.dataset.tooLarge); return; }
  if (!answer.ok) { say(job.dataset.unfit); return; }
  const { said, problems } = await answer.json();
  say([...said, ...problems.map((one) => `${one.title}. ${one.fix}`)].join("\n"), problems.length > 0);
  text.value = "";
});

addEventListener("online", () => entries.send());
const heard = new EventSource(`${base}/events`);
heard.addEventListener("open", () => { say(""); entries.send(); load(); });
heard.addEventListener("changed", () => {
  load();
  // What the search has come to may have been left for what was entered.
  document.getElementById("so-far").dispatchEvent(new Event("again"));
});
heard.addEventListener("error", () => say(job.dataset.lost));
