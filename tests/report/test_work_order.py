"""The words and the sheet of a work order."""

import re
from dataclasses import replace

import pytest

from plumbrise.build import Progress, build_steps, entered
from plumbrise.build.step import Acceptance, Bounds
from plumbrise.machine import ARRANGEMENTS, blank
from plumbrise.redesign import CATALOGUE
from plumbrise.report.work_order import accept_words, limit_words, work_order_text
from plumbrise.report.work_order_sheet import work_order_html, work_order_pdf

CHANGES = {
    "one-screw": ["second-screw-tied", "square-frame"],
    "two-screw": ["new-nut", "rigid-coupling"],
    "two-screw-tied": ["larger-pulleys", "brace-frame"],
    "three-screw-bed": ["thrust-bearing", "level-screws"],
}


@pytest.mark.parametrize(
    ("bounds", "unit", "words"),
    [
        (Bounds(low=1, high=1.5), "", "1 to 1.5"),
        (Bounds(low=60.0), "s", "60 s or more"),
        (Bounds(high=0.0681), "mm", "0.068 mm or less"),
        (Bounds(low=5, high=5), "", "exactly 5"),
        (Bounds(multiple=0.16), "mm", "a whole multiple of 0.16 mm"),
        (Bounds(low=1599.99, high=1600.01), "", "1599.99 to 1600.01"),
    ],
)
def test_a_limit_is_written_with_its_unit(bounds, unit, words):
    assert limit_words(Acceptance("x", "y", unit, bounds)) == words


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_what_is_read_as_a_limit_is_within_it(arrangement):
    for change in CATALOGUE.values():
        if not change.applies_to(blank(arrangement)) or change.needs:
            continue
        for task in build_steps(blank(arrangement), [change]).tasks:
            if task.accept is None or task.accept.bounds.missing:
                continue
            shown = limit_words(task.accept).removeprefix("exactly ")
            for number in re.findall(r"-?\d+\.?\d*", shown.replace(task.accept.unit or "?", "")):
                assert task.accept.takes(float(number)), (task.id, shown)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_every_step_stands_in_text_and_sheet_with_its_place_drawn(arrangement):
    order = build_steps(blank(arrangement), CHANGES[arrangement])
    text = work_order_text(order, Progress())
    page = work_order_html(order, Progress(), when="2026-01-05", version="1")
    for task in order.tasks:
        assert task.id in text
        assert f'id="{task.id}"' in page
    marked = {t.station for t in order.tasks if t.station and t.step.stage.place > 0}
    assert page.count("<svg") == len(marked)
    assert page.count("<figure") == len(marked)


def test_a_name_that_moves_the_cursor_does_not():
    machine = replace(blank("one-screw"), name="evil\x1b[2J<script>")
    order = build_steps(machine, ["new-nut"])
    assert "\x1b" not in work_order_text(order, Progress())
    page = work_order_html(order, Progress(), when="2026-01-05", version="1")
    assert "<script>" not in page


def test_what_was_entered_stands_in_text_and_sheet():
    order = build_steps(blank("one-screw"), ["new-nut"])
    made = entered(order, Progress(), "read-before", "table of Monday", when="2026-01-05")
    assert "Entered 2026-01-05: table of Monday." in work_order_text(order, made)
    assert "table of Monday" in work_order_html(order, made, when="2026-01-06", version="1")
    assert work_order_pdf(order, made, when="2026-01-06", version="1").startswith(b"%PDF")


def test_a_limit_that_cannot_be_told_says_what_it_needs():
    order = build_steps(blank("one-screw"), ["steps-per-mm"])
    task = next(t for t in order.tasks if t.id == "set-steps")
    assert "needs the lead of the screw" in accept_words(task)
