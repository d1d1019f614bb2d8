// Words and elements, for all files of the measure sheet.

/** The element of an id. */
export const at = (id) => document.getElementById(id);

/** A new element with a text. */
export const part = (tag, text) => Object.assign(document.createElement(tag), { textContent: text });

/** Words with values in their places. */
export const say = (template, values = {}) =>
  template.replace(/\{(\w+)\}/g, (_, name) => String(values[name] ?? ""));

/** A length as the gauge shows it; without its unit. */
export const lengths = (told) => {
  const digits = told.resolution < 0.0095 ? 3 : 2;
  return (value) => (value / told.unit).toFixed(digits);
};

/** A button's label and the key that does the same. */
export function labelled(id, label, key) {
  const button = at(id);
  const old = button.querySelector("kbd")?.textContent;
  if (old === key && button.firstChild?.textContent === label) return;
  button.replaceChildren(label, " ", part("kbd", key));
}

/** What became of something, in the line beside the target. */
export function tell(text, bad = false) {
  at("said").textContent = text;
  at("said").classList.toggle("bad", bad);
}

/** One value or two, with what follows them; nothing for none. */
export const both = (values, words, mm, after = "") => {
  const there = values.filter((value) => typeof value === "number");
  return there.length ? `${there.map(mm).join(` ${words.and} `)}${after}` : "";
};
