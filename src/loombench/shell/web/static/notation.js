// The notation view: what is typed is kept in the browser until it is saved, checked as one types, and drawn beside.

const root = document.getElementById("notation");
const vehicle = root.dataset.vehicle;
const base = `/vehicle/${vehicle}/notation`;
const token = JSON.parse(document.body.getAttribute("hx-headers"))["X-Loombench-Token"];
const page = Array.from(crypto.getRandomValues(new Uint32Array(3)), (one) => one.toString(36)).join("");
const TYPED_MS = 300;
const MOVED_MS = 400;

/** @typedef {{name: string, text: string, seen: string, draft: string | null, basis: string}} File */
/** @type {Map<string, File>} */
const files = new Map();
const at = (id) => document.getElementById(id);
const say = (key, facts = {}) =>
  Object.entries(facts).reduce((text, [name, value]) => text.replace(`{${name}}`, value), root.dataset[key]);

let words = [];
let names = [];
let flaws = [];
let file = null;
let editor = null;
let line = 1;
let chosen = "";
let shown = "";
let timer = 0;
/** @type {{text: string, seen: string} | null} */
let theirs = null;

const keyOf = (name) => `draft:${vehicle}:${name}`;

/** Keep what is typed; a text that is as saved is no draft. */
function keep(one) {
  if (one.draft === null) localStorage.removeItem(keyOf(one.name));
  else localStorage.setItem(keyOf(one.name), JSON.stringify({ text: one.draft, seen: one.basis, time: Date.now() }));
}

/** Ask the bench; null where it does not answer, or has a newer question. */
async function ask(what, said) {
  try {
    const answer = await fetch(`${base}/${what}`, {
      method: "POST",
      headers: { "Content-Type": "application/json", "X-Loombench-Token": token },
      body: JSON.stringify({ page, ...said }),
    });
    return answer.status === 204 ? null : answer;
  } catch {
    return null;
  }
}

const drafts = () =>
  Object.fromEntries([...files.values()].filter((one) => one.draft !== null).map((one) => [one.name, one.draft]));

function soon(after) {
  clearTimeout(timer);
  timer = setTimeout(check, after);
}

async function check() {
  const given = JSON.stringify(drafts());
  const answer = await ask("check", { drafts: JSON.parse(given), file: file.name, line });
  if (!answer?.ok) return;
  const found = await answer.json();
  flaws = found.flaws;
  names = found.names;
  showFlaws();
  offer(found.functions, found.here);
  await draw(given);
}

/** The drawing of the function chosen, unless it is there already. */
async function draw(given) {
  const wanted = `${chosen}\n${given}`;
  if (wanted === shown) return;
  const answer = await ask("draw", { drafts: JSON.parse(given), function: chosen });
  if (!answer?.ok) return;
  const text = await answer.text();
  at("drawing").innerHTML = text;
  at("drawing").dataset.of = chosen;
  shown = wanted;
}

/** The functions to draw: that of the cursor's line is chosen, else the one that was there before. */
function offer(functions, here) {
  const select = at("function");
  const known = new Map(functions);
  const near = functions.slice(0, here).map(([key]) => key);
  if (!(known.has(chosen) && (near.length === 0 || near.includes(chosen)))) chosen = functions[0]?.[0] ?? "";
  select.replaceChildren(...functions.map(([key, title]) => new Option(title, key, false, key === chosen)));
  select.disabled = functions.length === 0;
}

function showFlaws() {
  const order = ["error", "warning", "note"];
  const sorted = [...flaws].sort((one, other) => order.indexOf(one.told.level) - order.indexOf(other.told.level));
  at("found-head").textContent = flaws.length ? say("sayProblems", { count: flaws.length }) : say("sayNoProblems");
  at("flaws").replaceChildren(...sorted.map(flawItem));
  const here = flaws.flatMap((one) =>
    one.places
      .filter((place) => place.file === file.name)
      .map((place) => ({ from: place.start, to: place.end, level: one.told.level, message: sentence(one.told) })),
  );
  editor.setProblems(here);
  editor.setNames(names);
}

const sentence = (told) => `${told.title}. ${told.seen} ${told.expected} ${say("sayDo")}: ${told.fix}`;

function flawItem({ told, places }) {
  const item = document.createElement("li");
  const button = document.createElement("button");
  button.type = "button";
  button.className = told.level;
  const where = told.places.map(([name, row]) => (files.size > 1 ? `${name}:${row}` : `${row}`)).join(", ");
  for (const [tag, text] of [
    ["b", where ? `${where}  ${told.title}` : told.title],
    ["span", `${told.seen} ${told.expected}`],
    ["span", `${say("sayDo")}: ${told.fix}`],
  ]) {
    button.append(Object.assign(document.createElement(tag), { textContent: text }));
  }
  button.addEventListener("click", () => places.length && goTo(places[0]));
  item.append(button);
  return item;
}

function goTo(place) {
  if (place.file !== file.name && files.has(place.file)) open(place.file);
  if (place.file === file.name) editor.goTo(place.start);
}

function state(text) {
  at("state").textContent = text;
}

function settle() {
  at("save").disabled = file.draft === null && file.seen !== "";
  if (file.draft !== null) state(say("sayUnsaved"));
  else state(file.seen === "" ? say("sayNewFile") : "");
}

function typed(text) {
  file.draft = text === file.text ? null : text;
  if (file.draft !== null && localStorage.getItem(keyOf(file.name)) === null) file.basis = file.seen;
  keep(file);
  settle();
  soon(TYPED_MS);
}

function moved(offset) {
  const before = Array.from(editor.text()).slice(0, offset);
  const row = before.filter((letter) => letter === "\n").length + 1;
  if (row === line) return;
  line = row;
  soon(MOVED_MS);
}

/** Show one file. Each has an editor of its own, so that Undo never brings the text of another one. */
function open(name) {
  file = files.get(name);
  editor?.destroy();
  line = 1;
  hideClash();
  at("restored").hidden = true;
  editor = makeEditor({
    parent: at("editor"),
    doc: file.draft ?? file.text,
    nonce: document.body.dataset.nonce,
    kinds: words,
    onChange: typed,
    onCursor: moved,
    label: say("sayLabel", { file: name }),
    phrases: {
      Find: say("sayFind"), next: say("sayNext"), previous: say("sayPrevious"), close: say("sayClose"),
      Completions: say("sayCompletions"), "current match": say("sayCurrentMatch"), "on line": say("sayOnLine"),
      "Selection deleted": say("sayDeleted"), "Control character": say("sayControl"),
    },
  });
  const select = document.getElementById("file");
  if (select) select.value = name;
  settle();
  showFlaws();
}

function hideClash() {
  theirs = null;
  at("clash").hidden = true;
}

/** Both texts: mine stays in the editor, theirs stands below it. */
function clash(found) {
  theirs = { text: found.theirs, seen: found.seen };
  const mine = new Set(editor.text().split("\n"));
  at("their-text").replaceChildren(
    ...found.theirs.split("\n").map((row) =>
      Object.assign(document.createElement("span"), { textContent: `${row}\n`, className: mine.has(row) || row === "" ? "" : "theirs" }),
    ),
  );
  at("clash").hidden = false;
}

async function save(seen = file.basis) {
  const one = file;
  const text = editor.text();
  const answer = await ask("save", { file: one.name, text, seen: one.draft === null ? one.seen : seen });
  if (!answer?.ok) {
    state(say("sayOffline"));
    return;
  }
  const found = await answer.json();
  if (found.theirs !== null) {
    clash(found);
    return;
  }
  if (found.problems.length) {
    state(found.problems.map(sentence).join(" "));
    return;
  }
  hideClash();
  one.text = text;
  one.seen = one.basis = found.seen;
  // What was typed while the answer was on its way stays a draft, now of what was saved.
  one.draft = editor.text() === text ? null : editor.text();
  keep(one);
  settle();
  if (one.draft === null) state(say("saySaved"));
  await fresh();
  soon(0);
}

/** The list of files: saving may have asked for a new one. */
async function fresh() {
  const answer = await fetch(`${base}/files`).catch(() => null);
  if (!answer?.ok) return;
  const found = await answer.json();
  for (const one of found.files) if (!files.has(one.name)) take(one);
  const select = document.getElementById("file");
  if (select) select.replaceChildren(...[...files.keys()].map((name) => new Option(name, name, false, name === file.name)));
  else if (files.size > 1) location.reload();
}

/** A file as it is on disk, with the draft that this browser has of it. */
function take(one) {
  const known = { ...one, draft: null, basis: one.seen, since: 0 };
  files.set(one.name, known);
  const draft = JSON.parse(localStorage.getItem(keyOf(one.name)) ?? "null");
  if (draft && draft.text !== one.text) {
    Object.assign(known, { draft: draft.text, basis: draft.seen, since: draft.time });
  } else localStorage.removeItem(keyOf(one.name));
}

function told(one) {
  if (!one.since) return;
  at("restored").hidden = false;
  at("restored").firstElementChild.textContent = say("sayRestored", {
    time: new Date(one.since).toLocaleString(document.documentElement.lang, { dateStyle: "short", timeStyle: "short" }),
  });
}

at("undo").addEventListener("click", () => editor.undo());
at("redo").addEventListener("click", () => editor.redo());
at("search").addEventListener("click", () => editor.find());
at("save").addEventListener("click", () => save());
at("mine").addEventListener("click", () => save(theirs.seen));
at("theirs").addEventListener("click", () => {
  Object.assign(file, { text: theirs.text, seen: theirs.seen, basis: theirs.seen });
  editor.setText(theirs.text);
  hideClash();
  typed(editor.text());
});
at("drop").addEventListener("click", () => {
  editor.setText(file.text);
  at("restored").hidden = true;
  typed(editor.text());
});
at("function").addEventListener("change", (event) => {
  chosen = event.target.value;
  draw(JSON.stringify(drafts()));
});
document.getElementById("file")?.addEventListener("change", (event) => {
  open(event.target.value);
  told(file);
  soon(0);
});
addEventListener("keydown", (event) => {
  if ((event.ctrlKey || event.metaKey) && event.key === "s") {
    event.preventDefault();
    save();
  }
});

const [{ makeEditor }, answer] = await Promise.all([import(root.dataset.editor), fetch(`${base}/files`)]);
const found = await answer.json();
words = found.words;
found.files.forEach(take);
open(found.files[0].name);
told(file);
soon(0);
