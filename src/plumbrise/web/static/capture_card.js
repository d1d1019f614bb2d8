// The card before a set-up: where the gauge goes, what can hurt, and the one button that goes on.

import { at, part, say } from "./capture_text.js";

/** Put parts into the card, with buttons [label, does, quiet]. The first takes the focus, but not
 * where it `asks` for a move: an Enter too many, meant for what was there before, starts none. */
function put(key, parts, buttons, { asks = false } = {}) {
  const card = at("card");
  const made = buttons.map(([label, does, quiet]) => {
    const button = part("button", label);
    button.type = "button";
    button.className = quiet ? "quiet" : "go";
    button.addEventListener("click", does);
    return button;
  });
  const fresh = card.dataset.key !== key;
  const had = [...card.querySelectorAll("button")].indexOf(document.activeElement);
  const focused = card.contains(document.activeElement); // news must not take it away
  card.replaceChildren(...parts, ...made);
  card.dataset.key = key;
  card.tabIndex = -1;
  if (!fresh && !focused) return;
  const to = !fresh && had >= 0 ? made[had] : asks ? card : made[0];
  (to ?? card).focus({ preventScroll: true });
}

function cautions(words, hazards) {
  const unlike = new Map(hazards.map((h) => [h.title, h]));
  if (!unlike.size) return [];
  const list = document.createElement("dl");
  list.className = "hazards";
  for (const h of unlike.values()) list.append(part("dt", h.title), part("dd", h.words));
  return [part("h2", words.before), list];
}

/** The gauges are set by hand, and so is the axis; and which way each is taken to count. */
export function gaugeCard(told, runs, first, counts, { stands, turn, leaveOut }) {
  const { words } = told;
  const [run] = runs;
  const parts = [...runs.map((one) => part("p", one.where)), part("p", run.does), part("p", run.watch)];
  parts.push(...cautions(words, [...(first ? told.cautions : []), ...run.hazards]));
  if (first) parts.push(part("p", told.defer));
  const whose = (i) => (runs.length > 1 ? `${runs[i].place}: ` : "");
  const alike = counts.every(({ down }) => down === counts[0].down);
  counts.slice(0, alike ? 1 : 2).forEach(({ down }, i) => {
    parts.push(part("p", `${alike ? "" : whose(i)}${down ? told.counts.down : told.counts.up}`));
  });
  const turns = counts.map(({ name }, i) => [`${whose(i)}${words.turn}`, () => turn(name), true]);
  put(`stands ${run.name}`, parts, [
    [words.stands, stands],
    ...turns,
    [words.leaveOut, leaveOut, true],
  ]);
}

/** Some of it was read a while ago: does the gauge still stand as it did? */
export function touchedCard(told, runs, { untouched, touched }) {
  const { words } = told;
  const parts = [part("h2", words.halfReadAgo), part("p", told.touched)];
  parts.push(...runs.map((one) => part("p", one.where)), part("p", words.touchedMore));
  put(`touched ${runs[0].name}`, parts, [
    [words.untouched, untouched],
    [words.wasTouched, touched, true],
  ]);
}

/** Before the axis moves: every caution in full, each time; then one press. */
export function moveCard(told, run, axis, begun, { move, without }) {
  const { words } = told;
  const parts = [];
  if (axis.does === "stopped") parts.push(Object.assign(part("p", axis.words), { className: "wrong" }));
  parts.push(part("p", run.does), part("p", run.watch));
  parts.push(...cautions(words, [...told.moving, ...run.hazards]));
  parts.push(part("p", words.homesFirst));
  if (begun) parts.push(part("p", words.halfRead));
  parts.push(part("p", words.switchAtHand), part("p", told.defer));
  put(`move ${run.name} ${axis.does}`, parts, [
    [say(words.moveIt, { machine: told.machine }), move],
    [words.without, without, true],
  ], { asks: true });
}

/** The axis waits while hands are at the gauge. */
export function waitCard(told, run, axis, goOn) {
  const { words } = told;
  const parts = [part("h2", words.waitsNow), part("p", axis.words)];
  parts.push(...cautions(words, [...told.moving.slice(0, 1), ...run.hazards]));
  parts.push(part("p", words.handsOff));
  put(`wait ${run.name} ${axis.words}`, parts, [[words.goOn, goOn]], { asks: true });
}

/** It moves: what a person can do is stop it. */
export function movingCard(told, axis) {
  put("moving", [part("h2", told.words.moving), part("p", axis.words || told.words.handsAway)], []);
}

/** All is read. */
export function doneCard(told, axis, end) {
  const { words } = told;
  const link = part("a", words.seeAnswer);
  link.href = told.answer;
  link.className = "btn go";
  const way = part("p", "");
  way.append(link);
  const stands = axis && ["stands", "waits"].includes(axis.does);
  const parts = [part("h2", words.allRead), part("p", words.allReadMore), way];
  if (stands) parts.push(part("p", axis.does === "waits" ? axis.words : words.programLeft));
  put("done", parts, stands ? [[words.endProgram, end, true]] : [], { asks: true });
}
