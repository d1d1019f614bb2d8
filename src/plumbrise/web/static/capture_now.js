// The reading at hand: which set-ups are read at it, what each should be about, and what the big
// key would keep. Two gauges read two set-ups at one target; what was said for the first is held
// until the second is said, and only then both are kept.

import { expected, heard } from "./capture_hearing.js";
import { own } from "./capture_waiting.js";

const BREAK_S = 20 * 60; // a page that stayed open asks after so long whether the gauge still stands
const SHORT_BREAK_S = 120; // and one that was opened after so long without a reading

/** What was said for one target and waits for the other gauge. */
export class Held {
  constructor() {
    this.forget();
  }

  forget() {
    this.key = "";
    this.acts = new Map(); // by set-up
  }

  /** What is held for this target. */
  at(reading) {
    return this.key === String(reading) ? this.acts : new Map();
  }

  put(reading, name, act) {
    if (this.key !== String(reading)) this.forget();
    this.key = String(reading);
    this.acts.set(name, act);
  }
}

/** Where the capture stands. `place` is what is asked for now, `first` the first of what is read at
 * this target, `names` all of it; `untyped` what the gauges show for what is not said yet. */
export function nowOf(capture) {
  const { plan, held, mending, told, gauges, axis, entry } = capture;
  const { values, asks } = plan.view();
  const first = mending ?? asks;
  if (!first) return { place: null, first: null, names: [], untyped: [], value: null, before: "" };
  const reading = first[1];
  const names = mending ? [first[0]] : plan.readAt(values, first);
  const said = held.at(first);
  const name = names.find((one) => !said.has(one)) ?? first[0];
  const aboutOf = (one) => expected(plan.runs.get(one), values.get(one) ?? [], reading, told.spans);
  const run = plan.runs.get(name);
  const list = values.get(name) ?? [];
  const before = mending ? "" : axis.before(plan.runs.get(first[0]), reading);
  const typed = entry.value.trim() !== "";
  const down = plan.isDown(name);
  const shown = (one) => upwards(gauges.mm(plan.gaugeOf(one)), plan.isDown(one));
  const open = mending ? [] : names.filter((one) => !said.has(one));
  const untyped = before ? [] : open.map((one) => ({ name: one, value: shown(one), about: aboutOf(one) }));
  const about = aboutOf(name);
  return {
    place: [name, reading],
    first,
    names,
    said,
    run,
    list,
    about,
    before,
    typed,
    last: list.slice(0, reading).filter((v) => typeof v === "number").at(-1) ?? null,
    begun: names.some((one) => (values.get(one) ?? []).some((v) => v !== null)),
    untyped: untyped.filter((one) => one.value !== null),
    value: typed ? heard(entry.value, about, { ...told, down }) : (untyped[0]?.value ?? null),
  };
}

/** What an indicator shows, positive where its tip has risen. */
export const upwards = (mm, down) => (mm === null || !down ? mm : -mm + 0);

/** Whether a half-read set-up has to be asked about first: nothing was read of it for a while, or
 * its gauge was set up for a later one since, and that was taken back. */
export function resumes(capture, now) {
  if (!now.begun || capture.away || capture.axis.here(capture.plan.runs.get(now.first[0]))) return false;
  const { names } = capture.plan.live;
  if (names.indexOf(lastStood(capture)) > names.indexOf(now.first[0])) return true;
  const quiet = capture.plan.quietS();
  return quiet !== null && quiet > (stands(capture, now.first[0]) ? BREAK_S : SHORT_BREAK_S);
}

const KEPT = "plumbrise-stands";

/** The set-ups of this plan whose gauge stood, in the order in which this tab was told so. */
function allStood(capture) {
  const before = `${capture.told.key} `;
  const lines = (own(KEPT) ?? "").split("\n").filter((line) => line.startsWith(before));
  return lines.map((line) => line.slice(before.length));
}

const lastStood = (capture) => allStood(capture).at(-1);

/** Whether this tab was told that the gauge of a set-up stands. */
export const stands = (capture, name) => allStood(capture).includes(name);

/** Whether it was told so of any set-up of this plan. */
export const anyStands = (capture) => allStood(capture).length > 0;

/** The gauge of a set-up stands: this tab remembers it. */
export function stood(capture, name) {
  own(KEPT, `${own(KEPT) ?? ""}\n${capture.told.key} ${name}`);
}
