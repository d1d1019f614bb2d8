// The chart that grows with each reading. Filled: on disk. Broken rim: still waits in this browser.

const SVG = "http://www.w3.org/2000/svg";
const LEFT = 44, RIGHT = 14, TOP = 24, BOTTOM = 24;
const LEGEND = 164; // as wide as the longest name of a place is

function ticks(low, high, most) {
  if (high - low < 1e-9) [low, high] = [low - 0.005, high + 0.005];
  const raw = (high - low) / most;
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 2.5, 5, 10, 20].map((f) => f * power).find((s) => s >= raw * (1 + 1e-9));
  const first = Math.ceil(low / step - 1e-9);
  const last = Math.max(Math.floor(high / step + 1e-9), first + 1);
  return Array.from({ length: last - first + 1 }, (_, i) => Number(((first + i) * step).toFixed(9)));
}

/** What is plotted: [x, y, from above, waits] for each reading of a set-up. */
export function pointsOf(run, values, waiting) {
  const points = [];
  let zero = null;
  values.forEach((value, i) => {
    if (typeof value !== "number") return;
    const [target, approach, , , load] = run.rows[i];
    zero ??= { target, value };
    const moved = value - zero.value;
    const told = run.plot === "behind" ? target - zero.target : 0;
    const y = run.plot === "behind" ? told - moved : moved;
    const x = { behind: target, load, moved: i + 1 }[run.plot];
    points.push({ x, y, down: approach === "down" && i > 0, waits: waiting.has(i) });
  });
  return points;
}

/** Draw a set-up's readings into an element; with two gauges those of the other `beside` them. */
export function draw(into, run, points, words, wide, beside) {
  const width = wide ? 836 : 366;
  const height = wide ? 230 : 128;
  const names = { behind: ["told", "behind"], load: ["load", "moved"], moved: ["reading", "moved"] };
  const [xName, yName] = names[run.plot].map((name) => words[name]);
  const all = run.rows.map((row, i) => ({ behind: row[0], load: row[4], moved: i + 1 })[run.plot]);
  const [low, high] = [Math.min(...all), Math.max(...all)];
  const ys = [0, 0.02, ...points.map((p) => p.y)];
  const yTicks = ticks(Math.min(...ys), Math.max(...ys), wide ? 4 : 3);
  const [bottom, top] = [Math.min(...ys, yTicks[0]), Math.max(...ys, yTicks.at(-1))];
  const px = (x) => LEFT + 8 + ((x - low) / (high - low || 1)) * (width - LEFT - RIGHT - 16);
  const py = (y) => height - BOTTOM - 5 - ((y - bottom) / (top - bottom)) * (height - TOP - BOTTOM - 10);
  const svg = made("svg", { viewBox: `0 0 ${width} ${height}`, role: "img" });
  svg.setAttribute(
    "aria-label",
    words.chart.replace("{y}", yName).replace("{x}", xName).replace("{count}", points.length),
  );
  for (const y of yTicks) {
    svg.append(made("line", { class: "grid", x1: LEFT, x2: width - RIGHT, y1: py(y), y2: py(y) }));
    svg.append(text(`${Number(y.toPrecision(6))}`, LEFT - 6, py(y) + 4, "end"));
  }
  for (const x of ticks(low, high, wide ? 5 : 3)) {
    if (x >= low - 1e-9 && x <= high - (high - low) * 0.12) {
      svg.append(text(`${Number(x.toPrecision(6))}`, px(x), height - 7, "middle"));
    }
  }
  svg.append(text(xName, width - RIGHT, height - 7, "end"), text(yName, LEFT + 4, 14, "start"));
  const floor = height - BOTTOM;
  svg.append(made("line", { class: "axis", x1: LEFT, x2: width - RIGHT, y1: floor, y2: floor }));
  svg.append(made("line", { class: "axis", x1: LEFT, x2: LEFT, y1: TOP, y2: floor }));
  const own = points.filter((p) => !p.beside);
  if (beside && wide) svg.append(...legend([run.place, beside.place], width));
  if (run.plot === "load" && own.length > 1) {
    const way = own.map((p) => `${px(p.x).toFixed(1)},${py(p.y).toFixed(1)}`).join(" ");
    svg.append(made("polyline", { class: "way", points: way }));
  }
  points.forEach((p, i) => {
    const kind = `mark${p.beside ? " beside" : ""}${p.down ? " down" : ""}${p.waits ? " waits" : ""}${i === points.length - 1 ? " new" : ""}`;
    svg.append(made("circle", { class: kind, cx: px(p.x), cy: py(p.y), r: 3.4 }));
  });
  into.replaceChildren(svg);
}

/** Which marks are whose, in the line of the vertical axis's name. */
function legend(places, width) {
  return places.flatMap((place, i) => {
    const right = width - RIGHT - (i === 0 ? LEGEND : 0);
    const mark = made("circle", { class: i ? "mark beside" : "mark", cx: right - LEGEND + 16, cy: 10, r: 3.4 });
    return [mark, text(place, right - LEGEND + 24, 14, "start")];
  });
}

function made(tag, attributes) {
  const element = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) {
    element.setAttribute(name, typeof value === "number" ? value.toFixed(1) : value);
  }
  return element;
}

function text(words, x, y, anchor) {
  const element = made("text", { x, y, "text-anchor": anchor });
  element.textContent = words;
  return element;
}
