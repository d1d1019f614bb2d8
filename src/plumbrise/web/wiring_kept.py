"""The harness of a machine on the shelf: kept as the text that its owner has, and judged."""

from __future__ import annotations

import json
from dataclasses import dataclass

from plumbrise.report.wiring_section import Wired
from plumbrise.web.bench import Bench
from plumbrise.web.wiring_asked import harness_in
from plumbrise.wiring import Harness, WiringVerdict, judge

HARNESS = "harness"
"""Kind of the results that hold a harness file."""


@dataclass(frozen=True, slots=True)
class Judged:
    """A harness file that was judged."""

    text: str
    harness: Harness
    answer: WiringVerdict


def judged(bench: Bench, text: str) -> Judged:
    """A harness file, read and judged.

    Raises:
        InputErrors: all that is wrong with it.
    """

    def made() -> Judged:
        harness = harness_in(text)
        return Judged(text, harness, judge(harness))

    found: Judged = bench.remembered(("wiring", text), made)
    return found


def kept_harness(bench: Bench, machine_id: int) -> str:
    """The harness file of a machine; "" where it has none."""
    kept = [one for one in bench.shelf.results(machine_id) if one.kind == HARNESS]
    return str(json.loads(kept[-1].text)["text"]) if kept else ""


def keep_harness(bench: Bench, machine_id: int, text: str) -> None:
    """Keep this file as the machine's own."""
    if text != kept_harness(bench, machine_id):
        bench.shelf.add_result(machine_id, HARNESS, {"text": text})


def wired_of(bench: Bench, machine_id: int) -> Wired | None:
    """The harness of a machine as its report shows it; None where it has none."""
    text = kept_harness(bench, machine_id)
    if not text:
        return None
    found = judged(bench, text)
    return Wired(found.harness, found.answer)
