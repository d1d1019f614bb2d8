// Taking readings: one target, one entry. What is done is held in this browser first, shown, and
// sent; the bench answers once it is on disk. Without an answer the page goes on by itself.

import { keepAwake } from "./capture_awake.js";
import { draw, pointsOf } from "./capture_chart.js";
import { expected, heard } from "./capture_hearing.js";
import { own, Waiting } from "./capture_waiting.js";

const PATIENCE_MS = 8000, RETRY_MS = 1000, MOST_AT_ONCE = 100;
const at = (id) => document.getElementById(id);
const told = JSON.parse(at("told").textContent);
const words = told.words;
const waiting = new Waiting(told.key, () => tell(words.storeFull, true));
const entry = at("typed");

let live = told.live;
let runs = new Map(told.runs.map((run) => [run.name, run]));
const known = new Map(); // values on disk, by set-up
let away = false;
let refused = "";
let sending = false;
let inHand = new Set(); // tokens that were given to the network
let asking = null; // {words, yes, yesWords}
let mending = null; // [run, reading]
let showCard = false;
let typedFor = ""; // the reading that was asked for when typing began

const say = (template, values = {}) =>
  template.replace(/\{(\w+)\}/g, (_, name) => String(values[name] ?? ""));
const digits = told.resolution < 0.0095 ? 3 : 2;
const mm = (value) => `${(value / told.unit).toFixed(digits)}`;

// --- what there is, on disk and waiting

function learn(fresh) {
  if (fresh.boot === live.boot && fresh.version < live.version) return false;
  live = fresh;
  for (const [name, values] of Object.entries(fresh.values)) known.set(name, values);
  if (fresh.names.some((name) => !runs.has(name))) reload();
  return true;
}

/** Values by set-up as the person has them: on disk, with what waits laid over. */
function view() {
  const values = new Map([...known].map(([name, list]) => [name, [...list]]));
  const pending = new Map();
  const entries = waiting.all();
  const undone = new Set(entries.filter((e) => e.do === "undo").map((e) => e.of));
  for (const e of entries) {
    const list = e.at && values.get(e.at[0]);
    if (!list || undone.has(e.token) || !["keep", "pass", "mend"].includes(e.do)) continue;
    if (e.do !== "mend" && list[e.at[1]] !== null) continue;
    list[e.at[1]] = e.do === "pass" ? "x" : e.shown_mm;
    pending.set(e.at[0], (pending.get(e.at[0]) ?? new Set()).add(e.at[1]));
  }
  return { values, pending, asks: asks(values), entries };
}

function asks(values) {
  for (const name of live.names) {
    if (live.ended.includes(name) && !values.get(name)?.includes(null)) continue;
    if (live.ended.includes(name)) continue;
    const reading = (values.get(name) ?? []).indexOf(null);
    if (reading >= 0) return [name, reading];
  }
  return null;
}

// --- showing

function show() {
  const { values, pending, asks: next, entries } = view();
  const place = mending ?? next;
  const name = place?.[0] ?? live.names.at(-1);
  const run = runs.get(name);
  if (!run) return;
  const list = values.get(name) ?? [];
  const begun = list.some((value) => value !== null);
  const card = !mending && next && (showCard || (!begun && !confirmed(name)));
  at("cap").hidden = false;
  at("title").textContent = run.title;
  at("count").textContent = say(words.read, {
    done: list.filter((value) => value !== null).length,
    all: list.length,
  });
  at("card").hidden = !card && next !== null;
  at("taking").hidden = card || !place;
  if (card) setUpCard(run);
  else if (!next && !mending) doneCard();
  if (place) target(run, place[1]);
  showUndo(entries);
  showWalk(values, next);
  const points = pointsOf(run, list, pending.get(name) ?? new Set());
  const wide = matchMedia("(min-width: 1000px)").matches;
  draw(at(wide ? "chart-wide" : "chart-narrow"), run, points, words, wide);
  showTable(run, list);
  showTaken();
  showTrouble(entries);
  at("kept").textContent = say(words.keptCount, { count: live.disk });
}

function target(run, reading) {
  const row = run.rows[reading];
  const number = /^-?\d+(\.\d{1,3})?$/.test(String(row[0])) ? row[0].toFixed(2) : String(row[0]);
  const unit = Object.assign(document.createElement("small"), { textContent: ` ${words.mm}` });
  const parts = row[5] ? [row[5]] : [number, unit];
  at("target").replaceChildren(...parts);
  at("target-name").textContent = row[5] ? words.hang : words.toldTo;
  at("target").classList.toggle("long", String(parts[0]).length > 6);
}

function showUndo(entries) {
  const last = entries.filter((e) => ["keep", "pass", "mend"].includes(e.do)).at(-1);
  const value = last ? last.shown_mm : live.undo?.value_mm;
  const what = typeof value === "number" ? mm(value) : live.undo?.words;
  labelled("undo", last || live.undo ? say(words.undoIt, { value: what ?? "" }) : words.undo, "u");
  at("undo").disabled = !last && !live.undo;
}

function labelled(id, label, key) {
  const button = at(id);
  const cap = Object.assign(document.createElement("kbd"), { textContent: key });
  button.replaceChildren(label, " ", cap);
}

function showWalk(values, next) {
  for (const item of at("set-ups").children) {
    const list = values.get(item.dataset.setUp) ?? [];
    const done = list.filter((value) => value !== null).length;
    item.querySelector("[data-count]").textContent = `${done}/${list.length}`;
    item.className = next?.[0] === item.dataset.setUp ? "now" : done && !list.includes(null) ? "done" : "";
    if (live.ended.includes(item.dataset.setUp)) item.className = "done";
    item.toggleAttribute("aria-current", next?.[0] === item.dataset.setUp);
  }
}

function showTable(run, list) {
  const rows = list.map((value, i) => [i, value]).filter(([, value]) => value !== null);
  const table = document.createElement("table");
  const head = table.createTHead().insertRow();
  for (const name of [words.told, words.read1, words.stepGave]) {
    head.append(Object.assign(document.createElement("th"), { textContent: name, className: "num" }));
  }
  const body = table.createTBody();
  for (const [i, value] of rows.slice(-4).reverse()) {
    const row = body.insertRow();
    const before = rows.filter(([j, v]) => j < i && v !== "x").at(-1);
    const step = before && Math.abs(run.rows[i][0] - run.rows[before[0]][0]);
    const gave =
      step && value !== "x"
        ? say(words.gave, { gave: mm(Math.abs(value - before[1])), step: mm(step) })
        : "";
    for (const cell of [
      run.rows[i][5] || mm(run.rows[i][0]),
      value === "x" ? words.passed : mm(value),
      gave,
    ]) {
      row.append(Object.assign(document.createElement("td"), { textContent: cell, className: "num" }));
    }
  }
  at("table").replaceChildren(...(rows.length ? [table] : []));
}

/** What the typed figures are taken for, before they are kept. */
function showTaken() {
  const now = current();
  const keep = at("keep");
  at("value").textContent = now.value === null ? "" : `${mm(now.value)} ${words.mm}`;
  const about = [];
  if (now.last !== null) about.push(say(words.last, { value: mm(now.last) }));
  if (now.about) {
    about.push(
      say(words.between, {
        low: mm(now.about.middle - now.about.span),
        high: mm(now.about.middle + now.about.span),
      }),
    );
  }
  if (entry.value.trim() && now.value === null) about.unshift(words.notReading);
  at("about").textContent = about.join("; ");
  const label = asking?.yesWords ?? (now.value === null ? words.keep : say(words.keepIt, { value: mm(now.value) }));
  labelled("keep", label, "Enter");
  keep.setAttribute("aria-disabled", String(now.value === null && !asking));
  if (asking) labelled("pass", words.again, "Esc");
  else labelled("pass", words.pass, "x");
}

function current() {
  const { values, asks: next } = view();
  const place = mending ?? next;
  if (!place) return { place: null, value: null, about: null, last: null };
  const run = runs.get(place[0]);
  const list = values.get(place[0]) ?? [];
  const about = expected(run, list, place[1], told.spans);
  const last = list.slice(0, place[1]).filter((v) => typeof v === "number").at(-1) ?? null;
  return { place, run, list, about, last, value: heard(entry.value, about, told) };
}

function showTrouble(entries) {
  const line = at("trouble");
  const text = refused || (away ? say(words.away, { disk: live.disk, waiting: entries.length }) : "");
  if (line.textContent !== text) line.textContent = text;
  line.hidden = !text;
}

const tell = (text, bad = false) => {
  at("said").textContent = text;
  at("said").classList.toggle("bad", bad);
};

// --- where the gauge goes

const confirmed = (name) => (own("plumbrise-stands") ?? "").split("\n").includes(`${told.key} ${name}`);

function setUpCard(run) {
  const first = !(own("plumbrise-stands") ?? "").includes(told.key);
  const hazards = new Map([...(first ? told.cautions : []), ...run.hazards].map((h) => [h.title, h]));
  const parts = [part("p", run.where), part("p", run.does), part("p", run.watch)];
  if (hazards.size) {
    const list = document.createElement("dl");
    for (const h of hazards.values()) list.append(part("dt", h.title), part("dd", h.words));
    parts.push(part("h2", words.before), list);
  }
  if (first) parts.push(part("p", told.defer));
  const go = part("button", words.stands);
  go.type = "button";
  go.className = "go";
  go.addEventListener("click", () => {
    own("plumbrise-stands", `${own("plumbrise-stands") ?? ""}\n${told.key} ${run.name}`);
    showCard = false;
    show();
    entry.focus();
  });
  const old = at("card").dataset.setUp;
  const focused = at("card").contains(document.activeElement); // news must not take it away
  at("card").replaceChildren(...parts, go);
  at("card").dataset.setUp = run.name;
  if (old !== run.name || focused) go.focus({ preventScroll: true });
}

function doneCard() {
  const link = part("a", words.seeAnswer);
  link.href = told.answer;
  link.className = "btn go";
  at("card").replaceChildren(part("h2", words.allRead), part("p", words.allReadMore), part("p", ""));
  at("card").lastChild.append(link);
}

const part = (tag, text) => Object.assign(document.createElement(tag), { textContent: text });

// --- what a person does

function ask(question, yesWords, yes) {
  asking = { yes, yesWords };
  at("asks").textContent = question;
  at("asks").hidden = false;
  entry.select();
  showTaken();
}

function unask() {
  asking = null;
  at("asks").hidden = true;
  at("asks").textContent = "";
}

function keep() {
  if (asking) {
    const { yes } = asking;
    unask();
    yes();
    return;
  }
  const now = current();
  if (!now.place || !entry.value.trim()) return;
  if (now.value === null) {
    tell(words.notReading, true);
    return;
  }
  const moved = typedFor && typedFor !== String(now.place);
  const question = moved ? words.movedOn : suspicion(now.value, now.about);
  const act = { do: mending ? "mend" : "keep", at: now.place, text: entry.value, shown_mm: now.value };
  if (question) {
    const yesWords = say(words.keepIt, { value: mm(now.value) });
    ask(question, yesWords, () => done({ ...act, sure: true }));
  } else done(act);
}

function suspicion(value, about) {
  if (!about) return "";
  const off = Math.abs(value - about.middle) - about.span;
  if (off <= 1e-9) return "";
  return say(words.off, {
    off: off.toFixed(2),
    low: (about.middle - about.span).toFixed(2),
    high: (about.middle + about.span).toFixed(2),
  });
}

function empty() {
  entry.value = "";
  typedFor = "";
  own("plumbrise-typed", "");
}

/** Hold it, show it, send it. */
function done(act) {
  waiting.add(act);
  mending = null;
  empty();
  tell("");
  show();
  send();
}

function pass() {
  if (asking) {
    unask();
    empty();
    show();
    return;
  }
  const { place } = current();
  if (place && !mending) done({ do: "pass", at: place });
}

function undo() {
  unask();
  mending = null;
  const last = waiting.all().filter((e) => e.do !== "undo").at(-1);
  if (last && !inHand.has(last.token)) {
    waiting.drop(last.token);
    show();
    return;
  }
  if (last) done({ do: "undo", of: last.token });
  else if (away) tell(words.waits, true);
  else if (live.undo) {
    const { value_mm: value, words: what } = live.undo;
    done({ do: "undo", of: live.undo.of });
    tell(say(words.takenBack, { value: typeof value === "number" ? mm(value) : what }));
  }
}

function leave(kind) {
  const { place } = current();
  if (!place) return;
  if (away) {
    tell(words.waits, true);
    return;
  }
  const left = (view().values.get(place[0]) ?? []).filter((v) => v === null).length;
  const question = say(kind === "skip" ? words.askSkip : words.askRepeat, { left });
  ask(question, kind === "skip" ? words.skipIt : words.repeatIt, () => done({ do: kind, at: place }));
}

function note() {
  const form = at("noting");
  form.hidden = !form.hidden;
  if (!form.hidden) at("words").focus();
}

/** Walk back to a reading, to mend it. */
function walk(step) {
  const { values, asks: next } = view();
  const name = mending?.[0] ?? next?.[0] ?? live.names.at(-1);
  const list = values.get(name) ?? [];
  const end = next?.[0] === name ? next[1] : list.length;
  let i = (mending?.[1] ?? end) + step;
  while (i >= 0 && i < list.length && list[i] === null) i += step;
  if (i < 0) return;
  unask();
  mending = i < list.length && list[i] !== null && i !== end ? [name, i] : null;
  empty();
  if (mending) {
    const value = list[i];
    tell(
      say(words.mending, {
        number: i + 1,
        told: mm(runs.get(name).rows[i][0]),
        value: value === "x" ? words.passed : mm(value),
      }),
    );
  } else tell("");
  show();
}

function escape() {
  const was = mending;
  mending = null;
  unask();
  if (was) tell("");
  empty();
  show();
}

const DOES = {
  keep,
  pass,
  undo,
  note,
  skip: () => leave("skip"),
  repeat: () => leave("repeat"),
};
const KEYS = {
  Enter: keep,
  Escape: escape,
  x: pass,
  u: undo,
  n: note,
  s: DOES.skip,
  r: DOES.repeat,
  ArrowUp: () => walk(-1),
  ArrowDown: () => walk(1),
};

// --- sending

async function send() {
  if (sending) return;
  sending = true;
  let lasting = 0;
  try {
    for (;;) {
      const entries = waiting.all().slice(0, MOST_AT_ONCE);
      if (!entries.length) break;
      for (const e of entries) inHand.add(e.token);
      const answer = await posted(entries);
      if (!answer) break;
      const waited = away;
      here();
      settle(entries, answer);
      if (waited) lasting = answer.outcomes.filter((o) => o.said === "done").length;
      if (answer.outcomes.some((o) => ["elsewhere", "wrong"].includes(o.said))) lasting = 0;
      if (asking) break;
    }
  } finally {
    sending = false;
  }
  if (lasting > 1) tell(say(words.back, { sent: lasting }));
  if (waiting.all().length && !asking) setTimeout(send, RETRY_MS);
}

async function posted(entries) {
  const acts = entries.map(({ by, number, since, ...act }) => ({
    ...act,
    ago_s: Math.max(0, (Date.now() - since) / 1000),
  }));
  let answer;
  try {
    answer = await fetch(`${told.at}/acts`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ key: told.key, acts }),
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    if (answer.ok) return await answer.json();
  } catch {
    gone();
    return null;
  }
  if (answer.status === 401) refused = words.unknownBrowser;
  else if (answer.status === 409) refused = (await answer.json()).words;
  else if (answer.status === 507) {
    tell((await answer.json()).words, true); // it stays here, and is sent again
    gone();
  }
  else gone();
  show();
  return null;
}

/** What became of each act: on disk, known, asked about, or not possible any more. */
function settle(entries, { outcomes, live: fresh }) {
  const by = new Map(entries.map((e) => [e.token, e]));
  const asked = outcomes.find((o) => o.said === "asks");
  for (const outcome of outcomes) {
    const e = by.get(outcome.token);
    if (outcome === asked) continue;
    waiting.drop(outcome.token);
    inHand.delete(outcome.token);
    if (outcome.said === "elsewhere") tell(outcome.words, true);
    else if (outcome.said === "wrong") {
      tell(outcome.words, true);
      if (e?.text && !entry.value) entry.value = e.text;
    } else if (e?.do === "keep") tell(say(words.kept, { value: mm(outcome.value_mm) }));
    else if (e?.do === "note") tell(words.noted);
  }
  learn(fresh);
  if (asked) {
    const e = by.get(asked.token);
    waiting.drop(e.token);
    inHand.delete(e.token);
    entry.value = e.text;
    if (e.do === "mend") mending = e.at;
    const sure = { ...e, token: undefined, shown_mm: asked.value_mm, sure: true };
    ask(asked.question, say(words.keepIt, { value: mm(asked.value_mm) }), () => done(sure));
  }
  show();
}

function gone() {
  away = true;
  show();
}

function here() {
  const was = away || refused;
  away = false;
  refused = "";
  if (was) show();
}

async function reload() {
  try {
    const answer = await fetch(`${told.at}/state.json`);
    if (!answer.ok) return;
    const fresh = await answer.json();
    runs = new Map(fresh.runs.map((run) => [run.name, run]));
    live = fresh.live;
    for (const [name, values] of Object.entries(live.values)) known.set(name, values);
    show();
  } catch {
    gone();
  }
}

// --- hearing of other pages

let stream = null;

function listen() {
  stream?.close();
  if (document.visibilityState !== "visible") {
    stream = null; // a browser has few connections, and this page shows nothing now
    return;
  }
  const mine = new EventSource(`${told.at}/events`);
  stream = mine;
  mine.addEventListener("open", () => {
    here();
    send();
  });
  mine.addEventListener("live", (event) => {
    if (learn(JSON.parse(event.data))) show();
  });
  mine.addEventListener("error", () => {
    if (stream !== mine) return;
    gone();
    if (mine.readyState === EventSource.CLOSED) setTimeout(() => stream === mine && listen(), 2000);
  });
}

// --- hands

function pad() {
  const keys = ["1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "0", "\u2190"];
  for (const key of keys) {
    const button = part("button", key);
    button.type = "button";
    if (key === "\u2190") button.setAttribute("aria-label", words.rub);
    button.addEventListener("click", () => {
      if (asking) {
        unask();
        empty();
      }
      entry.value = key === "\u2190" ? entry.value.slice(0, -1) : entry.value + key;
      typedOn();
    });
    at("pad").append(button);
  }
  at("pad").setAttribute("aria-label", words.pad);
}

function typedOn() {
  if (asking) unask();
  if (!entry.value) typedFor = "";
  else typedFor ||= String(current().place);
  own("plumbrise-typed", entry.value);
  showTaken();
}

function begin() {
  for (const [name, values] of Object.entries(live.values)) known.set(name, values);
  pad();
  if (matchMedia("(pointer: coarse)").matches) entry.inputMode = "none";
  labelled("note", words.note, "n");
  labelled("skip", words.skip, "s");
  labelled("repeat", words.repeat, "r");
  at("noting").querySelector("label").textContent = words.noteAsked;
  entry.addEventListener("input", typedOn);
  entry.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
    const does = KEYS[event.key];
    if (!does) return;
    event.preventDefault();
    if (!event.repeat || event.key.startsWith("Arrow")) does();
  });
  for (const button of document.querySelectorAll(".cap [data-do]")) {
    button.addEventListener("mousedown", (event) => event.preventDefault());
    button.addEventListener("click", () => {
      DOES[button.dataset.do]();
      if (button.dataset.do !== "note") entry.focus({ preventScroll: true });
    });
  }
  at("pad").addEventListener("mousedown", (event) => event.preventDefault());
  at("noting").addEventListener("submit", (event) => {
    event.preventDefault();
    const said = at("words").value.trim();
    const place = lastRead();
    at("words").value = "";
    at("noting").hidden = true;
    if (said && place) done({ do: "note", at: place, words: said });
    entry.focus();
  });
  at("words").addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    at("noting").hidden = true;
    entry.focus();
  });
  at("where").addEventListener("click", () => {
    showCard = true;
    show();
  });
  document.addEventListener("visibilitychange", listen);
  addEventListener("online", send);
  addEventListener("resize", show);
  const typed = own("plumbrise-typed");
  if (typed) entry.value = typed;
  if (!waiting.works) tell(words.noStore, true);
  show();
  if (!at("taking").hidden) entry.focus({ preventScroll: true });
  listen();
  send();
  document.addEventListener("pointerdown", awake, { once: true });
  document.addEventListener("keydown", awake, { once: true });
}

function lastRead() {
  const { values, asks: next } = view();
  const order = live.names.slice(0, next ? live.names.indexOf(next[0]) + 1 : undefined);
  for (const name of order.reverse()) {
    const list = values.get(name) ?? [];
    for (let i = list.length - 1; i >= 0; i--) if (list[i] !== null) return [name, i];
  }
  return null;
}

let asked = false;
function awake() {
  if (asked || !matchMedia("(pointer: coarse)").matches) return;
  asked = true;
  keepAwake((what) => {
    at("awake").textContent = words[what] ?? "";
    at("awake").hidden = !words[what];
  });
}

begin();
