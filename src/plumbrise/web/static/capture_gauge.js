// The indicators as this page has them: what they show, and when that is taken.

const MOVED_MM = 0.005;
const NOTHING = { mm: null, still_mm: null, words: "" };

/** What one or two indicators show now; `armed` names the reading that is kept once they are still. */
export class Gauges {
  constructor(shown) {
    this.all = shown;
    this.armed = "";
    this.keptMm = new Map(); // by indicator: what was kept last, until it has moved away from it
    this.done = ""; // the reading that was kept or asked about by itself
  }

  get there() {
    return this.all.length > 0;
  }

  learn(all) {
    this.all = all;
    all.forEach((shown, i) => {
      const moved = shown.still_mm === null && shown.mm !== null;
      const kept = this.keptMm.get(i);
      if (moved && kept !== undefined && Math.abs(shown.mm - kept) > MOVED_MM) this.keptMm.delete(i);
    });
  }

  /** A value was kept: the next one has to come from another place of the plunger. */
  kept(i) {
    if (this.mm(i) !== null) this.keptMm.set(i, this.mm(i));
    this.armed = "";
  }

  at = (i) => this.all[i] ?? NOTHING;

  has = (i) => i < this.all.length;

  /** The value to show and keep, mm; null where there is none. */
  mm(i) {
    return this.at(i).still_mm ?? this.at(i).mm;
  }

  still = (i) => this.at(i).still_mm !== null;

  /** Whether a reading is to be taken now from these indicators by itself: `arrived` says that the
   * axis has just come there; without one the values have to have left the last. */
  due(place, which, byItself, arrived) {
    if (!which.length || !which.every(this.still)) return false;
    if (!byItself || this.done === String(place)) return false;
    return arrived ?? (which.every((i) => !this.keptMm.has(i)) && this.done !== "");
  }
}
