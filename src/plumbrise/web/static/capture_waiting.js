// What this browser holds until the bench has it: one entry an act, numbered, oldest first.

const PREFIX = "plumbrise-waits";
const ADOPT_AFTER_MS = 15000;

/** A queue on disk in this browser; tabs have a queue each and take over one that was left. */
export class Waiting {
  constructor(key, full) {
    this.key = key;
    this.full = full; // called when this browser holds no more
    this.me = own("plumbrise-tab") ?? random();
    own("plumbrise-tab", this.me);
    this.works = works();
    this.memory = new Map();
    this.number = Math.max(0, ...this.all().filter((e) => e.by === this.me).map((e) => e.number));
  }

  /** Hold an act; from here on it survives the tab. */
  add(act) {
    this.number += 1;
    const entry = { ...act, by: this.me, number: this.number, since: Date.now() };
    entry.token ??= `${this.me}-${random()}`;
    // by its token: a tab that the browser has doubled has the same name, and numbers as this one
    this.write(`${PREFIX}.${this.key}.${entry.token}`, JSON.stringify(entry));
    return entry;
  }

  /** All that waits here, this tab's and what a closed tab left, in the order done. */
  all() {
    const found = [...this.held().values()];
    const mine = found.filter((e) => e.by === this.me || Date.now() - e.since > ADOPT_AFTER_MS);
    const inTurn = (a, b) => (a.by === b.by ? a.number - b.number : 0) || a.since - b.since;
    return mine.sort(inTurn);
  }

  /** Every entry of this plan, by the name under which it is held. */
  held() {
    const found = new Map();
    for (const name of this.names()) {
      try {
        const entry = JSON.parse(this.read(name));
        if (entry) found.set(name, entry);
      } catch {
        // no entry of ours
      }
    }
    return found;
  }

  /** The bench has it, or it was taken back before it was sent. */
  drop(token) {
    for (const [name, entry] of this.held()) {
      if (entry.token === token) this.forget(name);
    }
  }

  names() {
    const start = `${PREFIX}.${this.key}.`;
    const kept = this.works
      ? Array.from({ length: localStorage.length }, (_, i) => localStorage.key(i))
      : [...this.memory.keys()];
    if (this.works) kept.push(...this.memory.keys()); // what did not fit
    return [...new Set(kept)].filter((name) => name.startsWith(start)).sort();
  }

  read(name) {
    return this.memory.get(name) ?? (this.works ? localStorage.getItem(name) : null);
  }

  write(name, text) {
    try {
      if (this.works) {
        localStorage.setItem(name, text);
        return;
      }
    } catch {
      this.full(); // memory has it, but a closed tab would lose it: the person has to know
    }
    this.memory.set(name, text);
  }

  forget(name) {
    this.memory.delete(name);
    if (this.works) localStorage.removeItem(name);
  }
}

function works() {
  try {
    localStorage.setItem(`${PREFIX}.try`, "1");
    localStorage.removeItem(`${PREFIX}.try`);
    return true;
  } catch {
    return false;
  }
}

/** A value of this tab alone, also after it is loaded anew. */
export function own(name, value) {
  try {
    if (value !== undefined) sessionStorage.setItem(name, value);
    return sessionStorage.getItem(name);
  } catch {
    return value ?? null;
  }
}

/** Letters that no other page has; works on a plain address too. */
export function random() {
  return Array.from(crypto.getRandomValues(new Uint8Array(12)), (b) =>
    b.toString(16).padStart(2, "0"),
  ).join("");
}
