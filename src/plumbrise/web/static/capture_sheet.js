// The measure sheet as it is shown: target, walk, table, chart, what can be taken back.

import { draw, pointsOf } from "./capture_chart.js";
import { at, both, labelled, lengths, part, say } from "./capture_text.js";

/** Draws into the page what it is given; holds nothing that a person did. */
export class Sheet {
  constructor(told) {
    this.words = told.words;
    this.mm = lengths(told);
  }

  /** The set-up at hand and its walk. */
  show(plan, view, now) {
    const { live } = plan;
    const name = now.first?.[0] ?? live.names.at(-1);
    const run = plan.runs.get(name);
    const other = now.names.find((one) => one !== name);
    const list = view.values.get(name) ?? [];
    at("title").textContent = run.title;
    at("count").textContent = say(this.words.read, {
      done: list.filter((value) => value !== null).length,
      all: list.length,
    });
    if (now.first) this.target(run, now.first[1]);
    this.whose(plan, now);
    this.undo(view.entries, plan);
    this.walk(view.values, view.asks, live);
    const pending = (one) => view.pending.get(one) ?? new Set();
    const beside = other ? pointsOf(plan.runs.get(other), view.values.get(other), pending(other)) : [];
    const points = [...beside.map((p) => ({ ...p, beside: true })), ...pointsOf(run, list, pending(name))];
    const wide = matchMedia("(min-width: 1000px)").matches;
    const into = at(wide ? "chart-wide" : "chart-narrow");
    draw(into, run, points, this.words, wide, other && plan.runs.get(other));
    this.table(run, list, other && { run: plan.runs.get(other), list: view.values.get(other) });
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

  /** With two gauges: whose value is asked for, and what was said of the other. */
  whose(plan, now) {
    const two = now.names.length > 1;
    at("whose").hidden = !two;
    if (!two) return;
    const { place } = plan.runs.get(now.place[0]);
    const within = place[0].toLowerCase() + place.slice(1);
    const said = [...now.said.entries()].map(([one, act]) => {
      const value = act.do === "pass" ? this.words.passed : this.mm(act.shown_mm);
      return `${plan.runs.get(one).place} ${value}`;
    });
    const text = said.length ? say(this.words.whoseNow, { said: said.join(", "), place: within }) : place;
    if (at("whose").textContent !== text) at("whose").textContent = text;
  }

  undo(entries, plan) {
    const { undo } = plan.live;
    const last = entries.filter((e) => ["keep", "pass", "mend"].includes(e.do)).at(-1);
    const mates = entries.filter((e) => last?.pair && e.pair === last.pair);
    const values = last ? (mates.length ? mates : [last]).map((e) => e.shown_mm) : plan.undone();
    const what = both(values, this.words, this.mm) || (undo?.words ?? "");
    const any = last || undo;
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
      const way = item.querySelector("[data-to]"); // leads nowhere while nothing is read
      if (done) way.href = way.dataset.to;
      else way.removeAttribute("href");
    }
  }

  table(run, list, other) {
    const rows = list.map((value, i) => [i, value]).filter(([, value]) => value !== null);
    const table = document.createElement("table");
    const head = table.createTHead().insertRow();
    const loaded = run.rows.some((row) => row[5]); // masses, forces, leaves: no step is told
    const alone = loaded ? [this.words.read1] : [this.words.read1, this.words.stepGave];
    const heads = other ? [run.place, other.run.place] : alone;
    for (const name of [loaded ? this.words.toldWith : this.words.told, ...heads]) {
      head.append(Object.assign(part("th", name), { className: "num" }));
    }
    const body = table.createTBody();
    for (const [i, value] of rows.slice(-4).reverse()) {
      const before = rows.filter(([j, v]) => j < i && v !== "x").at(-1);
      const step = before && Math.abs(run.rows[i][0] - run.rows[before[0]][0]);
      const gave = step && value !== "x" ? Math.abs(value - before[1]) : null;
      const row = body.insertRow();
      const last = gave === null ? "" : say(this.words.gave, { gave: this.mm(gave), step: this.mm(step) });
      const cells = [run.rows[i][5] || this.mm(run.rows[i][0]), this.read(value), other ? this.read(other.list[i]) : last];
      for (const cell of cells.slice(0, heads.length + 1)) {
        row.append(Object.assign(part("td", cell), { className: "num" }));
      }
    }
    at("table").replaceChildren(...(rows.length ? [table] : []));
  }

  read = (value) =>
    value === null ? "" : value === "x" ? this.words.passed : this.mm(value);

  /** The line under the strip. */
  trouble(text) {
    const line = at("trouble");
    if (line.textContent !== text) line.textContent = text;
    line.hidden = !text;
  }
}
