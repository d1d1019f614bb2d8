// Taking readings: one target, one entry. What is done is held in this browser first, shown, and
// sent; the bench answers once it is on disk. Without an answer the page goes on by itself.

import { keepAwake } from "./capture_awake.js";
import { doneCard, gaugeCard, moveCard, movingCard, waitCard } from "./capture_card.js";
import { Gauge } from "./capture_gauge.js";
import { hands, tick } from "./capture_hands.js";
import { expected, heard } from "./capture_hearing.js";
import { Axis } from "./capture_moving.js";
import { Plan } from "./capture_plan.js";
import { Sending } from "./capture_sending.js";
import { Sheet } from "./capture_sheet.js";
import { at, labelled, lengths, say, tell } from "./capture_text.js";
import { own, Waiting } from "./capture_waiting.js";

const FRESH_MS = 5000; // a reading kept longer ago moves nothing

class Capture {
  constructor(told) {
    this.told = told;
    this.words = told.words;
    this.mm = lengths(told);
    this.entry = at("typed");
    this.waiting = new Waiting(told.key, () => tell(this.words.storeFull, true));
    this.plan = new Plan(told, this.waiting);
    this.sheet = new Sheet(told);
    this.gauge = new Gauge(told.gauge);
    this.axis = new Axis(told, tell);
    this.sending = new Sending(told, this.waiting, {
      settled: (entries, answer) => this.settled(entries, answer),
      gone: () => this.gone(),
      here: () => this.here(),
      refused: (words) => this.refuse(words),
      said: (words) => tell(words, true),
    });
    this.away = false;
    this.refused = "";
    this.asking = null; // {yes, yesWords}
    this.mending = null; // [run, reading]
    this.showCard = false;
    this.typedFor = ""; // the reading that was asked for when typing began
    this.stream = null;
  }

  // --- what there is to do

  /** The reading at hand, what it should be about, and the value that would be kept for it. */
  current() {
    const { values, asks } = this.plan.view();
    const place = this.mending ?? asks;
    if (!place) return { place: null, value: null, about: null, last: null, before: "" };
    const run = this.plan.runs.get(place[0]);
    const list = values.get(place[0]) ?? [];
    const about = expected(run, list, place[1], this.told.spans);
    const last = list.slice(0, place[1]).filter((v) => typeof v === "number").at(-1) ?? null;
    const before = this.mending ? "" : this.axis.before(run, place[1]);
    const typed = this.entry.value.trim() !== "";
    const shown = this.mending || before ? null : this.gauge.mm;
    const value = typed ? heard(this.entry.value, about, this.told) : shown;
    return { place, run, list, about, last, before, typed, value };
  }

  /** The card that has to come first, or nothing. */
  card(now, begun) {
    if (!now.place || this.mending) return null;
    const { run, place } = now;
    const { axis, told } = this;
    if (now.before === "begin") {
      return () =>
        moveCard(told, run, axis.now, begun, {
          move: () => axis.move("begin", ...place),
          without: () => this.unmoved(run),
        });
    }
    if (now.before === "wait") {
      return () => waitCard(told, run, axis.now, () => axis.move("go", ...place));
    }
    if (now.before === "homes") return () => movingCard(told, axis.now);
    if (axis.here(run) && !axis.unmoved.has(run.name) && !this.showCard) return null;
    if (!this.showCard && (begun || this.stands(run))) return null;
    return () => gaugeCard(told, run, !this.anyStands(), () => this.stood(run));
  }

  anyStands = () => (own("plumbrise-stands") ?? "").includes(this.told.key);

  stands = (run) =>
    (own("plumbrise-stands") ?? "").split("\n").includes(`${this.told.key} ${run.name}`);

  stood(run) {
    own("plumbrise-stands", `${own("plumbrise-stands") ?? ""}\n${this.told.key} ${run.name}`);
    this.showCard = false;
    this.show();
    this.entry.focus();
  }

  unmoved(run) {
    this.axis.unmoved.add(run.name);
    this.show();
  }

  // --- showing

  show() {
    const view = this.plan.view();
    const now = this.current();
    const begun = (now.list ?? []).some((value) => value !== null);
    const card = this.card(now, begun);
    const done = !now.place;
    at("cap").hidden = false;
    at("card").hidden = !card && !done;
    at("taking").hidden = Boolean(card) || done;
    if (card) card();
    else if (done) this.done();
    this.sheet.show(this.plan, view, now.place, this.plan.live);
    this.showTaken();
    const { away, refused, words } = this;
    const count = { disk: this.plan.live.disk, waiting: view.entries.length };
    this.sheet.trouble(refused || (away ? say(words.away, count) : ""));
  }

  done() {
    const { run } = this.axis.now ?? {};
    doneCard(this.told, this.axis.now, () => this.axis.move("end", run, 0));
  }

  /** What the typed figures, or the indicator, are taken for before they are kept. */
  showTaken() {
    const now = this.current();
    const { words, mm } = this;
    const shown = now.typed || this.mending ? now.value : this.gauge.mm; // live, also as it moves
    at("value").textContent = shown === null ? "" : `${mm(shown)} ${words.mm}`;
    this.entry.placeholder = now.typed || shown === null ? "" : mm(shown);
    at("about").textContent = this.aboutIt(now).join("; ");
    labelled("keep", this.asking?.yesWords ?? this.keyWords(now), "Enter");
    const able = this.asking || now.before === "go" || (now.value !== null && now.before !== "moves");
    at("keep").setAttribute("aria-disabled", String(!able));
    if (this.asking) labelled("pass", words.again, "Esc");
    else labelled("pass", words.pass, "x");
  }

  aboutIt(now) {
    const { words, mm, gauge } = this;
    const about = [];
    if (now.typed && now.value === null) about.push(words.notReading);
    if (gauge.there && !now.typed && !this.mending) {
      about.push(gauge.shown.words || (gauge.still ? words.still : words.notStill));
    }
    if (now.place && this.axis.passed(now.run, now.place[1])) about.push(words.passedBy);
    if (now.last !== null) about.push(say(words.last, { value: mm(now.last) }));
    if (now.about) {
      const { middle, span } = now.about;
      about.push(say(words.between, { low: mm(middle - span), high: mm(middle + span) }));
    }
    return about;
  }

  /** What the big key does next, in words. */
  keyWords(now) {
    const { words, mm } = this;
    if (now.before === "moves") return words.movesNow;
    if (now.before === "go" && !now.typed) return say(words.moveTo, { target: this.target(now) });
    if (now.value === null) return words.keep;
    const value = { value: mm(now.value) };
    if (now.typed || this.gauge.still) {
      return say(this.movesOn(now) ? words.keepAndMove : words.keepIt, value);
    }
    return this.gauge.armed === String(now.place) ? say(words.keepNow, value) : words.keepStill;
  }

  target = ({ run, place }) => run.rows[place[1]][0].toFixed(2);

  movesOn({ run, place }) {
    const goes = at("on").checked && this.axis.goesOn(run, place[1]);
    return goes && !this.mending && place[1] + 1 < run.rows.length;
  }

  // --- what a person does

  ask(question, yesWords, yes) {
    this.asking = { yes, yesWords };
    at("asks").textContent = question;
    at("asks").hidden = false;
    this.entry.select();
    this.showTaken();
  }

  unask() {
    this.asking = null;
    at("asks").hidden = true;
    at("asks").textContent = "";
  }

  keep() {
    if (this.asking) {
      const { yes } = this.asking;
      this.unask();
      yes();
      return;
    }
    const now = this.current();
    if (!now.place) return;
    if (now.before === "moves") tell(this.words.movesStill, true);
    else if (now.before === "go" && !now.typed) this.axis.move("go", ...now.place);
    else if (!now.typed && now.value === null) tell(this.gauge.shown.words, true);
    else if (now.value === null) tell(this.words.notReading, true);
    else if (now.typed || this.gauge.still || this.gauge.armed === String(now.place)) this.keepValue(now);
    else {
      this.gauge.armed = String(now.place);
      tell(this.words.keepsWhenStill);
      this.showTaken();
    }
  }

  keepValue(now) {
    const moved = this.typedFor && this.typedFor !== String(now.place);
    const question = moved ? this.words.movedOn : this.suspicion(now.value, now.about);
    const act = {
      do: this.mending ? "mend" : "keep",
      at: now.place,
      text: now.typed ? this.entry.value : (now.value / this.told.unit).toFixed(4),
      shown_mm: now.value,
    };
    this.gauge.done = String(now.place);
    if (!question) this.hold(act);
    else this.ask(question, say(this.words.keepIt, { value: this.mm(now.value) }), () => this.hold({ ...act, sure: true }));
  }

  suspicion(value, about) {
    if (!about) return "";
    const off = Math.abs(value - about.middle) - about.span;
    if (off <= 1e-9) return "";
    return say(this.words.off, {
      off: off.toFixed(2),
      low: (about.middle - about.span).toFixed(2),
      high: (about.middle + about.span).toFixed(2),
    });
  }

  empty() {
    this.entry.value = "";
    this.typedFor = "";
    own("plumbrise-typed", "");
  }

  /** Hold it, show it, send it. */
  hold(act) {
    this.waiting.add(act);
    if (act.do === "keep") this.gauge.kept(act.shown_mm);
    this.mending = null;
    this.empty();
    tell("");
    this.show();
    this.sending.send();
  }

  pass() {
    if (this.asking) {
      this.unask();
      this.empty();
      this.show();
      return;
    }
    const { place } = this.current();
    if (place && !this.mending) this.hold({ do: "pass", at: place });
  }

  undo() {
    this.unask();
    this.mending = null;
    const last = this.waiting
      .all()
      .filter((e) => e.do !== "undo")
      .at(-1);
    if (last && !this.sending.inHand.has(last.token)) {
      this.waiting.drop(last.token);
      this.show();
    } else if (last) this.hold({ do: "undo", of: last.token });
    else if (this.away) tell(this.words.waits, true);
    else if (this.plan.live.undo) {
      const { of, value_mm: value, words } = this.plan.live.undo;
      this.hold({ do: "undo", of });
      tell(say(this.words.takenBack, { value: typeof value === "number" ? this.mm(value) : words }));
    }
  }

  leave(kind) {
    const { place } = this.current();
    if (!place) return;
    if (this.away) {
      tell(this.words.waits, true);
      return;
    }
    const { words } = this;
    const left = (this.plan.view().values.get(place[0]) ?? []).filter((v) => v === null).length;
    const [question, yes] =
      kind === "skip" ? [words.askSkip, words.skipIt] : [words.askRepeat, words.repeatIt];
    this.ask(say(question, { left }), yes, () => this.hold({ do: kind, at: place }));
  }

  note() {
    const form = at("noting");
    form.hidden = !form.hidden;
    if (!form.hidden) at("words").focus();
  }

  /** Walk back to a reading, to mend it. */
  walk(step) {
    const { values, asks: next } = this.plan.view();
    const name = this.mending?.[0] ?? next?.[0] ?? this.plan.live.names.at(-1);
    const list = values.get(name) ?? [];
    const end = next?.[0] === name ? next[1] : list.length;
    let i = (this.mending?.[1] ?? end) + step;
    while (i >= 0 && i < list.length && list[i] === null) i += step;
    if (i < 0) return;
    this.unask();
    this.mending = i < list.length && list[i] !== null && i !== end ? [name, i] : null;
    this.empty();
    const value = list[i];
    const told = this.mending && {
      number: i + 1,
      told: this.mm(this.plan.runs.get(name).rows[i][0]),
      value: value === "x" ? this.words.passed : this.mm(value),
    };
    tell(told ? say(this.words.mending, told) : "");
    this.show();
  }

  escape() {
    const was = this.mending;
    this.mending = null;
    this.gauge.armed = "";
    this.unask();
    if (was) tell("");
    this.empty();
    this.show();
  }

  typed() {
    if (this.asking) this.unask();
    this.gauge.armed = "";
    if (!this.entry.value) this.typedFor = "";
    else this.typedFor ||= String(this.current().place);
    own("plumbrise-typed", this.entry.value);
    this.showTaken();
  }

  /** The keypad, before its figure stands: a question is answered by another value. */
  pressed() {
    if (!this.asking) return;
    this.unask();
    this.empty();
  }

  noted(said) {
    const place = this.plan.lastRead();
    if (place) this.hold({ do: "note", at: place, words: said });
  }

  // --- what the bench says

  /** What became of each act: on disk, known, asked about, or not possible any more. */
  settled(entries, { outcomes, live }) {
    const waited = this.away;
    this.here();
    const by = new Map(entries.map((e) => [e.token, e]));
    for (const outcome of outcomes) this.became(by.get(outcome.token), outcome);
    this.learn(live);
    const bad = outcomes.some((o) => ["elsewhere", "wrong"].includes(o.said));
    const sent = outcomes.filter((o) => o.said === "done").length;
    if (waited && sent > 1 && !bad) tell(say(this.words.back, { sent }));
    this.show();
    const last = entries.at(-1);
    const kept = outcomes.length === 1 && outcomes[0].said === "done" && last.do === "keep";
    if (kept && !waited && Date.now() - last.since < FRESH_MS) this.goOn(last.at);
  }

  became(e, { said, words, value_mm: value, question }) {
    if (said === "asks") {
      this.entry.value = e.text;
      if (e.do === "mend") this.mending = e.at;
      const sure = { ...e, token: undefined, shown_mm: value, sure: true };
      this.ask(question, say(this.words.keepIt, { value: this.mm(value) }), () => this.hold(sure));
    } else if (said === "elsewhere") tell(words, true);
    else if (said === "wrong") {
      tell(words, true);
      if (e?.text && !this.entry.value) this.entry.value = e.text;
    } else if (e?.do === "keep") tell(say(this.words.kept, { value: this.mm(value) }));
    else if (e?.do === "note") tell(this.words.noted);
  }

  /** On to the next target, where the person wants that after each reading kept here. */
  goOn(from) {
    const { place, run, before } = this.current();
    const on = place && before === "go" && place[0] === from[0] && this.axis.goesOn(run, from[1]);
    if (on && at("on").checked) this.axis.move("go", ...place);
  }

  learn(live) {
    const news = this.plan.learn(live);
    if (news === "strange") this.reload();
    return news !== "old";
  }

  gone() {
    this.away = true;
    this.show();
  }

  here() {
    const was = this.away || this.refused;
    this.away = false;
    this.refused = "";
    if (was) this.show();
  }

  refuse(words) {
    this.refused = words;
    this.show();
  }

  async reload() {
    try {
      const answer = await fetch(`${this.told.at}/state.json`);
      if (!answer.ok) return;
      const { runs, live } = await answer.json();
      this.plan.all(runs, live);
      this.show();
    } catch {
      this.gone();
    }
  }

  gaugeShows(shown) {
    this.gauge.learn(shown);
    this.takeIfDue();
  }

  /** Keep what the indicator shows, where that was asked for by the key or by the tick. */
  takeIfDue() {
    const now = this.current();
    const driven = now.place && this.axis.here(now.run);
    const arrived = driven ? this.axis.arrived(now.run, now.place[1]) : undefined;
    const free = now.place && !now.typed && now.value !== null && !this.asking && !this.mending;
    const taking = !at("taking").hidden;
    if (free && taking && this.gauge.due(now.place, at("still").checked, arrived)) this.keepValue(now);
    else this.showTaken();
  }

  /** Hear of other pages, the indicator and the axis. */
  listen() {
    this.stream?.close();
    if (document.visibilityState !== "visible") {
      this.stream = null; // a browser has few connections, and this page shows nothing now
      return;
    }
    const mine = new EventSource(`${this.told.at}/events`);
    this.stream = mine;
    mine.addEventListener("open", () => {
      this.here();
      this.sending.send();
    });
    mine.addEventListener("live", (event) => {
      if (this.learn(JSON.parse(event.data))) this.show();
    });
    mine.addEventListener("gauge", (event) => this.gaugeShows(JSON.parse(event.data)));
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
    const { does, run, reached, held } = this.axis.now ?? {};
    this.axis.learn(told);
    if (told.does !== does || told.run !== run || told.reached !== reached || told.held !== held) {
      this.show();
      if (told.does === "stands" && does !== "stands") this.entry.focus({ preventScroll: true });
    }
  }
}

function begin(capture, words) {
  const { entry } = capture;
  const does = {
    keep: () => capture.keep(),
    pass: () => capture.pass(),
    undo: () => capture.undo(),
    note: () => capture.note(),
    skip: () => capture.leave("skip"),
    repeat: () => capture.leave("repeat"),
    escape: () => capture.escape(),
    back: () => capture.walk(-1),
    forth: () => capture.walk(1),
  };
  hands(entry, words, does, {
    typed: () => capture.typed(),
    pressed: () => capture.pressed(),
    noted: (said) => capture.noted(said),
  });
  for (const [id, there] of [["still", capture.gauge.there], ["on", capture.axis.may]]) {
    at(`${id}-label`).hidden = !there;
    tick(id, own, () => capture.takeIfDue());
  }
  at("where").addEventListener("click", () => {
    capture.showCard = true;
    capture.show();
  });
  document.addEventListener("axis", (event) => capture.axisIs(event.detail));
  document.addEventListener("visibilitychange", () => capture.listen());
  addEventListener("online", () => capture.sending.send());
  addEventListener("resize", () => capture.show());
  entry.value = own("plumbrise-typed") ?? "";
  if (capture.gauge.there) document.querySelector('label[for="typed"]').textContent = words.typeOver;
  if (!capture.waiting.works) tell(words.noStore, true);
  capture.show();
  if (!at("taking").hidden) entry.focus({ preventScroll: true });
  capture.listen();
  capture.sending.send();
  for (const kind of ["pointerdown", "keydown"]) {
    document.addEventListener(kind, () => stayAwake(words), { once: true });
  }
}

let asked = false;
function stayAwake(words) {
  if (asked || !matchMedia("(pointer: coarse)").matches) return;
  asked = true;
  keepAwake((what) => {
    at("awake").textContent = words[what] ?? "";
    at("awake").hidden = !words[what];
  });
}

const told = JSON.parse(at("told").textContent);
begin(new Capture(told), told.words);
