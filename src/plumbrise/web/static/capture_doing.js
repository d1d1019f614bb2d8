// What a person does: keep, pass over, take back, leave, mend, note; and what is asked before.

import { nowOf, stood } from "./capture_now.js";
import { cardOf } from "./capture_shown.js";
import { at, both, say, tell } from "./capture_text.js";
import { own, random } from "./capture_waiting.js";

/** The doings of one capture. */
export class Doing {
  constructor(capture) {
    this.capture = capture;
    this.words = capture.words;
  }

  // --- keeping

  keep() {
    const { capture, words } = this;
    if (capture.asking) {
      const { yes } = capture.asking;
      this.unask();
      yes();
      return;
    }
    const now = nowOf(capture);
    if (!now.place) return;
    const { gauges } = capture;
    const which = capture.showing(now);
    const [silent] = capture.openGauges(now);
    if (cardOf(capture, now)) capture.show(); // a break came between: the figures stay
    else if (now.before === "moves") tell(words.movesStill, true);
    else if (now.before === "go" && !now.typed) this.go(now);
    else if (now.value === null) tell((!now.typed && gauges.at(silent).words) || words.notReading, true);
    else if (now.typed || which.every(gauges.still) || gauges.armed === String(now.place)) this.keepValue(now);
    else {
      gauges.armed = String(now.place);
      tell(words.keepsWhenStill);
      capture.showTaken();
    }
  }

  /** What is typed for the set-up that is asked, or what the indicators show for all that have one. */
  keepValue(now) {
    const { capture } = this;
    const typed = { name: now.place[0], value: now.value, about: now.about };
    const taken = now.typed ? [typed] : now.untyped;
    const acts = taken.map(({ name, value }) => ({
      do: capture.mending ? "mend" : "keep",
      at: [name, now.place[1]],
      text: now.typed ? capture.entry.value : this.asShown(name, value),
      shown_mm: value,
    }));
    capture.gauges.done = String(now.first);
    const moved = capture.typedFor && capture.typedFor !== String(now.place);
    const question = moved ? this.words.movedOn : this.suspicion(taken, now);
    if (!question) this.said(now, acts);
    else {
      const values = taken.map((one) => one.value);
      const yes = say(this.words.keepIt, { value: both(values, this.words, capture.mm) });
      this.ask(question, yes, () => this.said(nowOf(capture), acts.map((act) => ({ ...act, sure: true }))));
    }
  }

  /** As the gauge has it, which may count down. */
  asShown(name, value) {
    const { plan, told } = this.capture;
    return ((plan.isDown(name) ? -value : value) / told.unit).toFixed(4);
  }

  suspicion(taken, now) {
    const { plan } = this.capture;
    return taken
      .map(({ name, value, about }) => {
        const off = about ? Math.abs(value - about.middle) - about.span : 0;
        if (off <= 1e-9) return "";
        const question = say(this.words.off, {
          off: off.toFixed(2),
          low: (about.middle - about.span).toFixed(2),
          high: (about.middle + about.span).toFixed(2),
        });
        return now.names.length > 1 ? `${plan.runs.get(name).place}: ${question}` : question;
      })
      .filter(Boolean)
      .join(" ");
  }

  /** Said for this target; kept once all that is read at it was said. */
  said(now, acts) {
    const { capture } = this;
    const here = acts.every((act) => now.names.includes(act.at[0]) && act.at[1] === now.first?.[1]);
    if (capture.mending || now.names.length < 2 || !here) {
      this.hold(acts);
      return;
    }
    for (const act of acts) capture.held.put(now.first, act.at[0], act);
    const all = now.names.map((name) => capture.held.at(now.first).get(name));
    if (all.every(Boolean)) {
      const pair = random();
      this.hold(all.map((act) => ({ ...act, pair })));
      return;
    }
    this.empty();
    tell("");
    capture.show();
  }

  /** Hold it, show it, send it. */
  hold(acts) {
    const { capture } = this;
    for (const act of [acts].flat()) {
      capture.waiting.add(act);
      if (act.do === "keep") capture.gauges.kept(capture.plan.gaugeOf(act.at[0]));
    }
    capture.held.forget();
    capture.mending = null;
    this.empty();
    tell("");
    capture.show();
    capture.sending.send();
  }

  pass() {
    const { capture } = this;
    if (capture.asking) {
      this.unask();
      this.empty();
      capture.show();
      return;
    }
    const now = nowOf(capture);
    if (now.place && !capture.mending) this.said(now, [{ do: "pass", at: now.place }]);
  }

  // --- taking back, leaving, noting

  undo() {
    const { capture, words } = this;
    const { waiting, sending, plan } = capture;
    this.unask();
    capture.mending = null;
    if (capture.held.acts.size) {
      capture.held.forget();
      this.empty();
      tell(words.forgotten);
      capture.show();
      return;
    }
    const last = waiting.all().filter((e) => e.do !== "undo").at(-1);
    const mates = waiting.all().filter((e) => last?.pair && e.pair === last.pair);
    const all = mates.length ? mates : [last];
    if (last && !all.some((e) => sending.inHand.has(e.token))) {
      for (const e of all) waiting.drop(e.token);
      capture.show();
    } else if (last) this.hold({ do: "undo", of: last.token, also: all.map((e) => e.token) });
    else if (capture.away) tell(words.waits, true);
    else if (plan.live.undo) {
      const { of, words: what } = plan.live.undo;
      const value = both(plan.undone(), words, capture.mm) || what;
      this.hold({ do: "undo", of });
      tell(say(words.takenBack, { value }));
    }
  }

  leave(kind) {
    const { capture, words } = this;
    const { first } = nowOf(capture);
    if (!first || this.waits()) return;
    const left = (capture.plan.view().values.get(first[0]) ?? []).filter((v) => v === null).length;
    const [question, yes] =
      kind === "skip" ? [words.askSkip, words.skipIt] : [words.askRepeat, words.repeatIt];
    this.ask(say(question, { left }), yes, () => this.hold({ do: kind, at: first }));
  }

  /** The gauge counts the other way than it was taken to. */
  turn(name = nowOf(this.capture).place?.[0], reading = nowOf(this.capture).place?.[1]) {
    const { capture } = this;
    if (name === undefined || this.waits()) return;
    const down = !capture.plan.isDown(name);
    this.hold({ do: "turn", at: [name, reading], down });
    tell(down ? capture.told.counts.down : capture.told.counts.up);
  }

  waits() {
    if (this.capture.away) tell(this.words.waits, true);
    return this.capture.away;
  }

  note() {
    const form = at("noting");
    form.hidden = !form.hidden;
    if (!form.hidden) at("words").focus();
  }

  noted(said) {
    const place = this.capture.plan.lastRead();
    if (place) this.hold({ do: "note", at: place, words: said });
  }

  /** Walk back to a reading, to mend it. */
  walk(step) {
    const { capture, words } = this;
    const { values, asks: next } = capture.plan.view();
    const { place } = nowOf(capture);
    const name = place?.[0] ?? capture.plan.live.names.at(-1);
    const list = values.get(name) ?? [];
    const end = !capture.mending && place ? place[1] : next?.[0] === name ? next[1] : list.length;
    let i = (capture.mending?.[1] ?? end) + step;
    while (i >= 0 && i < list.length && list[i] === null) i += step;
    if (i < 0) return;
    this.unask();
    capture.mending = i < list.length && list[i] !== null && i !== end ? [name, i] : null;
    this.empty();
    const value = list[i];
    const mending = capture.mending && {
      number: i + 1,
      told: capture.mm(capture.plan.runs.get(name).rows[i][0]),
      value: value === "x" ? words.passed : capture.mm(value),
    };
    tell(mending ? say(words.mending, mending) : "");
    capture.show();
  }

  escape() {
    const { capture } = this;
    const was = capture.mending;
    capture.mending = null;
    capture.gauges.armed = "";
    this.unask();
    if (was) tell("");
    this.empty();
    capture.show();
  }

  // --- what is typed and asked

  ask(question, yesWords, yes) {
    const { capture } = this;
    capture.asking = { yes, yesWords };
    at("asks").textContent = question;
    at("asks").hidden = false;
    capture.entry.select();
    capture.showTaken();
  }

  unask() {
    const { capture } = this;
    const asked = capture.asking;
    capture.asking = null;
    at("asks").hidden = true;
    at("asks").textContent = "";
    if (asked) capture.sending.send(); // what waited behind the question
  }

  /** Figures as if they were typed, which outlive the page too. */
  fill(text) {
    this.capture.entry.value = text;
    own("plumbrise-typed", text);
  }

  empty() {
    this.fill("");
    this.capture.typedFor = "";
  }

  typed() {
    const { capture } = this;
    if (capture.asking) this.unask();
    capture.gauges.armed = "";
    if (!capture.entry.value) capture.typedFor = "";
    else capture.typedFor ||= String(nowOf(capture).place);
    own("plumbrise-typed", capture.entry.value);
    capture.showTaken();
  }

  /** The keypad, before its figure stands: a question is answered by another value. */
  pressed() {
    if (!this.capture.asking) return;
    this.unask();
    this.empty();
  }

  // --- what the cards before a set-up do

  go = (now) => this.capture.axis.move("go", ...now.first);

  end() {
    const { axis } = this.capture;
    axis.move("end", axis.now?.run, 0);
  }

  moving = (now) => ({
    move: () => this.capture.axis.move("begin", ...now.first),
    without: () => {
      this.capture.axis.unmoved.add(now.first[0]);
      this.capture.show();
    },
  });

  setting = (now) => ({
    stands: () => this.stands(now),
    turn: (name) => this.turn(name, now.first[1]),
    leaveOut: (pressed) => this.leaveOut(now, pressed.currentTarget),
  });

  resuming = (now) => ({
    untouched: () => {
      stood(this.capture, now.first[0]);
      this.hold({ do: "stands", at: now.first });
      this.capture.entry.focus();
    },
    touched: () => this.hold({ do: "repeat", at: now.first }),
  });

  /** A set-up that cannot be read here is left out; a second press says that it was meant. */
  leaveOut(now, button) {
    const { capture, words } = this;
    if (this.waits()) return;
    if (!button.dataset.sure) {
      const left = (capture.plan.view().values.get(now.first[0]) ?? []).filter((v) => v === null).length;
      button.dataset.sure = "asked";
      button.textContent = say(words.leaveOutSure, { left });
      return;
    }
    capture.showCard = false;
    this.hold({ do: "skip", at: now.first });
  }

  stands(now) {
    stood(this.capture, now.first[0]);
    this.capture.showCard = false;
    this.capture.show();
    this.capture.entry.focus();
  }
}
