"""Acts that a page sends: each done once, what is no act refused whole, and nothing swallowed."""

from __future__ import annotations

import math
from datetime import UTC, datetime

import pytest

from plumbrise.machine import blank
from plumbrise.store import Shelf, ShelfError
from plumbrise.store.sitting import Sitting
from plumbrise.web.captures import Captures

SHEET = "run,test,station,seq,target_mm,reading_mm,approach\n" + "".join(
    f"left,coarse-steps,gantry-left,{i},{i},,{'up' if i else 'down'}\n" for i in range(4)
)
NOW = datetime(2026, 5, 1, 20, 0, tzinfo=UTC)


@pytest.fixture
def shelf(tmp_path):
    with Shelf.open(tmp_path / "shelf.sqlite3", now=lambda: NOW) as it:
        yield it


@pytest.fixture
def capture(shelf):
    machine = shelf.add_machine(blank("one-screw"))
    plan = shelf.add_plan(machine, SHEET)
    return Captures(lambda: NOW).of(shelf, machine, plan)


def keep(reading, text, *, token=None, **more):
    token = token or f"token-{reading}-{text}"
    return {"do": "keep", "at": ["left", reading], "token": token, "text": text, **more}


def on_disk(shelf):
    return [k.reading.reading_mm for run in shelf.runs() for k in shelf.kept(run.id)]


def test_a_reading_sent_twice_is_kept_once(capture, shelf):
    assert capture.do(keep(0, "0.0")).said == "done"
    assert capture.do(keep(0, "0.0")).said == "again"
    assert on_disk(shelf) == [0.0]


def test_a_suspicious_one_is_asked_about_and_kept_when_sure(capture, shelf):
    capture.do(keep(0, "0.0"))
    asked = capture.do(keep(1, "9.5"))
    assert (asked.said, on_disk(shelf)) == ("asks", [0.0])
    assert "Keep it, or read again?" in asked.question
    assert capture.do(keep(1, "9.5", sure=True, shown_mm=9.5)).said == "done"
    assert on_disk(shelf) == [0.0, 9.5]


def test_undo_is_done_once_however_often_it_is_sent(capture, shelf):
    capture.do(keep(0, "0.0"))
    capture.do(keep(1, "0.6"))
    undo = {"do": "undo", "of": "token-1-0.6"}
    assert capture.do(undo).said == "done"
    assert capture.do(undo).said == "again"
    assert on_disk(shelf) == [0.0]


def test_a_reading_whose_set_up_could_not_be_ended_is_told_and_the_set_up_ended_when_sent_again(
    capture, shelf, monkeypatch
):
    told = []
    capture.watchers.append(lambda: told.append(capture.version))
    for reading in range(3):
        capture.do(keep(reading, f"{reading}.0"))

    def busy(_):
        raise ShelfError(place="shelf", wrong="busy", remedy="Wait.")

    with monkeypatch.context() as meanwhile:
        meanwhile.setattr(Sitting, "end_run_if_done", busy)
        with pytest.raises(ShelfError):
            capture.do(keep(3, "3.0"))
    assert told == [1, 2, 3, 4]
    assert capture.do(keep(3, "3.0")).said == "again"
    assert [run.ended_at is not None for run in shelf.runs()] == [True]


GOOD = keep(0, "0.0")


@pytest.mark.parametrize(
    "act",
    [
        {},
        {"do": "drop"},
        {"do": ["keep"]},
        {"do": None},
        GOOD | {"at": None},
        GOOD | {"at": ["left"]},
        GOOD | {"at": ["left", "0"]},
        GOOD | {"at": ["left", -1]},
        GOOD | {"at": ["left", 4]},
        GOOD | {"at": ["left", True]},
        GOOD | {"at": ["another", 0]},
        GOOD | {"at": [0, 0]},
        GOOD | {"token": "short"},
        GOOD | {"token": 12345678},
        GOOD | {"text": 0.0},
        GOOD | {"text": None},
        GOOD | {"shown_mm": "0.0"},
        GOOD | {"shown_mm": math.nan},
        GOOD | {"shown_mm": 1e9, "sure": True},
        GOOD | {"ago_s": math.inf},
        GOOD | {"ago_s": [1]},
        {"do": "note", "at": ["left", 0]},
        {"do": "note", "at": ["left", 0], "words": 7},
        {"do": "undo"},
        {"do": "undo", "of": 3},
        {"do": "skip"},
    ],
    ids=str,
)
def test_what_is_no_act_is_refused_and_changes_nothing(capture, shelf, act):
    before = capture.version
    assert capture.do(act).said == "wrong"
    assert (capture.version, on_disk(shelf)) == (before, [])


def test_what_is_no_reading_is_refused_with_what_is(capture):
    answer = capture.do(keep(0, "abc"))
    assert answer.said == "wrong"
    assert "0.64" in answer.words


@pytest.mark.parametrize("fault", [KeyError("7"), IndexError("7"), ValueError("7"), TypeError("7")])
def test_a_fault_of_ours_is_not_taken_for_one_of_the_page(capture, monkeypatch, fault):
    def breaks(*_args, **_more):
        raise fault

    monkeypatch.setattr(type(capture.sitting), "keep", breaks)
    with pytest.raises(type(fault)):
        capture.do(keep(0, "0.0"))


def test_a_full_disk_leaves_the_reading_with_the_page(capture, monkeypatch):
    def full(*_args, **_more):
        raise ShelfError(place="shelf", wrong="the disk is full", remedy="Make room.")

    monkeypatch.setattr(type(capture.sitting), "keep", full)
    with pytest.raises(ShelfError):
        capture.do(keep(0, "0.0"))
