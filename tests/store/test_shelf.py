"""What is put on the shelf is there, with where it came from, and is never deleted."""

from dataclasses import replace
from threading import Thread

import pytest

from plumbrise import __version__
from plumbrise.errors import InputError, InputErrors
from plumbrise.machine import STATIONS, blank
from plumbrise.readings import KINDS, Reading
from plumbrise.readings.kinds import COARSE_STEPS, HAND_TURN, REVERSAL
from plumbrise.store import Shelf, shelf_path

LEFT = STATIONS["gantry-left"]


def row(seq, reading_mm=0.5, **more):
    return Reading(seq=seq, target_mm=seq, reading_mm=reading_mm, approach="up", **more)


def seqs(shelf, run_id):
    return [one.reading.seq for one in shelf.kept(run_id)]


def test_a_kept_reading_is_there_when_the_shelf_is_opened_again(path, now):
    full = Reading(
        seq=0,
        target_mm=12.5,
        reading_mm=-0.035,
        approach="down",
        mass_kg=0.5,
        mass_at_mm=170.0,
        force_n=-4.0,
        torque_nmm=31.0,
        time_s=61.25,
        temp_c=21.5,
        note="Draught from the door, 2 °C",
        other=(("weather", "dry"),),
    )
    with Shelf.open(path, now=now) as shelf:
        machine_id = shelf.add_machine(blank("one-screw"))
        run_id = shelf.begin_run(machine_id, kind=REVERSAL, station=LEFT, axis="front-back")
        shelf.keep(run_id, full)
    with Shelf.open(path, now=now) as shelf:
        assert shelf.kept(run_id)[0].reading == full
        run = shelf.readings(machine_id).runs[0]
        assert run.readings == (full,)
        assert (run.kind, run.station, run.axis, run.stand_on) == (
            REVERSAL,
            LEFT,
            "front-back",
            "frame",
        )


def test_a_run_says_who_read_what_with_which_gauge_and_when(shelf, machine_id):
    plan_id = shelf.add_plan(machine_id, '{"minutes": 60}')
    run_id = shelf.begin_run(
        machine_id,
        kind=REVERSAL,
        station=LEFT,
        stand_on="bed",
        plan_id=plan_id,
        session="Sunday",
        who="A. N.",
        source="indicator",
        gauge_resolution_mm=0.001,
        gauge_serial="no. 7",
        program="f00d",
    )
    shelf.end_run(run_id, words="done")
    run = shelf.runs()[0]
    assert (run.plan_id, run.session, run.who, run.source) == (
        plan_id,
        "Sunday",
        "A. N.",
        "indicator",
    )
    assert (run.gauge_resolution_mm, run.gauge_serial, run.program) == (0.001, "no. 7", "f00d")
    assert (run.stand_on, run.version) == ("bed", __version__)
    assert run.begun_at.startswith("2026-03-01T18:00:")
    assert run.begun_at < run.ended_at
    assert [(m.what, m.words) for m in run.marks] == [("ended", "done")]
    assert shelf.plans(machine_id)[0].text == '{"minutes": 60}'


def test_any_number_of_readings_is_taken_back_and_none_is_deleted(shelf, machine_id, run_id):
    for seq in range(4):
        shelf.keep(run_id, row(seq))
    back = [shelf.take_back(run_id).reading.seq for _ in range(3)]
    assert back == [3, 2, 1]
    assert seqs(shelf, run_id) == [0]
    assert shelf.readings(machine_id).count == 1
    shelf.keep(run_id, row(1, 0.75))
    held = shelf.kept(run_id, all_of_it=True)
    assert [one.reading.seq for one in held] == [0, 1, 2, 3, 1]
    assert [one.taken_back_at is None for one in held] == [True, False, False, False, True]
    assert (shelf.runs()[0].readings, shelf.runs()[0].taken_back) == (2, 3)


def test_with_nothing_left_there_is_nothing_to_take_back(shelf, run_id):
    shelf.keep(run_id, row(0))
    assert shelf.take_back(run_id) is not None
    assert shelf.take_back(run_id) is None


def test_an_undo_sent_twice_undoes_once(shelf, run_id):
    shelf.keep(run_id, row(0))
    last = shelf.keep(run_id, row(1))
    for _ in range(2):
        assert shelf.take_back(run_id, reading_id=last.id).id == last.id
    assert seqs(shelf, run_id) == [0]


def test_only_the_last_reading_is_taken_back_by_name(shelf, run_id):
    first = shelf.keep(run_id, row(0))
    shelf.keep(run_id, row(1))
    with pytest.raises(InputError, match="mend this one"):
        shelf.take_back(run_id, reading_id=first.id)
    assert seqs(shelf, run_id) == [0, 1]


def test_the_same_reading_sent_twice_is_stored_once(shelf, run_id):
    first = shelf.keep(run_id, row(0), token="17")
    assert shelf.keep(run_id, row(0), token="17") == first
    assert len(shelf.kept(run_id, all_of_it=True)) == 1


def test_a_reading_sent_again_after_its_undo_or_the_end_of_the_run_stays_as_it_is(shelf, run_id):
    shelf.keep(run_id, row(0), token="1")
    shelf.keep(run_id, row(1), token="2")
    shelf.take_back(run_id)
    shelf.end_run(run_id)
    assert shelf.keep(run_id, row(1), token="2").taken_back_at is not None
    assert shelf.keep(run_id, row(0), token="1").taken_back_at is None
    assert seqs(shelf, run_id) == [0]


def test_one_number_does_not_stand_for_two_readings(shelf, run_id):
    shelf.keep(run_id, row(0), token="17")
    for other in (row(0, 0.6), row(1)):
        with pytest.raises(InputError, match="number of its own"):
            shelf.keep(run_id, other, token="17")


def test_each_run_counts_the_numbers_of_its_own_sender(shelf, machine_id, run_id):
    other = shelf.begin_run(machine_id, kind=COARSE_STEPS, station=LEFT)
    shelf.keep(run_id, row(0), token="1")
    shelf.keep(other, row(0, 0.9), token="1")
    assert [shelf.kept(run)[0].reading.reading_mm for run in (run_id, other)] == [0.5, 0.9]


def test_a_place_in_a_run_is_taken_once(shelf, run_id):
    shelf.keep(run_id, row(0))
    with pytest.raises(InputError, match="seq"):
        shelf.keep(run_id, row(0, 0.7))


def test_a_mended_reading_is_replaced_and_its_undo_brings_the_first_back(shelf, run_id):
    for seq in range(3):
        shelf.keep(run_id, row(seq))
    before = shelf.kept(run_id)
    shelf.mend(run_id, row(1, 0.625))
    assert [one.reading.reading_mm for one in shelf.kept(run_id)] == [0.5, 0.625, 0.5]
    shelf.take_back(run_id)
    assert shelf.kept(run_id) == before
    assert len(shelf.kept(run_id, all_of_it=True)) == 4


def test_what_was_never_read_cannot_be_mended(shelf, run_id):
    with pytest.raises(InputError, match="seq"):
        shelf.mend(run_id, row(0))


def test_a_target_passed_over_is_known_again_and_is_no_reading(shelf, machine_id, run_id):
    shelf.keep(run_id, row(0))
    shelf.skip(run_id, row(1))
    shelf.keep(run_id, row(2, None))
    assert [one.skipped for one in shelf.kept(run_id)] == [False, True, False]
    assert [r.seq for r in shelf.readings(machine_id).runs[0].readings] == [0, 2]
    shelf.take_back(run_id)
    assert shelf.take_back(run_id).skipped


def test_notes_go_to_the_last_reading_or_a_named_one_and_older_words_are_kept(shelf, run_id):
    shelf.note(run_id, "Stand knocked")
    shelf.keep(run_id, row(0, note="first"))
    shelf.keep(run_id, row(1))
    shelf.note(run_id, "last")
    shelf.note(run_id, "better", seq=0)
    assert [one.reading.note for one in shelf.kept(run_id)] == ["better", "last"]
    assert [(m.what, m.words) for m in shelf.runs()[0].marks] == [
        ("note", "Stand knocked"),
        ("note before", "seq 0: first"),
    ]
    with pytest.raises(InputError, match="seq"):
        shelf.note(run_id, "nowhere", seq=9)


def test_a_noted_reading_sent_again_keeps_its_note(shelf, run_id):
    shelf.keep(run_id, row(0), token="1")
    shelf.note(run_id, "draught")
    assert shelf.keep(run_id, row(0), token="1").reading.note == "draught"


def test_an_ended_run_takes_readings_only_after_it_goes_on(shelf, run_id):
    shelf.keep(run_id, row(0))
    shelf.mark(run_id, "alarm", "the controller stopped at 12 mm")
    shelf.end_run(run_id, words="alarm")
    shelf.end_run(run_id, words="again")
    with pytest.raises(InputError, match="has not ended"):
        shelf.keep(run_id, row(1))
    shelf.go_on(run_id)
    shelf.keep(run_id, row(1))
    assert seqs(shelf, run_id) == [0, 1]
    assert [m.what for m in shelf.runs()[0].marks] == ["alarm", "ended", "gone on"]


def test_a_reading_of_an_ended_run_can_still_be_mended(shelf, run_id):
    shelf.keep(run_id, row(0))
    shelf.end_run(run_id)
    shelf.mend(run_id, row(0, 0.75))
    assert shelf.kept(run_id)[0].reading.reading_mm == 0.75


def test_the_second_run_of_a_name_gets_a_number(shelf, machine_id):
    for _ in range(3):
        shelf.begin_run(machine_id, kind=REVERSAL, station=LEFT, name=" left ")
    assert [run.name for run in shelf.runs(machine_id)] == ["left", "left 2", "left 3"]


def test_readings_stand_in_the_order_of_the_run_however_they_arrived(shelf, machine_id, run_id):
    for seq in (2, 0, 1):
        shelf.keep(run_id, row(seq))
    assert [r.seq for r in shelf.readings(machine_id).runs[0].readings] == [0, 1, 2]


def test_readings_of_some_runs_alone_can_be_had(shelf, machine_id):
    runs = [shelf.begin_run(machine_id, kind=REVERSAL, station=LEFT) for _ in range(3)]
    for run in runs:
        shelf.keep(run, row(0))
    chosen = shelf.readings(machine_id, runs=runs[1:])
    assert [run.name for run in chosen.runs] == ["gantry-left 2", "gantry-left 3"]


def test_a_hand_turn_needs_no_gauge(shelf, machine_id):
    run_id = shelf.begin_run(machine_id, kind=HAND_TURN, station=STATIONS["screw"])
    shelf.keep(run_id, row(0, None, torque_nmm=40.0))
    assert shelf.readings(machine_id).runs[0].readings[0].torque_nmm == 40


@pytest.mark.parametrize(
    ("wrong", "place"),
    [
        ({"reading_mm": float("nan")}, "reading_mm"),
        ({"reading_mm": 900.0}, "reading_mm"),
        ({"target_mm": -1.0}, "target_mm"),
        ({"approach": "left"}, "approach"),
        ({"seq": -1}, "seq"),
        ({"time_s": float("inf")}, "time_s"),
        ({"note": "x" * 20_000}, "note"),
        ({"other": (("Reading (mm)", "1"),)}, "other"),
    ],
)
def test_what_no_readings_table_holds_is_refused_by_name(shelf, run_id, wrong, place):
    with pytest.raises(InputError) as told:
        shelf.keep(run_id, replace(row(0), **wrong))
    assert told.value.place == place
    assert shelf.kept(run_id, all_of_it=True) == ()


def test_a_station_of_another_machine_is_refused(shelf, machine_id):
    with pytest.raises(InputError, match="gantry-right"):
        shelf.begin_run(machine_id, kind=REVERSAL, station=STATIONS["bed-left"])
    with pytest.raises(InputError, match="front-back"):
        shelf.begin_run(machine_id, kind=REVERSAL, station=LEFT, axis="down")
    with pytest.raises(InputError, match="stand_on"):
        shelf.begin_run(machine_id, kind=REVERSAL, station=LEFT, stand_on="sofa")
    assert shelf.runs() == ()


@pytest.mark.parametrize(
    "ask",
    [
        lambda s: s.machine(9),
        lambda s: s.readings(9),
        lambda s: s.export(9),
        lambda s: s.kept(9),
        lambda s: s.keep(9, row(0)),
        lambda s: s.take_back(9),
        lambda s: s.end_run(9),
        lambda s: s.mark(9, "alarm"),
        lambda s: s.add_plan(9, ""),
        lambda s: s.add_result(9, "explain", {}),
        lambda s: s.plans(9),
    ],
)
def test_what_the_shelf_does_not_hold_is_asked_for_in_vain(shelf, ask):
    with pytest.raises(InputError, match="plumbrise shelf list"):
        ask(shelf)


def test_a_text_that_describes_no_machine_is_not_kept(shelf):
    with pytest.raises(InputErrors):
        shelf.add_machine('arrangement = "nine-screw"')
    assert shelf.machines() == ()


def test_the_persons_own_machine_file_is_kept_word_for_word(shelf):
    text = '# measured on the first of May\narrangement = "one-screw"\n'
    assert shelf.export(shelf.add_machine(text))[0] == text


def test_a_result_shows_whether_readings_came_after_it(shelf, machine_id, run_id):
    shelf.keep(run_id, row(0))
    shelf.add_result(machine_id, "explain", {"version": 1, "causes": ["µ"]})
    result = shelf.results(machine_id)[0]
    assert (result.kind, result.text) == ("explain", '{"version": 1, "causes": ["µ"]}')
    assert result.made_from == shelf.fingerprint(machine_id)
    shelf.keep(run_id, row(1))
    assert result.made_from != shelf.fingerprint(machine_id)
    shelf.take_back(run_id)
    assert result.made_from == shelf.fingerprint(machine_id)


def test_a_clock_that_runs_back_costs_the_time_and_not_the_reading(shelf, machine_id, run_id):
    for seq, time_s in enumerate((10.0, 20.0, 5.0, 30.0)):
        shelf.keep(run_id, row(seq, time_s=time_s))
    found = shelf.readings(machine_id)
    assert [r.time_s for r in found.runs[0].readings] == [10, 20, None, 30]
    assert any("clock ran back" in remark for remark in found.remarks)
    assert [one.reading.time_s for one in shelf.kept(run_id)] == [10, 20, 5, 30]


def test_the_threads_of_one_program_share_a_shelf(shelf, machine_id):
    runs = [shelf.begin_run(machine_id, kind=KINDS["hold"], station=LEFT) for _ in range(4)]

    def take(run_id):
        for seq in range(25):
            shelf.keep(run_id, row(seq))
            shelf.readings(machine_id)

    threads = [Thread(target=take, args=(run_id,)) for run_id in runs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [run.readings for run in shelf.runs()] == [25] * 4


def test_the_shelf_lies_where_the_person_says_else_in_their_data_folder(monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.delenv("PLUMBRISE_SHELF", raising=False)
    assert shelf_path().parent.name == "plumbrise"
    monkeypatch.setenv("PLUMBRISE_SHELF", str(tmp_path / "mine"))
    assert shelf_path() == tmp_path / "mine"
    assert shelf_path(tmp_path / "said") == tmp_path / "said"


def test_its_state_tells_that_something_was_kept_here_or_by_another_program(shelf, path, now):
    seen = {shelf.state()}
    machine_id = shelf.add_machine(blank("one-screw"))
    seen.add(shelf.state())
    assert shelf.state() in seen
    with Shelf.open(path, now=now) as other:
        other.add_plan(machine_id, "plan")
    assert shelf.state() not in seen
    assert len(seen) == 2
