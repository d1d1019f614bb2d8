"""What the axis does under a written motion program, followed by an interpreter of these tests."""

from dataclasses import dataclass, replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from plumbrise.cautions import FALLING_GANTRY, HUNG_MASS, PINCH
from plumbrise.errors import InputError, InputErrors
from plumbrise.machine import ARRANGEMENTS, STATIONS, blank
from plumbrise.machine.description import Controller, Gauge, Travel
from plumbrise.measure.fingerprint import fingerprint
from plumbrise.measure.motion_path import axis_word_mm
from plumbrise.measure.motion_program import motion_program, motion_programs
from plumbrise.measure.program_check import check_program
from plumbrise.measure.setups import candidates
from plumbrise.readings import Reading, Run
from plumbrise.readings.kinds import (
    COARSE_STEPS,
    DEAD_WEIGHT,
    FINE_STEPS,
    FULL_TRAVEL,
    GAUGE_CHECK,
    HAND_TURN,
    HOLD,
    ONE_TURN,
    REPEAT_HOME,
    REVERSAL,
)

WAITS_AT_STOPS = Controller(dwell_unit="milliseconds", stop_waits=True, home="down")


def machine_of(arrangement="one-screw", height_mm=250.0, controller=WAITS_AT_STOPS, **more):
    return replace(
        blank(arrangement),
        name="Test stand",
        travel=Travel(height_mm=height_mm),
        controller=controller,
        **more,
    )


def run_of(kind, rows, station="gantry-left", **more):
    readings = tuple(
        Reading(seq=i, target_mm=target, reading_mm=None, approach=approach, **more)
        for i, (target, approach) in enumerate(rows)
    )
    return Run(name="evening", kind=kind, station=STATIONS[station], readings=readings)


@dataclass
class Axis:
    """Where an axis stands, in the words of its controller, and how it came there."""

    z: float
    came: str = ""


def follow(text, machine):
    """Every wait with what happened since the last: [(heights of the moves..., how it came)].

    Written apart from the program's own reader: plain dictionaries, floats, and a list of waits.
    """
    height = machine.travel.height_mm
    bed = machine.arrangement.body == "bed"
    switch = height if machine.controller.home == "up" else 0.0
    relative, scale = False, 1.0
    h, came, since, waits = None, "", [], []
    for raw in text.split("\n"):
        code = raw.partition(";")[0].split()
        if not code:
            continue
        words = {word[0]: float(word[1:]) for word in code[1:]}
        match code[0]:
            case "G20" | "G21":
                scale = 25.4 if code[0] == "G20" else 1.0
            case "G90" | "G91":
                relative = code[0] == "G91"
            case "G28":
                if not words or "Z" in words:
                    came = "down" if h is not None and switch < h else came
                    came = "up" if h is not None and switch > h else came
                    h = switch
                    since.append(h)
            case "G0" | "G1":
                told = words["Z"] * scale
                if bed:
                    to = h - told if relative else height - told
                else:
                    to = h + told if relative else told
                assert -1e-6 <= to <= height + 1e-6
                assert words["F"] * scale <= 300
                if abs(to - h) > 1e-6:
                    came = "up" if to > h else "down"
                    since.append(to)
                h = to
            case "G4" | "M0":
                if waits and not since and code[0] == "G4" and waits[-1][3] == "G4":
                    continue  # one wait told in parts
                waits.append((h, came, since, code[0]))
                since = []
            case "M17" | "M84" | "M400":
                pass  # a person's own lines: hold, let go, wait until still
            case other:
                raise AssertionError(other)
    return waits


def seen_at_readings(program, machine):
    """The state at the wait of each reading, found through the lines that the program names."""
    lines = program.text.split("\n")
    return [
        (follow("\n".join(lines[: told.line]) + "\n", machine)[-1], told)
        for told in program.readings
    ]


# what is told is what is done


@st.composite
def moving_runs(draw, height_mm):
    """Runs as a person might tell them, within the travel with room for approach and overrun."""
    kind = draw(st.sampled_from([REVERSAL, FULL_TRAVEL, ONE_TURN, FINE_STEPS, COARSE_STEPS]))
    if kind.homes:
        step = draw(st.sampled_from([0.01, 0.05, 0.1] if kind is FINE_STEPS else [1.0, 2.0]))
        count = draw(st.integers(2, 12))
        return run_of(kind, [(round(i * step, 4), "up" if i else "down") for i in range(count)])
    low, high = 1.0, height_mm - 7.0
    targets = [draw(st.integers(10, int(high * 10))) / 10]
    approaches = [draw(st.sampled_from(["up", "down"]))]
    for _ in range(draw(st.integers(2, 20))):
        turn = draw(st.booleans())
        way = {"up": "down", "down": "up"}[approaches[-1]] if turn else approaches[-1]
        size = draw(st.integers(0 if turn else 1, 120)) / 20
        target = round(targets[-1] + (size if way == "up" else -size), 4)
        assume(low <= target <= high)
        targets.append(target)
        approaches.append(way)
    return run_of(kind, list(zip(targets, approaches, strict=True)))


@st.composite
def machines(draw):
    return machine_of(
        draw(st.sampled_from(sorted(ARRANGEMENTS))),
        draw(st.sampled_from([60.0, 180.0, 250.0, 300.25])),
        Controller(
            dwell_unit=draw(st.sampled_from([None, "seconds", "milliseconds"])),
            stop_waits=draw(st.sampled_from([None, True, False])),
            home=draw(st.sampled_from([None, "down", "up"])),
            begin=draw(st.sampled_from([(), ("M17",), ("M400 ; wait", "G28"), ("G20",)])),
            end=draw(st.sampled_from([(), ("M84",), ("G91", "G28 Z0")])),
        ),
    )


@given(st.data())
def test_the_axis_comes_to_every_told_height_from_the_told_side(data):
    machine = data.draw(machines())
    run = data.draw(moving_runs(machine.travel.height_mm))
    program = motion_program(machine, run)
    seen = seen_at_readings(program, machine)
    assert len(seen) == len(run.readings)
    for ((h, came, _, _), told), reading in zip(seen, run.readings, strict=True):
        assert h == pytest.approx(reading.target_mm, abs=1e-6)
        assert came == reading.approach
        assert (told.target_mm, told.approach) == (reading.target_mm, reading.approach)


@given(st.data())
def test_what_is_written_is_proved_safe_from_its_text_alone(data):
    machine = data.draw(machines())
    run = data.draw(moving_runs(machine.travel.height_mm))
    program = motion_program(machine, run)
    again = check_program(machine, program.text)
    assert again.safe
    assert again.fingerprint == fingerprint(machine)
    assert 0 <= again.lowest_mm <= again.highest_mm <= machine.travel.height_mm


@given(name=st.text(max_size=60), run_name=st.text(max_size=60))
def test_no_name_that_a_person_gives_becomes_a_command(name, run_name):
    machine = replace(machine_of(), name=name)
    run = replace(run_of(COARSE_STEPS, [(0, "down"), (1, "up"), (2, "up")]), name=run_name)
    program = motion_program(machine, run)
    plain = motion_program(machine_of(), run_of(COARSE_STEPS, [(0, "down"), (1, "up"), (2, "up")]))
    assert codes(program.text) == codes(plain.text)


def codes(text):
    return [line for line in text.split("\n") if line and not line.startswith(";")]


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize("home", ["down", "up"])
@pytest.mark.parametrize("waits", [True, False])
def test_every_test_that_could_come_next_has_its_motion(arrangement, home, waits):
    machine = machine_of(arrangement, controller=Controller(stop_waits=waits, home=home))
    runs = [setup.run for setup in candidates(machine)]
    for run, program in zip(runs, motion_programs(machine, runs), strict=True):
        assert len(program.readings) == len(run.readings)
        assert program.check.safe
        counted = program.check.stops if waits else program.check.waits
        assert counted == len(run.readings) + 1  # and the one at which the gauge is set


# histories


def test_a_run_comes_from_three_above_and_six_below():
    run = run_of(REVERSAL, [(20, "up"), (20.1, "up"), (20.1, "down")])
    waits = follow(motion_program(machine_of(), run).text, machine_of())
    assert waits[0][0] == 20  # the gauge is set where the first reading will be
    assert [w[2] for w in waits[1:]] == [[23, 14, 20], [20.1], [21.1, 20.1]]


def test_a_staircase_is_homed_from_eight_above_by_the_switch_itself():
    run = run_of(FINE_STEPS, [(0, "down"), (0.1, "up")])
    text = motion_program(machine_of(), run).text
    after = text.split("Set the gauge")[1]
    assert codes(after)[1:7] == ["M0", "G1 Z8 F180", "G91", "G28 Z0", "G90", "G1 Z0 F180"]


def test_an_axis_that_homes_up_is_not_sent_to_its_switch_over_a_gauge_that_stands():
    machine = machine_of(controller=replace(WAITS_AT_STOPS, home="up"))
    run = run_of(COARSE_STEPS, [(0, "down"), (1, "up")])
    waits = follow(motion_program(machine, run).text, machine)
    assert waits[0][2] == [250, 0]
    assert [w[2] for w in waits[1:]] == [[8, 0], [1]]


def test_homing_again_and_again_homes_again_and_again():
    run = run_of(REPEAT_HOME, [(0, "down")] * 4)
    text = motion_program(machine_of(), run).text
    assert codes(text).count("G28 Z0") == 1 + 4


def test_homing_again_with_a_switch_at_the_top_goes_there_and_says_so():
    machine = machine_of(controller=replace(WAITS_AT_STOPS, home="up"))
    run = run_of(REPEAT_HOME, [(0, "down")] * 3)
    program = motion_program(machine, run)
    assert [w[2] for w in follow(program.text, machine)[1:]] == [[250, 8, 0]] * 3
    assert program.highest_mm == 250
    assert any("switch" in remark for remark in program.remarks)


def test_homing_read_above_zero_comes_up_to_its_height():
    run = run_of(REPEAT_HOME, [(1, "up")] * 3)
    waits = follow(motion_program(machine_of(), run).text, machine_of())
    assert [w[2] for w in waits[2:]] == [[9, 0, 1]] * 2


def test_a_wider_overrun_is_made_where_more_is_lost():
    run = run_of(REVERSAL, [(20, "up"), (21, "up"), (21, "down")])
    waits = follow(motion_program(machine_of(), run, overrun_mm=2.5).text, machine_of())
    assert waits[-1][2] == [23.5, 21]


# the bed on three screws


def test_a_bed_that_is_told_to_rise_has_its_gap_made_smaller():
    machine = machine_of("three-screw-bed", 300.0)
    run = run_of(COARSE_STEPS, [(0, "down"), (1, "up"), (2, "up")], station="bed-left")
    told = [c for c in codes(motion_program(machine, run).text) if c.startswith("G1")]
    assert told[-2:] == ["G1 Z299 F180", "G1 Z298 F180"]


def test_a_bed_never_meets_the_nozzle():
    machine = machine_of("three-screw-bed", 300.0)
    run = run_of(REVERSAL, [(299.5, "up"), (299, "down"), (298, "down")], station="bed-left")
    with pytest.raises(InputError) as problem:
        motion_program(machine, run)
    assert "0 to 300 mm" in str(problem.value)


@given(st.floats(0, 300), st.sampled_from(sorted(ARRANGEMENTS)))
def test_the_axis_word_stays_within_the_travel(height, arrangement):
    assert -1e-4 <= axis_word_mm(machine_of(arrangement, 300.0), height) <= 300


# what little moves the others need


def test_hung_masses_are_read_without_a_move_between():
    rows = [(20, "up")] * 5
    run = run_of(DEAD_WEIGHT, rows)
    masses = (0.0, 0.5, 1.0, 0.5, 0.0)
    run = replace(
        run,
        readings=tuple(replace(r, mass_kg=m) for r, m in zip(run.readings, masses, strict=True)),
    )
    program = motion_program(machine_of(), run)
    assert [w[2] for w in follow(program.text, machine_of())[2:]] == [[]] * 4
    assert "Hang 0.5 kg now." in program.text
    assert HUNG_MASS.title in program.text


def test_a_mass_is_hung_at_a_wait_before_the_axis_moves_with_it():
    run = run_of(REVERSAL, [(20, "up"), (21, "up")])
    heavy = replace(run, readings=(run.readings[0], replace(run.readings[1], mass_kg=1.0)))
    after = motion_program(machine_of(), heavy).text.split("Hang 1 kg now.\n")[1]
    assert codes(after)[:3] == ["M0", "G1 Z21 F180", "M0"]


@pytest.mark.parametrize(("kind", "station"), [(GAUGE_CHECK, "block"), (HAND_TURN, "screw")])
def test_a_block_and_a_screw_turned_by_hand_are_not_moved(kind, station):
    run = run_of(kind, [(0, "up"), (1, "up"), (2, "up")], station=station)
    program = motion_program(machine_of(), run)
    assert set(codes(program.text)) == {"M0"}
    assert (program.lowest_mm, program.highest_mm) == (None, None)


def test_a_hand_at_the_screw_is_told_to_put_blocks_under_first():
    run = run_of(HAND_TURN, [(10, "up"), (20, "up")], station="screw")
    text = motion_program(machine_of(), run).text
    assert FALLING_GANTRY.title in text
    assert text.index("Put blocks under every end") < text.index("M0")


def test_nothing_moves_after_a_hand_turned_the_screw():
    machine = machine_of(controller=replace(WAITS_AT_STOPS, end=("G90", "G1 Z50 F100")))
    run = run_of(HAND_TURN, [(10, "up"), (20, "up")], station="screw")
    with pytest.raises(InputError):
        motion_program(machine, run)


def test_a_hold_waits_from_reading_to_reading_as_its_times_say():
    run = run_of(HOLD, [(20, "up")] * 3)
    timed = replace(run, readings=tuple(replace(r, time_s=120.0 * r.seq) for r in run.readings))
    text = motion_program(machine_of(), timed, wait="dwell").text
    last = text.split("Reading 3 of 3")[1]
    assert codes(last) == [codes(last)[0], "G4 P90000", "G4 P30000"]


# waits


def test_a_controller_that_waits_at_stops_gets_a_stop_for_each_reading():
    run = run_of(COARSE_STEPS, [(0, "down"), (1, "up"), (2, "up")])
    text = motion_program(machine_of(), run).text
    assert codes(text).count("M0") == 1 + 3
    assert "G4" not in " ".join(codes(text))


@pytest.mark.parametrize(("unit", "word"), [("seconds", "G4 P20"), ("milliseconds", "G4 P20000")])
def test_a_dwell_is_counted_as_the_controller_counts(unit, word):
    machine = machine_of(controller=Controller(dwell_unit=unit, stop_waits=False))
    run = run_of(COARSE_STEPS, [(0, "down"), (1, "up"), (2, "up")])
    assert codes(motion_program(machine, run, dwell_s=20).text).count(word) == 3


def test_an_unknown_controller_gets_dwells_and_a_word_about_it():
    machine = machine_of(controller=Controller())
    run = run_of(COARSE_STEPS, [(0, "down"), (1, "up"), (2, "up")])
    program = motion_program(machine, run)
    assert program.wait == "dwell"
    assert any("milliseconds" in remark for remark in program.remarks)
    assert motion_program(machine, run, wait="stop").wait == "stop"


def test_no_stop_is_written_for_a_controller_that_runs_through_it():
    machine = machine_of(controller=Controller(stop_waits=False))
    with pytest.raises(InputError):
        motion_program(machine, run_of(REVERSAL, [(20, "up"), (21, "up")]), wait="stop")


def test_a_sender_that_keeps_the_stops_may_have_them_on_any_controller():
    machine = machine_of(controller=Controller(stop_waits=False))
    run = run_of(REVERSAL, [(20, "up"), (21, "up")])
    program = motion_program(machine, run, wait="stop", sender_waits=True)
    assert codes(program.text).count("M0") == 1 + 2
    assert check_program(machine, program.text, sender_waits=True).safe
    assert not check_program(machine, program.text).safe


# the person's own lines


def test_own_lines_stand_as_given_first_and_last_and_are_marked():
    own = replace(WAITS_AT_STOPS, begin=("M17 ; hold", "G28"), end=("M400", "M84"))
    machine = machine_of(controller=own)
    text = motion_program(machine, run_of(REVERSAL, [(20, "up"), (21, "up")])).text
    assert codes(text)[:2] == ["M17 ; hold", "G28"]
    assert codes(text)[-2:] == ["M400", "M84"]
    assert text.count("own lines, from the machine file") == 2


@pytest.mark.parametrize(
    "line",
    [
        *("M104 S200", "M0109 S60", "M190 S60", "M106 S255", "M3 S1000", "HEAT_UP"),
        *("G29", "G92 Z0", "G1 Z20 F6000", "G1 X10 F100", "G28 Z5", "$H"),
        *("T1", "M84", "M569 P0 Z1", "M98 P1", "µ", "M17 ; ( here"),
    ],
)
def test_own_lines_that_heat_move_or_shift_are_not_let_through(line):
    machine = machine_of(controller=replace(WAITS_AT_STOPS, begin=(line,)))
    with pytest.raises(InputErrors) as problem:
        motion_program(machine, run_of(REVERSAL, [(20, "up"), (21, "up")]))
    assert "mend the machine file" in str(problem.value)


# what cannot be done is said


@pytest.mark.parametrize("height", [None, float("nan"), float("inf")])
def test_nothing_is_moved_within_a_guessed_travel(height):
    machine = machine_of(height_mm=height)
    with pytest.raises(InputError) as problem:
        motion_program(machine, run_of(REVERSAL, [(20, "up"), (21, "up")]))
    assert problem.value.place == "travel.height_mm"


@pytest.mark.parametrize("top", [248.0, 249.5, 251.0, float("nan"), float("inf")])
def test_a_run_that_needs_more_than_the_travel_is_refused(top):
    with pytest.raises(InputError):
        motion_program(machine_of(), run_of(REVERSAL, [(top, "up"), (top, "down")]))


def test_a_direction_that_its_moves_cannot_give_is_refused():
    with pytest.raises(InputError) as problem:
        motion_program(machine_of(), run_of(REVERSAL, [(0, "up"), (1, "up")]))
    assert "reading 1, approach" in problem.value.place  # people count them from one


@pytest.mark.parametrize("wrong", [{"feed_mm_per_min": 900.0}, {"dwell_s": float("nan")}])
def test_a_number_out_of_its_range_is_refused(wrong):
    with pytest.raises(InputError):
        motion_program(machine_of(), run_of(REVERSAL, [(20, "up"), (21, "up")]), **wrong)


def test_a_gauge_with_too_short_a_stroke_is_remarked():
    machine = machine_of(gauge=Gauge(range_mm=10.0))
    rows = [(10, "up"), (200, "up"), (200, "down"), (10, "down")]
    assert any(
        "stroke of 10 mm" in r for r in motion_program(machine, run_of(FULL_TRAVEL, rows)).remarks
    )


def test_the_head_says_for_which_machine_what_moves_and_what_can_hurt():
    machine = machine_of()
    text = motion_program(machine, run_of(REVERSAL, [(20, "up"), (21, "up")])).text
    head = text[: text.index("G21")]
    for words in (machine.name, fingerprint(machine), "14 to 23 mm", "Readings: 2", PINCH.title):
        assert words in head


# the fingerprint


@pytest.mark.parametrize(
    "other",
    [
        machine_of("two-screw"),
        machine_of(height_mm=249.0),
        machine_of(controller=replace(WAITS_AT_STOPS, home="up")),
        machine_of(controller=replace(WAITS_AT_STOPS, dwell_unit="seconds")),
        machine_of(controller=replace(WAITS_AT_STOPS, stop_waits=False)),
        machine_of(controller=replace(WAITS_AT_STOPS, begin=("M17",))),
        machine_of(controller=replace(WAITS_AT_STOPS, end=("M84",))),
    ],
)
def test_a_program_made_for_one_machine_is_refused_on_another(other):
    text = motion_program(machine_of(), run_of(REVERSAL, [(20, "up"), (21, "up")])).text
    assert check_program(machine_of(), text).safe
    assert "other-machine" in {one.id for one in check_program(other, text).findings}


def test_a_new_name_or_gauge_leaves_the_fingerprint_alone():
    machine = machine_of()
    renamed = replace(machine, name="Other", gauge=Gauge(resolution_mm=0.001))
    assert fingerprint(renamed) == fingerprint(machine)
