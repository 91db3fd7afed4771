
"use strict";
const sheets = Array.from(document.querySelectorAll(".sheet"));
const pick = document.getElementById("pages"), find = document.getElementById("find");
const said = document.getElementById("said"), tools = document.getElementById("tools");
const whole = sheets.map(sheet => sheet.firstElementChild.viewBox.baseVal).map(b => [b.x, b.y, b.width, b.height]);
let at = 0, box = whole[0].slice(), picked = null;
const svg = () => sheets[at].firstElementChild;
const put = () => svg().setAttribute("viewBox", box.join(" "));
const top_ = () => document.body.style.setProperty("--top", tools.offsetHeight + "px");
const show = number => {
  at = number; box = whole[at].slice(); pick.selectedIndex = at;
  sheets.forEach((sheet, k) => { sheet.hidden = k !== at; });
  put();
};
const scale = () => {
  const area = svg().getBoundingClientRect();
  return Math.max(box[2] / area.width, box[3] / area.height);
};
const spot = (x, y) => {
  const area = svg().getBoundingClientRect(), k = scale();
  return [box[0] + box[2] / 2 + (x - area.left - area.width / 2) * k,
    box[1] + box[3] / 2 + (y - area.top - area.height / 2) * k];
};
const zoom = (factor, x, y) => {
  const wide = Math.min(whole[at][2] * 1.5, Math.max(15, box[2] * factor));
  factor = wide / box[2];
  box = [x - (x - box[0]) * factor, y - (y - box[1]) * factor, wide, box[3] * factor];
  put();
};
const middle = () => [box[0] + box[2] / 2, box[1] + box[3] / 2];
const mark = thing => {
  if (picked) picked.classList.remove("picked");
  picked = thing;
  if (picked) picked.classList.add("picked");
};
const words = thing => {
  const title = thing.querySelector(":scope > title");
  if (title) return title.textContent;
  const kind = thing.closest("[data-part]");
  return Array.from((kind || thing).querySelectorAll("text"), one => one.textContent).join(" · ");
};
const tell = (x, y) => {
  let best = null, near = 2.2;
  for (const pin of svg().querySelectorAll("[data-read]")) {
    const far = Math.hypot(pin.cx.baseVal.value - x, pin.cy.baseVal.value - y);
    if (far < near) { near = far; best = pin; }
  }
  return best;
};
const tap = (event, x, y) => {
  const join = event.target.closest ? event.target.closest("[data-page]") : null;
  const there = join ? sheets.findIndex(one => one.dataset.name === join.dataset.page) : -1;
  if (there >= 0 && there !== at) { const key = join.dataset.join; show(there); seek('[data-join="' + CSS.escape(key) + '"]'); return; }
  const pin = tell(x, y);
  const thing = pin || (event.target.closest ? event.target.closest("[data-wire],[data-part]") : null);
  mark(thing && thing.dataset.part ? thing : null);
  if (pin) said.textContent = words(pin);
  else if (thing) said.textContent = words(thing);
};
const seek = selector => {
  const found = svg().querySelector(selector);
  if (!found) return false;
  const area = found.getBBox();
  const wide = Math.min(whole[at][2], Math.max(90, area.width * 2)), high = wide * whole[at][3] / whole[at][2];
  box = [area.x + area.width / 2 - wide / 2, area.y + area.height / 2 - high / 2, wide, high];
  put(); mark(found);
  return true;
};
let hits = [], turn = 0, last = "";
find.addEventListener("keydown", event => {
  if (event.key !== "Enter") return;
  const wanted = find.value.trim().toLowerCase();
  if (!wanted) return;
  if (wanted !== last) {
    last = wanted; turn = 0;
    hits = sheets.flatMap((sheet, k) => Array.from(sheet.querySelectorAll("[data-read],[data-part],[data-wire]"))
      .filter(one => [one.dataset.read, one.dataset.part, one.dataset.wire].some(name => (name || "").toLowerCase() === wanted))
      .map(one => [k, one]));
    if (!hits.length) hits = sheets.flatMap((sheet, k) => Array.from(sheet.querySelectorAll("[data-part],[data-wire]"))
      .filter(one => (words(one) + " " + (one.dataset.part || "")).toLowerCase().includes(wanted)).map(one => [k, one]));
  }
  if (!hits.length) { said.textContent = "0"; return; }
  const [page, thing] = hits[turn++ % hits.length];
  if (page !== at) show(page);
  thing.id = thing.id || "found" + turn;
  seek("#" + thing.id);
  said.textContent = (turn - 1) % hits.length + 1 + "/" + hits.length + "  " + words(thing);
});
const fingers = new Map();
let moved = 0, span = 0;
for (const sheet of sheets) {
  sheet.addEventListener("pointerdown", event => {
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    moved = 0; span = 0;
    sheet.setPointerCapture(event.pointerId);
  });
  sheet.addEventListener("pointermove", event => {
    const before = fingers.get(event.pointerId);
    if (!before) return;
    const dx = event.clientX - before[0], dy = event.clientY - before[1];
    fingers.set(event.pointerId, [event.clientX, event.clientY]);
    moved += Math.abs(dx) + Math.abs(dy);
    if (fingers.size === 2) {
      const [a, b] = Array.from(fingers.values());
      const now = Math.hypot(a[0] - b[0], a[1] - b[1]);
      if (span) zoom(span / now, ...spot((a[0] + b[0]) / 2, (a[1] + b[1]) / 2));
      span = now;
    } else if (moved > 6) {
      const k = scale();
      box[0] -= dx * k; box[1] -= dy * k; put();
    }
  });
  sheet.addEventListener("pointerup", event => {
    if (fingers.size === 1 && moved <= 6) {
      const target = document.elementFromPoint(event.clientX, event.clientY) || sheet;
      tap({target}, ...spot(event.clientX, event.clientY));
    }
    fingers.delete(event.pointerId);
  });
  sheet.addEventListener("pointercancel", event => fingers.delete(event.pointerId));
  sheet.addEventListener("wheel", event => {
    event.preventDefault();
    zoom(event.deltaY > 0 ? 1.2 : 1 / 1.2, ...spot(event.clientX, event.clientY));
  }, {passive: false});
}
document.getElementById("in").addEventListener("click", () => zoom(1 / 1.4, ...middle()));
document.getElementById("out").addEventListener("click", () => zoom(1.4, ...middle()));
document.getElementById("whole").addEventListener("click", () => { box = whole[at].slice(); put(); });
pick.addEventListener("change", () => show(pick.selectedIndex));
addEventListener("resize", top_);
tools.hidden = false;
document.body.classList.add("live");
top_();
show(0);
