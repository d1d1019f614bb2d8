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
    this.heardAt = performance.now();
    this.hold(live.values);
  }

  hold(values) {
    for (const [name, list] of Object.entries(values)) this.known.set(name, list);
  }

  /** The set-ups that are read at a target: with two gauges both that go together and are open. */
  readAt(values, [name, reading]) {
    const other = this.live.pairs[name];
    const open = other && !this.live.ended.includes(other) && (values.get(other) ?? [])[reading] === null;
    return open ? [name, other] : [name];
  }

  /** Which gauge reads a set-up: the second one the later of two that go together. */
  gaugeOf(name) {
    const { names, pairs } = this.live;
    return name in pairs && names.indexOf(pairs[name]) < names.indexOf(name) ? 1 : 0;
  }

  /** Whether its gauge is taken to count down. */
  isDown = (name) => this.live.down.includes(name);

  /** How long nothing was read, here or elsewhere, and the gauge not said to stand; null before the
   * first reading. */
  quietS() {
    if (this.live.quiet_s === null) return null;
    const here = this.waiting.all().map((e) => (Date.now() - e.since) / 1000);
    return Math.min(this.live.quiet_s + (performance.now() - this.heardAt) / 1000, ...here);
  }

  /** What undo takes back on the bench: one value, or those of both gauges. */
  undone = () => [this.live.undo?.value_mm, this.live.undo?.second_mm];

  /** News from the bench: "old", "new", or "strange" where it has set-ups not known here; then all
   * has to be asked for. */
  learn(fresh) {
    if (fresh.boot === this.live.boot && fresh.version < this.live.version) return "old";
    if (fresh.names.some((name) => !this.runs.has(name))) return "strange";
    this.live = fresh;
    this.heardAt = performance.now();
    this.hold(fresh.values);
    return "new";
  }

  /** Values by set-up as the person has them: on disk, with what waits laid over. */
  view() {
    const values = new Map([...this.known].map(([name, list]) => [name, [...list]]));
    const pending = new Map();
    const entries = this.waiting.all();
    const undone = new Set(entries.filter((e) => e.do === "undo").flatMap((e) => [e.of, ...(e.also ?? [])]));
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
