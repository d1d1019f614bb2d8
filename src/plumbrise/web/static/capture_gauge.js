// The indicator as this page has it: what it shows, and when that is taken.

const MOVED_MM = 0.005;

/** What the indicator shows now; `armed` names the reading that is kept once it is still. */
export class Gauge {
  constructor(shown) {
    this.there = shown !== null;
    this.shown = shown ?? { mm: null, still_mm: null, words: "" };
    this.armed = "";
    this.keptMm = null; // the value that was kept last, until it has moved away from it
    this.done = ""; // the reading that was kept or asked about by itself
  }

  learn(shown) {
    this.shown = shown;
    const moved = shown.still_mm === null && shown.mm !== null;
    if (moved && this.keptMm !== null && Math.abs(shown.mm - this.keptMm) > MOVED_MM) this.keptMm = null;
  }

  /** A value was kept: the next one has to come from another place of the plunger. */
  kept(mm) {
    this.keptMm = mm;
    this.armed = "";
  }

  /** The value to show and keep, mm; null where there is none. */
  get mm() {
    return this.shown.still_mm ?? this.shown.mm;
  }

  get still() {
    return this.shown.still_mm !== null;
  }

  /** Whether this reading is to be taken now: asked for by the key, or by itself where `moved`
   * says that the axis has just come there, or the value has left the last one. */
  due(place, byItself, arrived) {
    if (!this.still) return false;
    const key = String(place);
    if (this.armed === key) return true;
    if (!byItself || this.done === key) return false;
    return arrived ?? (this.keptMm === null && this.done !== "");
  }
}
