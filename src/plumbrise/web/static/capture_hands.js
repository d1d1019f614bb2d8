// Keys, buttons, the keypad: what hands do, given on as the name of what is meant.

import { at, labelled, part } from "./capture_text.js";

const KEYS = {
  Enter: "keep",
  Escape: "escape",
  x: "pass",
  u: "undo",
  n: "note",
  s: "skip",
  r: "repeat",
  d: "turn",
  ArrowUp: "back",
  ArrowDown: "forth",
};
const RUB = "\u2190";
const PAD = ["1", "2", "3", "4", "5", "6", "7", "8", "9", ".", "0", RUB];

/** Give every key and button to `does[name]`; typed figures to `typed`, those of the keypad
 * before that to `pressed`. */
export function hands(entry, words, does, { typed, pressed, noted }) {
  for (const key of PAD) {
    const button = part("button", key);
    button.type = "button";
    if (key === RUB) button.setAttribute("aria-label", words.rub);
    button.addEventListener("click", () => {
      pressed();
      entry.value = key === RUB ? entry.value.slice(0, -1) : entry.value + key;
      typed();
    });
    at("pad").append(button);
  }
  at("pad").setAttribute("aria-label", words.pad);
  at("pad").addEventListener("mousedown", (event) => event.preventDefault());
  if (matchMedia("(pointer: coarse)").matches) entry.inputMode = "none";
  entry.addEventListener("input", typed);
  entry.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
    const name = KEYS[event.key];
    if (!name) return;
    event.preventDefault();
    if (!event.repeat || event.key.startsWith("Arrow")) does[name]();
  });
  for (const button of document.querySelectorAll(".cap [data-do]")) {
    button.addEventListener("mousedown", (event) => event.preventDefault());
    button.addEventListener("click", () => {
      does[button.dataset.do]();
      if (button.dataset.do !== "note") entry.focus({ preventScroll: true });
    });
  }
  labelled("note", words.note, "n");
  labelled("skip", words.skip, "s");
  labelled("repeat", words.repeat, "r");
  labelled("turn", words.turn, "d");
  noting(entry, words, noted);
}

function noting(entry, words, noted) {
  const form = at("noting");
  form.querySelector("label").textContent = words.noteAsked;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const said = at("words").value.trim();
    at("words").value = "";
    form.hidden = true;
    if (said) noted(said);
    entry.focus();
  });
  at("words").addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    form.hidden = true;
    entry.focus();
  });
}

/** Tick boxes that this tab remembers; `changed` hears of a press. */
export function tick(id, kept, changed) {
  const box = at(id);
  box.checked = kept(`plumbrise-${id}`) === "yes";
  box.addEventListener("change", () => {
    kept(`plumbrise-${id}`, box.checked ? "yes" : "no");
    changed();
  });
}
