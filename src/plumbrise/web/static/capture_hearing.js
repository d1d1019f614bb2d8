// What typed figures stand for, as the bench itself takes them, so that a value can be shown at
// once and while the bench is away. The bench decides: it is asked again when a value is kept.

/** The value that reading `at` of a set-up should be about, from those before it; null if none. */
export function expected(run, values, at, spans) {
  const [target, approach, mass, force] = run.rows[at];
  const before = [];
  for (let i = 0; i < at; i++) if (typeof values[i] === "number") before.push(i);
  if (!before.length) return null;
  if (run.same) {
    const same = before.filter((i) => {
      const [t, a, m, f] = run.rows[i];
      return t === target && a === approach && m === mass && f === force;
    });
    if (same.length) return { middle: values[same.at(-1)], span: spans.same };
  }
  const last = before.at(-1);
  let middle = values[last] + (run.moves ? target - run.rows[last][0] : 0);
  let span = spans.any;
  if (run.follows && sinceTurn(run, at) <= spans.near) {
    middle -= approach === "up" ? spans.lag : -spans.lag;
    span = spans.turn;
  }
  return { middle: round(middle), span };
}

function sinceTurn(run, at) {
  let from = 0;
  for (let i = at - 1; i >= 0; i--) {
    if (run.rows[i][1] !== run.rows[at][1]) {
      from = i;
      break;
    }
  }
  return Math.abs(run.rows[at][0] - run.rows[from][0]);
}

const round = (value) => Math.round(value * 1e6) / 1e6 + 0;

/** Python rounds a half to the even neighbour. */
function even(value) {
  const floor = Math.floor(value);
  const rest = value - floor;
  if (rest !== 0.5) return Math.round(value);
  return floor % 2 === 0 ? floor : floor + 1;
}

/** The value in mm, or null for what is no reading. */
export function heard(text, about, { resolution, turn, unit, down }) {
  const sign = down ? -1 : 1;
  const typed = text
    .trim()
    .replaceAll(" ", "")
    .replace(/mm$/, "")
    .replace(/in$/, "")
    .replaceAll("\u2212", "-");
  if (/^[+-]?[0-9]{1,4}$/.test(typed)) {
    const steps = Number(typed);
    if (Math.abs(steps) * resolution < turn - resolution / 2) {
      const shown = steps * resolution;
      if (!about) return round(sign * shown);
      return round(sign * (shown + even((sign * about.middle - shown) / turn) * turn));
    }
  }
  if (!/^[+-]?([0-9]+[.,][0-9]*|[.,][0-9]+|[0-9]+)$/.test(typed)) return null;
  const value = Number(typed.replace(",", ".")) * unit;
  return Math.abs(value) > 300 ? null : round(sign * value);
}
