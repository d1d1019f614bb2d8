#!/usr/bin/env python3
"""Write docs/reference/scores.md: how good explaining is, from the stored results of benchmarks.

scripts/scores.py           write the page
scripts/scores.py --check   exit 1 if the page is not what the results would make
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
RESULTS = ROOT / "benchmarks" / "results"
PAGE = ROOT / "docs" / "reference" / "scores.md"
DEPTHS = {
    "full": "full",
    "gantry-only": "moving part only",
    "five-minutes": "short table",
    "mixed": "tests in any order",
}
MAP_OF = {"full": "full", "gantry-only": "gantry", "five-minutes": "short"}


def stored(name: str) -> dict[str, Any]:
    """A stored result, empty if there is none."""
    file = RESULTS / f"{name}.json"
    found: dict[str, Any] = json.loads(file.read_text(encoding="utf-8")) if file.exists() else {}
    return found


def table(head: tuple[str, ...], rows: list[tuple[Any, ...]]) -> str:
    """A Markdown table."""
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    lines += ["| " + " | ".join(str(cell) for cell in row) + " |" for row in rows]
    return "\n".join(lines)


def _pm(pair: list[float], digits: int) -> str:
    return f"{pair[0]:.{digits}f} ± {pair[1]:.{digits}f}"


def scores() -> str:
    """Scores by simulator, arrangement and depth."""
    found, checked = stored("explain"), stored("calibration").get("cross_check", {})
    rows = []
    for name, one in found.items():
        if name == "how" or name.startswith("all,"):
            continue
        simulator, arrangement, depth = name.split(", ")
        other = checked.get(f"{simulator}, {MAP_OF.get(depth)}", {}).get("the others", {})
        alone = arrangement == "one-screw" and other
        wrong, of = one["wrong_of_stated_at_0.9"]
        groups = one.get("groups") or {}
        rows.append(
            (
                simulator,
                arrangement,
                DEPTHS[depth],
                one["sessions"],
                _pm(one["exact_set"], 2),
                _pm(one["exact_up_to_groups"], 2),
                _pm(one["brier"], 4),
                f"{one['log_score'][0]:.3f}",
                f"{wrong} of {of}",
                f"{groups['brier']:.3f}" if groups.get("brier") is not None else "",
                f"{other['brier']:.4f}" if alone else "",
            )
        )
    head = (
        "simulator", "arrangement", "session", "how many", "exact set", "exact up to groups",
        "Brier", "log score", "wrong at 90 %", "groups' Brier", "Brier, simulator kept out",
    )  # fmt: skip
    whole = [
        (
            DEPTHS[depth],
            one["sessions"],
            _pm(one["exact_set"], 2),
            _pm(one["brier"], 4),
            "{} of {}".format(*one["wrong_of_stated_at_0.9"]),
            "{} of {}".format(*one["sound_called_sound"]),
            f"{one['seconds_median_and_worst'][0]:g}, {one['seconds_median_and_worst'][1]:g}",
        )
        for depth in DEPTHS
        if (one := found.get(f"all, {depth}"))
    ]
    return "\n\n".join(
        [
            table(head, rows),
            "All together; times are of busy cores:",
            table(
                ("session", "how many", "exact set", "Brier", "wrong at 90 %",
                 "sound called sound", "seconds, median and worst"),
                whole,
            ),
        ]
    )  # fmt: skip


def by_cause() -> str:
    """Scores of each cause, all simulators together."""
    found = stored("explain")
    rows = []
    for cause in sorted(
        {c for d in DEPTHS for c in found.get(f"all, {d}", {}).get("by_cause", {})}
    ):
        row: list[Any] = [f"`{cause}`"]
        for depth in DEPTHS:
            one = found.get(f"all, {depth}", {}).get("by_cause", {}).get(cause)
            if one is None:
                row += ["", ""]
                continue
            where = one["stated_where_there"]
            row += [
                f"{one['there']} of {one['statements']}",
                f"{'' if where is None else f'{where:.2f}'}, {one['stated_where_not']:.2f}"
                if one["stated_where_not"] is not None
                else f"{where:.2f}, ",
            ]
        rows.append(tuple(row))
    head = ["cause"]
    for name in DEPTHS.values():
        head += [f"{name}: there", "stated where there, where not"]
    return table(tuple(head), rows)


def intervals() -> str:
    """Coverage of 90 % intervals on the simulators, and of ranks where beliefs are right."""
    found, sbc = stored("explain"), stored("sbc").get("as_stated", {})
    rows = []
    for depth, name in DEPTHS.items():
        for what, one in found.get(f"all, {depth}", {}).get("intervals_90", {}).items():
            rows.append((what, name, one["count"], f"{100 * one['share']:.0f} %"))
    own = [
        (figure, name, one["count"], f"{100 * one['within_90']:.0f} %", f"{one['p_value']:.3f}")
        for depth, name in DEPTHS.items()
        for figure, one in sbc.get(depth, {}).get("figures", {}).items()
    ]
    return "\n\n".join(
        [
            "On the simulators, how many 90 % intervals hold the truth:",
            table(("figure", "session", "how many", "hold"), rows),
            "On sessions drawn from the engine's own beliefs (simulation-based calibration, "
            f"{sum(sbc.get(d, {}).get('sessions', 0) for d in DEPTHS)} sessions), how many truths "
            "lie between the 5 and 95 % marks of the draws, and the chance of ranks as uneven:",
            table(("figure", "session", "how many", "within", "chance"), own),
        ]
    )


def page() -> str:
    """The whole page."""
    how = stored("explain").get("how", {})
    strange = stored("left_over")
    parts = [
        "<!-- Written by scripts/scores.py from benchmarks/results; do not edit. -->",
        "# How good explaining is",
        "Invented machines of three simulators, none of which shares the axis model's law of "
        "friction; [the method page](../methods/causes-and-evidence.md) says what they are and "
        "what the scores mean. Causes nearer to the threshold than a factor of 1.5 are left out. "
        f"Made by `{how.get('command', '')}` on {how.get('date', '')}, seed {how.get('seed', '')}; "
        "± is one standard error over sessions. The last column is with maps fitted on the other "
        "simulators only.",
        "## Scores",
        scores(),
        "## By cause",
        by_cause(),
        "## Intervals",
        intervals(),
    ]
    if strange:
        parts += ["## What no cause does", _strange(strange)]
    if stored("pairs"):
        parts += ["## Before against after", proofs(stored("pairs"))]
    if stored("changes"):
        parts += ["## Changes made", changes_made(stored("changes"))]
    for name, title in (("sampler", "## Beside a general-purpose sampler"), ("speed", "## Speed"),
                        ("advice", "## Following the advice")):  # fmt: skip
        words = stored(name).get("words")
        if words:
            parts += [title, *words]
    return "\n\n".join(parts) + "\n"


def proofs(found: dict[str, Any]) -> str:
    """What `prove` says of pairs of sessions."""
    same = found["same"]
    false = "{:.1f} and {:.1f} %".format(*(100 * x for x in same["false_better_between"]))
    words = (
        f"The same machine read on two days with nothing done between, {same['pairs']} pairs: "
        f"{same['with_a_false_better']} with any figure called better (the rate lies between "
        f"{false}), {same['with_a_false_worse']} with any called worse; of {same['ends']} ends, "
        f"{same['ends_called_better']} were called better. Then drag was eased to a share of "
        "itself, or all that loses motion was put right, which on many machines is nothing. By how "
        "much less an end then truly loses, the simulator knows; told is how often it was called "
        "better, with 95 % intervals in which each machine counts once, however many of its ends "
        "and works fall in a row."
    )
    works = [
        (
            "all put right" if one["work"] == "all" else f"drag left: {one['work']}",
            one["pairs"],
            f"{one['median_true_change_mm']:.3f}",
            f"{one['median_read_change_mm']:.3f}",
            f"{one['ends_called_better']} of {one['ends']}",
            f"{one['with_an_end_called_better']} of {one['pairs']}",
            one["ends_called_worse"],
        )
        for one in found["changed"]
    ]
    sizes = [
        (
            _span(one["from_mm"], one["to_mm"]),
            one["machines"],
            f"{one['called_better']} of {one['ends']}",
            "{:.0f} to {:.0f} %".format(*(100 * share for share in one["share_between"])),
        )
        for one in found["by_true"]
    ]
    head = ("work", "pairs", "median true change, mm", "median change read, mm",
            "ends called better", "pairs with one", "ends called worse")  # fmt: skip
    true = ("truly loses less by, mm", "machines", "ends called better", "95 % interval")
    return "\n\n".join((words, table(true, sizes), "By what was done:", table(head, works)))


def changes_made(found: dict[str, Any]) -> str:
    """What `redesign` promises, and what comes of it on the true machine."""
    how = found["how"]
    words = (
        "A full session of each machine was explained and given a proposal for the usual targets, "
        "70 % asked. Its set was then made on the true machine, by amounts that the proposal does "
        "not know. Beside its money stands that of the cheapest set that does on the true machine, "
        "where one was found, and that of buying everything. Made by "
        f"`{how['command']}` on {how['date']}, seed {how['seed']}."
    )
    rows = [
        (
            name,
            one["machines"],
            one["met_already"],
            f"{one['of_these_reached']} of {one['said_to_be_reachable']}",
            f"{100 * one['mean_probability_stated']:.0f} %",
            f"{100 * one['interval_of_90_holds']:.0f} %",
            f"{one['median_error_mm']:.3f}",
            f"{one['money']:.0f}",
            "{:g} and {:g} ({})".format(
                *one["money_where_cheapest_known"], one["cheapest_known_for"]
            ),
            f"{one['money_of_everything']:.0f}",
        )
        for name, one in found.items()
        if name != "how"
    ]
    head = ("simulator", "machines", "met already", "promised and reached", "stated",
            "ends in the 90 % interval", "median error, mm", "money, EUR",
            "money and cheapest, EUR (machines)", "everything, EUR")  # fmt: skip
    return f"{words}\n\n{table(head, rows)}"


def _span(low: float | None, high: float | None) -> str:
    """The first span holds those too that lose more."""
    if low is None:
        return f"under {high:g}"
    return f"{low:g} to {high:g}" if high else f"over {low:g}"


def _strange(found: dict[str, Any]) -> str:
    rows = [
        (
            name.removesuffix(", gantry-only"),
            one["sessions"],
            one["something_else_said"],
            one["with_a_wrong_cause_at_0.9"],
        )
        for name, one in found.items()
        if isinstance(one, dict) and "something_else_said" in one
    ]
    words = "Read at the moving part only; sound machines but for the effect."
    return (
        words
        + "\n\n"
        + table(("effect", "sessions", "something else said", "a wrong cause at 90 %"), rows)
    )


def main() -> int:
    made = page()
    if "--check" in sys.argv:
        return 0 if PAGE.exists() and PAGE.read_text(encoding="utf-8") == made else 1
    PAGE.write_text(made, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
