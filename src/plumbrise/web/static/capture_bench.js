// What the bench says: what became of each act, what other pages did, what is plugged in.

import { nowOf } from "./capture_now.js";
import { at, say, tell } from "./capture_text.js";

const FRESH_MS = 5000; // a reading kept longer ago moves nothing

/** Hears the bench for one capture. */
export class Bench {
  constructor(capture) {
    this.capture = capture;
    this.words = capture.words;
    this.stream = null;
  }

  /** What became of each act: on disk, known, asked about, or not possible any more. */
  settled(entries, { outcomes, live }) {
    const { capture } = this;
    const waited = capture.away;
    this.here();
    const by = new Map(entries.map((e) => [e.token, e]));
    for (const outcome of outcomes) this.became(by.get(outcome.token), outcome);
    this.learn(live);
    const bad = outcomes.some((o) => ["elsewhere", "wrong"].includes(o.said));
    const sent = outcomes.filter((o) => o.said === "done").length;
    if (waited && sent > 1 && !bad) tell(say(this.words.back, { sent }));
    capture.show();
    const [first] = entries;
    const one = entries.length === 1 || (first.pair && entries.every((e) => e.pair === first.pair));
    const kept = sent === entries.length && entries.every((e) => e.do === "keep");
    if (one && kept && !waited && Date.now() - first.since < FRESH_MS) this.goOn(first.at);
  }

  became(e, { said, words, value_mm: value, question }) {
    const { capture } = this;
    if (said === "asks") {
      capture.doing.fill(e.text);
      if (e.do === "mend") capture.mending = e.at;
      const sure = { ...e, token: undefined, pair: undefined, shown_mm: value, sure: true };
      const yes = say(this.words.keepIt, { value: capture.mm(value) });
      capture.doing.ask(question, yes, () => capture.doing.hold(sure));
    } else if (said === "elsewhere") tell(words, true);
    else if (said === "wrong") {
      tell(words, true);
      if (e?.text && !capture.entry.value) capture.doing.fill(e.text);
    } else if (e?.do === "keep") tell(say(this.words.kept, { value: capture.mm(value) }));
    else if (e?.do === "note") tell(this.words.noted);
    else if (words && e?.do === "turn") tell(words);
  }

  /** On to the next target, where the person wants that after each reading kept here, and looks. */
  goOn(from) {
    const { capture } = this;
    if (document.visibilityState !== "visible") return;
    const { first, before } = nowOf(capture);
    const run = first && capture.plan.runs.get(first[0]);
    const on = first && before === "go" && first[0] === from[0] && capture.axis.goesOn(run, from[1]);
    if (on && at("on").checked) capture.axis.move("go", ...first);
  }

  learn(live) {
    const news = this.capture.plan.learn(live);
    if (news === "strange") this.reload();
    return news !== "old";
  }

  gone() {
    this.capture.away = true;
    this.capture.show();
  }

  here() {
    const { capture } = this;
    const was = capture.away || capture.refused;
    capture.away = false;
    capture.refused = "";
    if (was) capture.show();
  }

  refuse(words) {
    this.capture.refused = words;
    this.capture.show();
  }

  async reload() {
    try {
      const answer = await fetch(`${this.capture.told.at}/state.json`);
      if (!answer.ok) return;
      const { runs, live } = await answer.json();
      this.capture.plan.all(runs, live);
      this.capture.show();
    } catch {
      this.gone();
    }
  }

  gaugesShow(shown) {
    this.capture.gauges.learn(shown);
    this.takeIfDue();
  }

  /** Keep what the indicators show, where that was asked for by the key or by the tick. */
  takeIfDue() {
    const { capture } = this;
    const now = nowOf(capture);
    const run = now.first && capture.plan.runs.get(now.first[0]);
    const arrived = run && capture.axis.here(run) ? capture.axis.arrived(run, now.first[1]) : undefined;
    const free = now.place && !now.typed && now.value !== null && !capture.asking && !capture.mending;
    const taking = !at("taking").hidden;
    const due = () => {
      const armed = capture.gauges.armed === String(now.place);
      const which = armed ? capture.showing(now) : capture.openGauges(now);
      return armed ? which.every(capture.gauges.still) : capture.gauges.due(now.first, which, at("still").checked, arrived);
    };
    if (free && taking && due()) capture.doing.keepValue(now);
    else capture.showTaken();
  }

  /** Hear of other pages, the indicators and the axis. */
  listen() {
    this.stream?.close();
    if (document.visibilityState !== "visible") {
      this.stream = null; // a browser has few connections, and this page shows nothing now
      return;
    }
    const mine = new EventSource(`${this.capture.told.at}/events`);
    this.stream = mine;
    mine.addEventListener("open", () => {
      this.here();
      this.capture.sending.send();
    });
    mine.addEventListener("live", (event) => {
      if (this.learn(JSON.parse(event.data))) this.capture.show();
    });
    mine.addEventListener("gauges", (event) => this.gaugesShow(JSON.parse(event.data)));
    mine.addEventListener("axis", (event) => {
      document.dispatchEvent(new CustomEvent("axis", { detail: JSON.parse(event.data) }));
    });
    mine.addEventListener("error", () => {
      if (this.stream !== mine) return;
      this.gone();
      if (mine.readyState === EventSource.CLOSED) {
        setTimeout(() => this.stream === mine && this.listen(), 2000);
      }
    });
  }

  axisIs(told) {
    const { capture } = this;
    const { does, run, reached, held } = capture.axis.now ?? {};
    capture.axis.learn(told);
    if (told.does !== does || told.run !== run || told.reached !== reached || told.held !== held) {
      capture.show();
      if (told.does === "stands" && does !== "stands") capture.entry.focus({ preventScroll: true });
    }
  }
}
