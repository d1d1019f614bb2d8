// The measure sheet as it is shown: target, walk, table, chart, what can be taken back.

import { draw, pointsOf } from "./capture_chart.js";
import { at, labelled, lengths, part, say } from "./capture_text.js";

/** Draws into the page what it is given; holds nothing that a person did. */
export class Sheet {
  constructor(told) {
    this.words = told.words;
    this.mm = lengths(told);
  }

  /** The set-up at hand and its walk. */
  show(plan, view, place, live) {
    const name = place?.[0] ?? live.names.at(-1);
    const run = plan.runs.get(name);
    const list = view.values.get(name) ?? [];
    at("title").textContent = run.title;
    at("count").textContent = say(this.words.read, {
      done: list.filter((value) => value !== null).length,
      all: list.length,
    });
    if (place) this.target(run, place[1]);
    this.undo(view.entries, live);
    this.walk(view.values, view.asks, live);
    const points = pointsOf(run, list, view.pending.get(name) ?? new Set());
    const wide = matchMedia("(min-width: 1000px)").matches;
    draw(at(wide ? "chart-wide" : "chart-narrow"), run, points, this.words, wide);
    this.table(run, list);
    at("kept").textContent = say(this.words.keptCount, { count: live.disk });
  }

  target(run, reading) {
    const row = run.rows[reading];
    const number = /^-?\d+(\.\d{1,3})?$/.test(String(row[0])) ? row[0].toFixed(2) : String(row[0]);
    const parts = row[5] ? [row[5]] : [number, part("small", ` ${this.words.mm}`)];
    at("target").replaceChildren(...parts);
    const told = [this.words.toldTo, row[6]].filter(Boolean).join(", ");
    at("target-name").textContent = row[5] ? this.words.hang : told;
    at("target").classList.toggle("long", String(parts[0]).length > 6);
  }

  undo(entries, live) {
    const last = entries.filter((e) => ["keep", "pass", "mend"].includes(e.do)).at(-1);
    const value = last ? last.shown_mm : live.undo?.value_mm;
    const what = typeof value === "number" ? this.mm(value) : (live.undo?.words ?? "");
    const any = last || live.undo;
    labelled("undo", any ? say(this.words.undoIt, { value: what }) : this.words.undo, "u");
    at("undo").disabled = !any;
  }

  walk(values, next, live) {
    for (const item of at("set-ups").children) {
      const name = item.dataset.setUp;
      const list = values.get(name) ?? [];
      const done = list.filter((value) => value !== null).length;
      item.querySelector("[data-count]").textContent = `${done}/${list.length}`;
      const over = live.ended.includes(name) || (done && !list.includes(null));
      item.className = over ? "done" : next?.[0] === name ? "now" : "";
      item.toggleAttribute("aria-current", next?.[0] === name);
    }
  }

  table(run, list) {
    const rows = list.map((value, i) => [i, value]).filter(([, value]) => value !== null);
    const table = document.createElement("table");
    const head = table.createTHead().insertRow();
    for (const name of [this.words.told, this.words.read1, this.words.stepGave]) {
      head.append(Object.assign(part("th", name), { className: "num" }));
    }
    const body = table.createTBody();
    for (const [i, value] of rows.slice(-4).reverse()) {
      const before = rows.filter(([j, v]) => j < i && v !== "x").at(-1);
      const step = before && Math.abs(run.rows[i][0] - run.rows[before[0]][0]);
      const gave = step && value !== "x" ? Math.abs(value - before[1]) : null;
      const row = body.insertRow();
      for (const cell of [
        run.rows[i][5] || this.mm(run.rows[i][0]),
        value === "x" ? this.words.passed : this.mm(value),
        gave === null ? "" : say(this.words.gave, { gave: this.mm(gave), step: this.mm(step) }),
      ]) {
        row.append(Object.assign(part("td", cell), { className: "num" }));
      }
    }
    at("table").replaceChildren(...(rows.length ? [table] : []));
  }

  /** The line under the strip. */
  trouble(text) {
    const line = at("trouble");
    if (line.textContent !== text) line.textContent = text;
    line.hidden = !text;
  }
}
