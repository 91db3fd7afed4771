// What was entered, until the laptop has it on its disk: kept in this browser, sent one after the other, each under a
// name of its own so that an entry that is sent twice is kept once.

const RETRY_MS = 2000;

/** @typedef {{entry: string, line: string, step?: string, setup?: object, state?: string, number?: number}} Entry */
/** @typedef {{kept: boolean, said: string[], number: number, problems: {title: string, seen: string, fix: string}[]}} Answer */

export class Entries {
  /** @param {string} job @param {string} token @param {{changed: (left: Entry[], lost: boolean) => void, answered: (entry: Entry, answer: Answer) => void, stale: () => void}} heard @param {string} address @param {string} kept */
  constructor(job, token, heard, address = `/job/${encodeURIComponent(job)}/entries`, kept = "entries") {
    this.token = token;
    this.address = address;
    this.heard = heard;
    this.lost = false;
    this.sending = false;
    this.key = `loombench.${kept}.${job}`;
  }

  /** @returns {Entry[]} */
  left() {
    try {
      return JSON.parse(localStorage.getItem(this.key) ?? "[]");
    } catch {
      return [];
    }
  }

  /** @param {Entry[]} entries */
  keep(entries) {
    if (entries.length) localStorage.setItem(this.key, JSON.stringify(entries));
    else localStorage.removeItem(this.key);
    this.heard.changed(entries, this.lost);
  }

  /** @param {Omit<Entry, "entry">} entry */
  add(entry) {
    this.keep([...this.left(), { ...entry, entry: name() }]);
    this.send();
  }

  /** Take one out that is not to be sent after all. @param {string} entry */
  drop(entry) {
    this.keep(this.left().filter((one) => one.entry !== entry));
  }

  /** Send what is left, in order; what meets no answer stays and is sent again later. */
  async send() {
    if (this.sending) return;
    this.sending = true;
    try {
      for (let first = this.left()[0]; first; first = this.left()[0]) {
        const answer = await this.post(first);
        if (!answer) break;
        this.lost = false;
        this.drop(first.entry);
        this.heard.answered(first, answer);
      }
    } finally {
      this.sending = false;
    }
    if (this.left().length && !this.waiting) this.waiting = setTimeout(() => { this.waiting = 0; this.send(); }, RETRY_MS);
  }

  /** @param {Entry} entry @returns {Promise<Answer | null>} */
  async post(entry) {
    try {
      const answer = await fetch(this.address, {
        method: "POST", body: JSON.stringify(entry),
        headers: { "Content-Type": "application/json", "X-Loombench-Token": this.token },
      });
      if (answer.ok) return await answer.json();
      if (answer.status === 403) this.heard.stale();
      if (answer.status === 400 || answer.status === 413) return { kept: false, said: [], number: 0, problems: [] };
    } catch {
      // No way to the laptop now; it is tried again.
    }
    this.lost = true;
    this.heard.changed(this.left(), true);
    return null;
  }
}

/** A name that no other entry has. Over plain http a page has no `randomUUID`. */
function name() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((one) => one.toString(16).padStart(2, "0")).join("");
}
