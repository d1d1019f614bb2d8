// The axis as this page has it: where it stands, what one more press would have it do. Nothing
// here is ever sent again by itself: a move that got lost has to be asked for anew.

const PATIENCE_MS = 4000;

/** Where the axis is; `tell` hears words that are against a move. */
export class Axis {
  constructor(told, tell) {
    this.now = told.axis;
    this.may = told.axis?.may ?? false;
    this.at = told.at;
    this.plan = Number(told.at.split("/").at(-1));
    this.lost = told.words.moveLost;
    this.tell = tell;
    this.unmoved = new Set(); // set-ups that are read without moving
    this.asked = false;
  }

  learn(now) {
    this.now = { ...this.now, ...now };
  }

  /** This set-up is the one that the controller has. */
  here(run) {
    return this.now !== null && this.now.plan === this.plan && this.now.run === run.name;
  }

  get moves() {
    return this.now?.does === "moves";
  }

  /** What has to come before this reading: "begin", "wait", "moves", "go", or nothing. */
  before(run, reading) {
    if (!this.now || !run.drives || this.unmoved.has(run.name)) return "";
    const { does, reached } = this.now;
    if (does === "moves") return reached < 0 || !this.here(run) ? "homes" : "moves";
    if (!this.here(run) || ["idle", "stopped"].includes(does)) return this.may ? "begin" : "";
    if (does === "waits") return "wait";
    return reached < reading ? "go" : "";
  }

  /** It stands at this reading. */
  arrived(run, reading) {
    return this.here(run) && this.now.does === "stands" && this.now.reached === reading;
  }

  /** It stands at this reading, and nobody has stopped it there: it may go on by itself. */
  goesOn(run, reading) {
    return this.may && !this.now.held && this.arrived(run, reading);
  }

  /** It has passed this reading, and moves back for none. */
  passed(run, reading) {
    return this.here(run) && this.now.does === "stands" && this.now.reached > reading;
  }

  /** Begin a set-up, go on to a reading, or run the program to its end. */
  async move(what, run, reading) {
    if (this.asked) return;
    this.asked = true;
    const { stops, presses, at_s } = this.now;
    try {
      const answer = await fetch(`${this.at}/move`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ do: what, run, reading, stops, presses, at_s }),
        signal: AbortSignal.timeout(PATIENCE_MS),
      });
      const told = await answer.json();
      if (told.does) document.dispatchEvent(new CustomEvent("axis", { detail: told }));
      this.tell(told.against ?? told.words ?? "", !answer.ok);
    } catch {
      this.tell(this.lost, true);
    } finally {
      this.asked = false;
    }
  }
}
