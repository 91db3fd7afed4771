// A page whose state is its address: a change asks for another address, and what follows from it is put in place.
// Without this script the same links load the whole page.

const PAGE = crypto.randomUUID ? crypto.randomUUID() : String(Math.random()).slice(2);

/** @typedef {{address: string, pieces: Record<string, string>, pages: {key: string, live: string, over: string, still: string | null}[], taps: Record<string, string>}} Answer */

/** Say something at the foot of the page; an empty text takes it away. @param {string} text */
export function say(text) {
  document.getElementById("said").textContent = text;
}

/** The address with one word set, or taken out where it is empty. @param {string} name @param {string} value */
export function withWord(name, value) {
  const at = new URL(location.href);
  if (value) at.searchParams.set(name, value); else at.searchParams.delete(name);
  return at;
}

export class Live {
  /** `kept` says whether each change is a step in the browser's history.
   * @param {import("./sheets.js").Sheets} sheets @param {Record<string, string>} taps @param {boolean} kept */
  constructor(sheets, taps, kept) {
    this.sheets = sheets;
    this.taps = taps;
    this.kept = kept;
    this.asked = 0;
    /** What stands in each piece of the page. @type {Map<string, string>} */
    this.shown = new Map();
    document.addEventListener("click", (event) => this.clicked(event));
    document.addEventListener("submit", (event) => this.submitted(event));
    document.addEventListener("change", (event) => {
      if (event.target.matches("form[data-live] select")) event.target.form.requestSubmit();
    });
    addEventListener("popstate", () => this.go(new URL(location.href), true));
  }

  /** Ask for an address. `back` leaves the browser's history as it is. @param {URL} address @param {boolean} back */
  async go(address, back = false) {
    const mine = ++this.asked;
    document.body.classList.add("waits");
    try {
      const headers = { Accept: "application/json", "X-Loombench-Page": PAGE, "X-Loombench-Have": this.sheets.keys().join(",") };
      const answer = await fetch(address, { headers });
      if (mine !== this.asked || answer.status === 204) return;
      if (!answer.ok) { location.assign(address); return; }
      this.put(await answer.json(), back);
    } catch {
      if (mine === this.asked) say(document.body.dataset.lost ?? "");
    } finally {
      if (mine === this.asked) document.body.classList.remove("waits");
    }
  }

  /** @param {Answer} answer @param {boolean} back */
  put(answer, back) {
    const held = document.activeElement?.id ?? "";
    const open = [...document.querySelectorAll("details[open]")].map((one) => one.id);
    for (const [name, text] of Object.entries(answer.pieces)) {
      if (this.shown.get(name) !== text) document.getElementById(name).innerHTML = text;
      this.shown.set(name, text);
    }
    this.sheets.put(answer.pages);
    this.taps = answer.taps;
    for (const id of open) document.getElementById(id)?.setAttribute("open", "");
    if (held) document.getElementById(held)?.focus({ preventScroll: true });
    say("");
    if (!back && this.kept) history.pushState(null, "", answer.address);
    else if (!back) history.replaceState(null, "", answer.address);
    document.dispatchEvent(new CustomEvent("live:put"));
  }

  clicked(event) {
    const link = event.target.closest("a[data-live]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    this.go(new URL(link.href));
  }

  submitted(event) {
    if (!event.target.matches("form[data-live]")) return;
    event.preventDefault();
    const at = new URL(event.target.action);
    const words = [...new FormData(event.target, event.submitter)].filter(([, value]) => value !== "");
    at.search = new URLSearchParams(words).toString();
    this.go(at);
  }
}

/** What a tap on a drawing does: the buttons that choose it, zoom, and keys while the drawing has the focus.
 * @param {import("./sheets.js").Sheets} sheets */
export function hands(sheets, keys = {}) {
  const hand = {
    now: "operate",
    black: false,
    take(which) {
      hand.now = which;
      hand.black = false;
      for (const one of document.querySelectorAll("[data-hand]")) one.setAttribute("aria-pressed", String(one.dataset.hand === which));
    },
  };
  for (const one of document.querySelectorAll("[data-hand]")) one.addEventListener("click", () => hand.take(one.dataset.hand));
  for (const one of document.querySelectorAll("[data-zoom]")) one.addEventListener("click", () => sheets.zoom(one.dataset.zoom));
  const acts = {
    "+": () => sheets.zoom("in"), "=": () => sheets.zoom("in"), "-": () => sheets.zoom("out"), 0: () => sheets.zoom("whole"),
    m: () => hand.take("lead"), o: () => hand.take("operate"), ...keys,
  };
  document.querySelector(".paper").addEventListener("keydown", (event) => {
    const act = acts[event.key.toLowerCase()];
    if (!act || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    act();
  });
  return hand;
}
