// What the capture shows: the card that comes first or the reading that is asked for, what was
// typed or is shown by an indicator, and what the big key does next.

import { doneCard, gaugeCard, moveCard, movingCard, touchedCard, waitCard } from "./capture_card.js";
import { anyStands, nowOf, resumes, stands } from "./capture_now.js";
import { at, both, labelled, say } from "./capture_text.js";

/** All of it anew. */
export function show(capture) {
  const { plan, sheet, away, refused, words } = capture;
  const now = nowOf(capture);
  const card = cardOf(capture, now);
  const done = !now.place;
  at("cap").hidden = false;
  at("card").hidden = !card && !done;
  at("taking").hidden = Boolean(card) || done;
  if (card) card();
  else if (done) doneCard(capture.told, capture.axis.now, () => capture.doing.end());
  const view = plan.view();
  sheet.show(plan, view, now);
  showTaken(capture);
  const count = { disk: plan.live.disk, waiting: view.entries.length };
  sheet.trouble(refused || (away ? say(words.away, count) : ""));
}

/** The card that has to come first, or nothing. */
export function cardOf(capture, now) {
  if (!now.place || capture.mending) return null;
  const { axis, told, plan, doing } = capture;
  const runs = now.names.map((name) => plan.runs.get(name));
  const [run] = runs;
  if (now.before === "begin") return () => moveCard(told, run, axis.now, now.begun, doing.moving(now));
  if (now.before === "wait") return () => waitCard(told, run, axis.now, () => doing.go(now));
  if (now.before === "homes") return () => movingCard(told, axis.now);
  if (resumes(capture, now)) return () => touchedCard(told, runs, doing.resuming(now));
  const here = axis.here(run) && !axis.unmoved.has(run.name);
  if (!capture.showCard && (here || now.begun || stands(capture, run.name))) return null;
  const counts = now.names.map((name) => ({ name, down: plan.isDown(name) }));
  return () => gaugeCard(told, runs, !anyStands(capture), counts, doing.setting(now));
}

/** What the typed figures, or the indicators, are taken for before they are kept. */
export function showTaken(capture) {
  const now = nowOf(capture);
  const { words, mm, asking, entry } = capture;
  const shown = capture.gaugeShown(now);
  const value = now.typed || capture.mending ? [now.value] : shown;
  at("value").textContent = both(value, words, mm, ` ${words.mm}`);
  entry.placeholder = now.typed || !shown.length ? "" : mm(shown[0]);
  at("about").textContent = aboutIt(capture, now).join("; ");
  labelled("keep", asking?.yesWords ?? keyWords(capture, now), "Enter");
  const able = asking || now.before === "go" || (now.value !== null && now.before !== "moves");
  at("keep").setAttribute("aria-disabled", String(!able));
  if (asking) labelled("pass", words.again, "Esc");
  else labelled("pass", words.pass, "x");
}

function aboutIt(capture, now) {
  const { words, mm, gauges, plan, axis, mending } = capture;
  const about = [];
  if (now.typed && now.value === null) about.push(words.notReading);
  if (now.place && !now.typed && !mending) {
    const which = capture.openGauges(now);
    const wrong = which.map((i) => gauges.at(i).words).find(Boolean);
    const still = which.every(gauges.still) ? words.still : words.notStill;
    if (which.length) about.push(wrong || still);
  }
  if (now.place && plan.isDown(now.place[0])) about.push(words.countsDown);
  if (now.place && axis.passed(plan.runs.get(now.first[0]), now.first[1])) about.push(words.passedBy);
  if (now.last !== null && now.last !== undefined) about.push(say(words.last, { value: mm(now.last) }));
  if (now.about) {
    const { middle, span } = now.about;
    about.push(say(words.between, { low: mm(middle - span), high: mm(middle + span) }));
  }
  return about;
}

/** What the big key does next, in words. */
function keyWords(capture, now) {
  const { words, mm, gauges } = capture;
  if (now.before === "moves") return words.movesNow;
  if (now.before === "go" && !now.typed) return say(words.moveTo, { target: target(now) });
  if (now.value === null) return words.keep;
  const values = now.typed ? [now.value] : now.untyped.map((one) => one.value);
  const value = { value: both(values, words, mm) };
  const still = capture.showing(now).every(gauges.still);
  if (now.typed || still) return say(movesOn(capture, now) ? words.keepAndMove : words.keepIt, value);
  return gauges.armed === String(now.place) ? say(words.keepNow, value) : words.keepStill;
}

const target = ({ run, place }) => run.rows[place[1]][0].toFixed(2);

function movesOn(capture, now) {
  const goes = at("on").checked && capture.axis.goesOn(capture.plan.runs.get(now.first[0]), now.first[1]);
  const last = now.said.size + (now.typed ? 1 : now.untyped.length) >= now.names.length;
  return goes && last && !capture.mending && now.place[1] + 1 < now.run.rows.length;
}
