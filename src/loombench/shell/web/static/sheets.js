// Drawings under a finger: what a tap touches, how near they are, and layers put in the place of older ones.

const FINGER_PX = 26;
// Pixels a millimetre: text of 2.5 mm is read with ease from about 13 pixels on.
const FARTHEST = 1.2, READABLE = 4.4, COMFORTABLE = 5.6, NEAREST = 24;
const STEP = 1.4;

/** @typedef {{pin: string, part: string, wire: string}} Touched */

export class Sheets {
  /** @param {HTMLElement[]} sheets @param {(touched: Touched) => void} touched */
  constructor(sheets, touched) {
    this.all = sheets;
    this.scale = 0;
    for (const sheet of sheets) {
      sheet.addEventListener("click", (event) => touched(this.at(sheet, event.clientX, event.clientY)));
      pinched(sheet, (times) => this.setScale(this.scale * times));
    }
    this.fit();
  }

  /** What stands under a place of the window: the nearest pin within a finger's width, the smallest part around, a wire. */
  at(sheet, x, y) {
    return { pin: nearestPin(sheet, x, y), part: smallestPart(sheet, x, y), wire: wireAt(sheet, x, y) };
  }

  keys() {
    return this.all.map((sheet) => sheet.dataset.key);
  }

  /** @param {{key: string, live: string, over: string, still: string | null}[]} pages */
  put(pages) {
    pages.forEach((page, number) => {
      const sheet = this.all[number];
      if (!sheet) return;
      sheet.querySelector(".live-layer").innerHTML = page.live;
      if (page.still !== null) sheet.querySelector(".still-layer").innerHTML = page.still;
      sheet.querySelector(".over-layer").innerHTML = page.over;
      sheet.dataset.key = page.key;
    });
  }

  /** @param {"in" | "out" | "whole"} which */
  zoom(which) {
    this.setScale(which === "whole" ? this.whole() : this.scale * (which === "in" ? STEP : 1 / STEP));
  }

  /** So near that a whole page is in sight, in pixels a millimetre. */
  whole() {
    const fits = this.all.map((sheet) => Math.min(sheet.clientWidth / wide(sheet), sheet.clientHeight / high(sheet)));
    return Math.min(COMFORTABLE, ...fits);
  }

  /** So near that it can be read; nearer where the width allows. */
  fit() {
    const fits = this.all.map((sheet) => sheet.clientWidth / wide(sheet));
    this.setScale(Math.max(READABLE, Math.min(COMFORTABLE, ...fits)));
    for (const sheet of this.all) fromAbove(sheet);
  }

  /** Nearer or farther, with what is in the middle staying there. @param {number} scale pixels a millimetre */
  setScale(scale) {
    const wanted = Math.min(NEAREST, Math.max(FARTHEST, scale));
    for (const sheet of this.all) {
      const x = (sheet.scrollLeft + sheet.clientWidth / 2) / sheet.scrollWidth;
      const y = (sheet.scrollTop + sheet.clientHeight / 2) / sheet.scrollHeight;
      sheet.querySelector("svg").style.width = `${wide(sheet) * wanted}px`;
      if (!this.scale) continue;
      sheet.scrollLeft = x * sheet.scrollWidth - sheet.clientWidth / 2;
      sheet.scrollTop = y * sheet.scrollHeight - sheet.clientHeight / 2;
    }
    this.scale = wanted;
  }
}

const wide = (sheet) => sheet.querySelector("svg").viewBox.baseVal.width;
const high = (sheet) => sheet.querySelector("svg").viewBox.baseVal.height;

/** Of a page wider than its frame the part that stands highest is in the middle: it is read from there, and not from an
 * empty corner. @param {HTMLElement} sheet */
function fromAbove(sheet) {
  const boxes = [...sheet.querySelectorAll(".part[data-part]")].map((part) => part.getBoundingClientRect());
  if (!boxes.length) return;
  const highest = boxes.reduce((one, other) => (other.top < one.top ? other : one));
  const frame = sheet.getBoundingClientRect();
  sheet.scrollLeft += highest.left + highest.width / 2 - frame.left - frame.width / 2;
}

function nearestPin(sheet, x, y) {
  let found = "", least = FINGER_PX;
  for (const pin of sheet.querySelectorAll("[data-read]")) {
    const box = pin.getBoundingClientRect();
    const far = Math.hypot(x - box.x - box.width / 2, y - box.y - box.height / 2);
    if (far < least) { least = far; found = pin.dataset.read; }
  }
  return found;
}

function smallestPart(sheet, x, y) {
  let found = "", least = Infinity;
  for (const part of sheet.querySelectorAll(".part[data-part]")) {
    const box = part.getBoundingClientRect();
    const inside = x >= box.left && x <= box.right && y >= box.top && y <= box.bottom;
    const area = box.width * box.height;
    if (inside && area < least) { least = area; found = part.dataset.part; }
  }
  return found;
}

function wireAt(sheet, x, y) {
  for (const [dx, dy] of [[0, 0], [6, 0], [-6, 0], [0, 6], [0, -6]]) {
    for (const one of document.elementsFromPoint(x + dx, y + dy)) {
      if (sheet.contains(one) && one.dataset?.wire) return one.dataset.wire;
    }
  }
  return "";
}

/** Two fingers that go apart or together. @param {HTMLElement} sheet @param {(times: number) => void} scaled */
function pinched(sheet, scaled) {
  /** @type {Map<number, PointerEvent>} */
  const fingers = new Map();
  let apart = 0;
  const between = () => {
    const [one, other] = [...fingers.values()];
    return Math.hypot(one.clientX - other.clientX, one.clientY - other.clientY);
  };
  sheet.addEventListener("pointerdown", (event) => {
    fingers.set(event.pointerId, event);
    if (fingers.size === 2) apart = between();
  });
  sheet.addEventListener("pointermove", (event) => {
    if (!fingers.has(event.pointerId)) return;
    fingers.set(event.pointerId, event);
    if (fingers.size !== 2) return;
    const now = between();
    if (Math.abs(now / apart - 1) < 0.04) return;
    scaled(now / apart);
    apart = now;
  });
  for (const name of ["pointerup", "pointercancel", "pointerleave"]) {
    sheet.addEventListener(name, (event) => fingers.delete(event.pointerId));
  }
}
