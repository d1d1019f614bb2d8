// What there is of a plan: what is on disk, and laid over it what waits in this browser.

/** The set-ups, what was read of them, and what is asked for next. */
export class Plan {
  constructor(told, waiting) {
    this.waiting = waiting;
    this.known = new Map(); // values on disk, by set-up
    this.all(told.runs, told.live);
  }

  /** Everything anew. */
  all(runs, live) {
    this.runs = new Map(runs.map((run) => [run.name, run]));
    this.live = live;
    this.hold(live.values);
  }

  hold(values) {
    for (const [name, list] of Object.entries(values)) this.known.set(name, list);
  }

  /** News from the bench: "old", "new", or "strange" where it has set-ups not known here; then all
   * has to be asked for. */
  learn(fresh) {
    if (fresh.boot === this.live.boot && fresh.version < this.live.version) return "old";
    if (fresh.names.some((name) => !this.runs.has(name))) return "strange";
    this.live = fresh;
    this.hold(fresh.values);
    return "new";
  }

  /** Values by set-up as the person has them: on disk, with what waits laid over. */
  view() {
    const values = new Map([...this.known].map(([name, list]) => [name, [...list]]));
    const pending = new Map();
    const entries = this.waiting.all();
    const undone = new Set(entries.filter((e) => e.do === "undo").map((e) => e.of));
    for (const e of entries) {
      const list = e.at && values.get(e.at[0]);
      if (!list || undone.has(e.token) || !["keep", "pass", "mend"].includes(e.do)) continue;
      if (e.do !== "mend" && list[e.at[1]] !== null) continue;
      list[e.at[1]] = e.do === "pass" ? "x" : e.shown_mm;
      pending.set(e.at[0], (pending.get(e.at[0]) ?? new Set()).add(e.at[1]));
    }
    return { values, pending, asks: this.asks(values), entries };
  }

  asks(values) {
    for (const name of this.live.names) {
      if (this.live.ended.includes(name)) continue;
      const reading = (values.get(name) ?? []).indexOf(null);
      if (reading >= 0) return [name, reading];
    }
    return null;
  }

  /** Where the last reading stands; a note goes there. */
  lastRead() {
    const { values, asks: next } = this.view();
    const { names } = this.live;
    const order = names.slice(0, next ? names.indexOf(next[0]) + 1 : undefined);
    for (const name of order.reverse()) {
      const list = values.get(name) ?? [];
      for (let i = list.length - 1; i >= 0; i--) if (list[i] !== null) return [name, i];
    }
    return null;
  }
}
