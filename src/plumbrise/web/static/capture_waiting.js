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
    this.write(this.name(entry), JSON.stringify(entry));
    return entry;
  }

  /** Hold a changed act in its old place. */
  change(entry) {
    this.write(this.name(entry), JSON.stringify(entry));
  }

  /** All that waits here, this tab's and what a closed tab left, in the order done. */
  all() {
    const found = [];
    for (const name of this.names()) {
      try {
        found.push(JSON.parse(this.read(name)));
      } catch {
        // no entry of ours
      }
    }
    const mine = found.filter(
      (e) => e && (e.by === this.me || Date.now() - e.since > ADOPT_AFTER_MS),
    );
    return mine.sort((a, b) => (a.by === b.by ? a.number - b.number : a.since - b.since));
  }

  /** The bench has it, or it was taken back before it was sent. */
  drop(token) {
    for (const entry of this.all()) {
      if (entry.token === token) this.forget(this.name(entry));
    }
  }

  name(entry) {
    return `${PREFIX}.${this.key}.${entry.by}.${String(entry.number).padStart(8, "0")}`;
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
