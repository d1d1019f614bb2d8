"""Acts that a page sends: each done once, what is no act refused whole, and nothing swallowed."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import pytest

from plumbrise.machine import blank
from plumbrise.store import Shelf, ShelfError
from plumbrise.store.sitting import Sitting
from plumbrise.web.capture import Capture
from plumbrise.web.capture_view import live, set_ups
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


def test_a_reading_and_which_way_its_gauge_counts_are_on_disk_together(capture, shelf, monkeypatch):
    capture.do({"do": "turn", "at": ["left", 0], "down": True})

    def full(*_):
        raise ShelfError(place="shelf", wrong="full", remedy="Make room.")

    with monkeypatch.context() as meanwhile:
        meanwhile.setattr(Shelf, "mark", full)
        with pytest.raises(ShelfError):
            capture.do(keep(0, "-0.5"))
    assert on_disk(shelf) == []
    assert capture.do(keep(0, "-0.5")).said == "done"
    assert on_disk(shelf) == [0.5]


def elsewhere(shelf):
    """The same plan in another program."""
    run = shelf.runs()[0]
    return Captures(lambda: NOW).of(shelf, run.machine_id, run.plan_id)


def test_which_way_a_gauge_counts_that_was_said_elsewhere_holds_here(capture, shelf):
    capture.do(keep(0, "0.0"))
    elsewhere(shelf).do({"do": "turn", "at": ["left", 1], "down": True})
    assert capture.do(keep(1, "-0.6")).said == "done"
    assert on_disk(shelf) == [0.0, 0.6]


def test_a_set_up_is_broken_off_also_where_another_program_keeps_a_reading_meanwhile(
    capture, shelf, monkeypatch
):
    capture.do(keep(0, "0.0"))
    other, told = elsewhere(shelf), []
    read_now = Capture.read_now

    def meanwhile(one):
        if one is capture and not told:
            told.append(other.do(keep(1, "0.6")).said)
        return read_now(one)

    monkeypatch.setattr(Capture, "read_now", meanwhile)
    capture.broken_off("left", "Stopped by hand.")
    assert told == ["done"]
    assert on_disk(shelf) == [0.0, 0.6]
    assert live(capture)["names"] == ["left", "left again 1"]


def test_a_value_for_a_set_up_that_was_taken_back_elsewhere_is_told_and_kept_nowhere(
    capture, shelf
):
    capture.do(keep(0, "0.0"))
    capture.do({"do": "repeat", "at": ["left", 1], "token": "once-more"})
    other = elsewhere(shelf)
    assert other.do({"do": "undo", "of": live(other)["undo"]["of"]}).said == "done"
    late = capture.do(keep(0, "0.5") | {"at": ["left again 1", 0]})
    assert (late.said, "0.5 was kept nowhere" in late.words) == ("elsewhere", True)
    assert on_disk(shelf) == [0.0]


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


# --- taking back what has no number of its own


def test_leaving_the_rest_is_taken_back_once_however_late_it_is_sent_again(capture, shelf):
    capture.do(keep(0, "0.0"))
    skip = {"do": "skip", "at": ["left", 1], "token": "skip-it-once"}
    assert capture.do(skip).said == "done"
    undo = {"do": "undo", "of": live(capture)["undo"]["of"], "token": "undo-it-once"}
    assert capture.do(undo).said == "done"
    assert capture.do(undo).said == "again"
    assert capture.do({**skip, "token": "skip-it-twice"}).said == "done"
    assert capture.do(undo).said == "again"  # the network brings it once more
    assert capture.do({**undo, "token": "after-a-restart"}).said == "elsewhere"
    assert live(capture)["ended"] == ["left"]


def test_what_was_left_once_stays_taken_back_though_the_leaving_comes_again(capture):
    capture.do(keep(0, "0.0"))
    skip = {"do": "skip", "at": ["left", 1], "token": "skip-it-once"}
    capture.do(skip)
    capture.do({"do": "undo", "of": live(capture)["undo"]["of"], "token": "undo-it-once"})
    assert capture.do(skip).said == "again"
    assert live(capture)["ended"] == []


# --- a set-up left half read


@pytest.fixture
def later(shelf):
    """The same plan on a bench that was opened anew, after a break."""
    clock = [NOW]
    machine = shelf.add_machine(blank("one-screw"))
    plan = shelf.add_plan(machine, SHEET)

    def opened(after_s=0.0):
        clock[0] += timedelta(seconds=after_s)
        return Captures(lambda: clock[0]).of(shelf, machine, plan)

    return opened


def test_how_long_nothing_was_read_is_told_and_ends_when_the_gauge_is_said_to_stand(later, shelf):
    begun = later()
    assert live(begun)["quiet_s"] is None
    begun.do(keep(0, "0.0"))
    again = later(3600)
    assert live(again)["quiet_s"] == 3600
    assert again.do({"do": "stands", "at": ["left", 1], "token": "it-stands"}).said == "done"
    assert live(again)["quiet_s"] == 0
    (run,) = shelf.runs()
    assert [m.words for m in run.marks if m.what == "gone on"] == [
        "gauge said to be untouched, the last kept 60 min ago"
    ]


def test_the_time_goes_on_through_a_break_of_days(later, shelf):
    begun = later()
    begun.do(keep(0, "0.0"))
    later(2 * 86_400).do(keep(1, "0.6"))
    (run,) = shelf.runs()
    assert [one.reading.time_s for one in shelf.kept(run.id)] == [0.0, 2 * 86_400.0]


# --- the gauge that the plan was made for, and which way it counts


def test_the_gauge_of_the_plan_counts(shelf):
    machine = shelf.add_machine(blank("one-screw"))
    plan = shelf.add_plan(machine, "gauge at hand,resolution_mm=0.001,stroke_mm=1.2\n" + SHEET)
    capture = Captures(lambda: NOW).of(shelf, machine, plan)
    assert (set_ups(capture)["resolution"], set_ups(capture)["turn"]) == (0.001, 0.0)
    capture.do(keep(0, "0.000"))
    capture.do(keep(1, "0.621"))
    assert "the plunger goes 1.2 mm" in capture.do(keep(2, "1.615")).question
    (run,) = shelf.runs()
    assert run.gauge_resolution_mm == 0.001


def test_a_dial_that_counts_down_is_turned_round_with_what_was_read(capture, shelf):
    capture.do(keep(0, "0.0"))
    capture.do(keep(1, "-0.62", sure=True, shown_mm=-0.62))
    turn = {"do": "turn", "at": ["left", 1], "down": True, "token": "turn-it-round"}
    outcome = capture.do(turn)
    assert (outcome.said, outcome.words) == (
        "done",
        "1 reading of this set-up is turned round with it.",
    )
    assert capture.do(turn).said == "again"
    assert capture.do({**turn, "token": "another-page"}).said == "again"
    capture.do(keep(2, "39"))
    assert on_disk(shelf) == [0.0, 0.62, 1.61]
    assert live(capture)["down"] == ["left"]
    again = Captures(lambda: NOW).of(shelf, capture.sitting.machine_id, capture.sitting.plan_id)
    assert live(again)["down"] == ["left"]


# --- two gauges


PAIR = SHEET + "".join(SHEET.splitlines(keepends=True)[1:]).replace("left", "right")


@pytest.fixture
def pair(shelf):
    machine = shelf.add_machine(blank("two-screw"))
    plan = shelf.add_plan(machine, "gauge at hand,at_once=2\n" + PAIR)
    return Captures(lambda: NOW).of(shelf, machine, plan)


def both(capture, reading, left, right):
    for run, text in (("left", left), ("right", right)):
        act = keep(reading, text, token=f"{run}-token-{reading}-{text}")
        assert capture.do(act | {"at": [run, reading]}).said == "done"


def by_run(shelf):
    return {run.name: [k.reading.reading_mm for k in shelf.kept(run.id)] for run in shelf.runs()}


def test_two_set_ups_at_the_same_moves_are_told_as_a_pair(pair):
    assert live(pair)["pairs"] == {"left": "right", "right": "left"}
    assert set(live(pair)["values"]) >= {"left", "right"}


def test_both_readings_of_a_target_are_taken_back_as_one_and_once(pair, shelf):
    both(pair, 0, "0.0", "0.0")
    both(pair, 1, "0.62", "0.55")
    undo = live(pair)["undo"]
    assert (undo["value_mm"], undo["second_mm"]) == (0.62, 0.55)
    act = {"do": "undo", "of": undo["of"], "token": "undo-both-of-them"}
    assert pair.do(act).said == "done"
    assert pair.do(act).said == "again"
    assert by_run(shelf) == {"left": [0.0], "right": [0.0]}


def test_both_set_ups_are_left_done_again_and_broken_off_together(pair, shelf):
    both(pair, 0, "0.0", "0.0")
    pair.do({"do": "repeat", "at": ["left", 1], "token": "once-more-both"})
    again = ["left", "left again 1", "right", "right again 1"]
    assert live(pair)["names"] == again
    both_again = [["left again 1", 0], ["right again 1", 0]]
    for at in both_again:
        pair.do(keep(0, "0.0", token=f"again-{at[0]}") | {"at": at})
    pair.broken_off("left again 1", "an alarm")
    assert [len(run.marks) for run in shelf.runs()] == [1, 1, 1, 1]
    pair.do({"do": "skip", "at": ["left again 2", 0], "token": "leave-it-all"})
    assert live(pair)["asks"] is None


def test_the_second_gauge_counts_its_own_way_in_the_set_ups_that_follow(pair):
    pair.do({"do": "turn", "at": ["right", 0], "down": True, "token": "second-turned"})
    both(pair, 0, "0.0", "0.0")
    pair.do({"do": "repeat", "at": ["left", 1], "token": "once-more-both"})
    assert live(pair)["down"] == ["right", "right again 1"]
