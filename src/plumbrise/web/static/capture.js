// Taking readings: one target, one entry. What is done is held in this browser first, shown, and
// sent; the bench answers once it is on disk. Without an answer the page goes on by itself.

import { keepAwake } from "./capture_awake.js";
import { Bench } from "./capture_bench.js";
import { Doing } from "./capture_doing.js";
import { Gauges } from "./capture_gauge.js";
import { hands, tick } from "./capture_hands.js";
import { Axis } from "./capture_moving.js";
import { Held, upwards } from "./capture_now.js";
import { Plan } from "./capture_plan.js";
import { Sending } from "./capture_sending.js";
import { Sheet } from "./capture_sheet.js";
import { show, showTaken } from "./capture_shown.js";
import { at, lengths, tell } from "./capture_text.js";
import { own, Waiting } from "./capture_waiting.js";

/** What there is of one capture; what it shows, does and hears stands in files of their own. */
class Capture {
  constructor(told) {
    this.told = told;
    this.words = told.words;
    this.mm = lengths(told);
    this.entry = at("typed");
    this.waiting = new Waiting(told.key, () => tell(this.words.storeFull, true));
    this.plan = new Plan(told, this.waiting);
    this.sheet = new Sheet(told);
    this.gauges = new Gauges(told.gauges);
    this.axis = new Axis(told, tell);
    this.held = new Held();
    this.away = false;
    this.refused = "";
    this.asking = null; // {yes, yesWords}
    this.mending = null; // [run, reading]
    this.showCard = false;
    this.typedFor = ""; // the reading that was asked for when typing began
    this.doing = new Doing(this);
    this.bench = new Bench(this);
    this.sending = new Sending(told, this.waiting, {
      settled: (entries, answer) => this.bench.settled(entries, answer),
      gone: () => this.bench.gone(),
      here: () => this.bench.here(),
      refused: (words) => this.bench.refuse(words),
      said: (words) => tell(words, true),
    });
  }

  show = () => show(this);

  showTaken = () => showTaken(this);

  /** The indicators of what is read at this target and not said yet. */
  openGauges(now) {
    const open = now.names.filter((name) => !now.said.has(name));
    return open.map((name) => this.plan.gaugeOf(name)).filter(this.gauges.has);
  }

  /** Those of them that show anything: one that is silent does not cost the value of the other. */
  showing = (now) => this.openGauges(now).filter((i) => this.gauges.mm(i) !== null);

  /** What they show, also as the axis moves. */
  gaugeShown(now) {
    if (!now.place || this.mending) return [];
    return this.showing(now).map((i) => {
      const name = now.names.find((one) => this.plan.gaugeOf(one) === i);
      return upwards(this.gauges.mm(i), this.plan.isDown(name));
    });
  }
}

function begin(capture, words) {
  const { entry, doing, bench } = capture;
  const does = {
    keep: () => doing.keep(),
    pass: () => doing.pass(),
    undo: () => doing.undo(),
    note: () => doing.note(),
    skip: () => doing.leave("skip"),
    repeat: () => doing.leave("repeat"),
    turn: () => doing.turn(),
    escape: () => doing.escape(),
    back: () => doing.walk(-1),
    forth: () => doing.walk(1),
  };
  hands(entry, words, does, {
    typed: () => doing.typed(),
    pressed: () => doing.pressed(),
    noted: (said) => doing.noted(said),
  });
  for (const [id, there] of [["still", capture.gauges.there], ["on", capture.axis.may]]) {
    at(`${id}-label`).hidden = !there;
    tick(id, own, () => bench.takeIfDue());
  }
  at("where").addEventListener("click", () => {
    capture.showCard = true;
    capture.show();
  });
  document.addEventListener("axis", (event) => bench.axisIs(event.detail));
  document.addEventListener("visibilitychange", () => {
    bench.listen();
    capture.show(); // a break may have come between
  });
  addEventListener("online", () => capture.sending.send());
  addEventListener("resize", () => capture.show());
  entry.value = own("plumbrise-typed") ?? "";
  if (capture.gauges.there) document.querySelector('label[for="typed"]').textContent = words.typeOver;
  if (!capture.waiting.works) tell(words.noStore, true);
  capture.show();
  if (!at("taking").hidden) entry.focus({ preventScroll: true });
  bench.listen();
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
