"""Programs that must not run, each with what is said of it, and programs that may."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.machine import ARRANGEMENTS, blank
from plumbrise.machine.description import Controller, Travel
from plumbrise.measure.fingerprint import fingerprint
from plumbrise.measure.program_check import (
    MOST_CHARACTERS,
    MOST_FINDINGS,
    MOST_LINES,
    check_program,
)

MACHINE = replace(
    blank("one-screw"),
    travel=Travel(height_mm=250.0),
    controller=Controller(dwell_unit="milliseconds", stop_waits=True, home="down"),
)
HEAD = "G21\nG90\nG28\n"
SURE = "G21\nG90\nG28\nG1 Z10 F120\n"


def refused(text, machine=MACHINE):
    return {one.id for one in check_program(machine, text).findings if one.refuses}


HOSTILE = {
    # into the bed, out of the travel
    "below the bed": ("below-bed", SURE + "G1 Z-0.01\n"),
    "below the bed by small steps": ("below-bed", SURE + "G91\n" + "G1 Z-3\n" * 4),
    "below the bed in inches": ("below-bed", SURE + "G20\nG1 Z-1 F4\n"),
    "below the bed at the rapid": ("below-bed", SURE + "G0 Z-20\n"),
    "beyond the top": ("above-travel", SURE + "G1 Z250.001\n"),
    "beyond the top in inches": ("above-travel", "G20\nG90\nG28\nG1 Z9.85 F4\n"),
    "beyond the top by small steps": ("above-travel", SURE + "G91\n" + "G1 Z100\n" * 3),
    "a mode forgotten": ("above-travel", SURE + "G1 Z200\nG91\nG28 Z0\nG1 Z200\nG1 Z200\n"),
    # nobody knows where from, how far or how fast
    "never homed": ("not-homed", "G21\nG90\nG1 Z10 F120\n"),
    "homed sideways only": ("not-homed", "G21\nG91\nG28 X0 Y0\nG90\nG1 Z10 F120\n"),
    "no unit": ("unit-unknown", "G90\nG28\nG1 Z5 F120\n"),
    "no unit for a feed": ("unit-unknown", "G90\nG28\nG1 F120\n"),
    "no distance mode": ("distance-unknown", "G21\nG28\nG1 Z5 F120\n"),
    "no feed": ("feed-unknown", HEAD + "G1 Z5\n"),
    "a feed from before the unit changed": ("feed-unknown", SURE + "G20\nG1 Z1\n"),
    "homing by way of a point": ("home-through", "G21\nG91\nG28 Z5\n"),
    "homing by way of the bed": ("home-through", "G21\nG90\nG28 Z0\n"),
    # too fast, too slow, too long
    "a fast feed": ("feed", HEAD + "G1 Z5 F300.1\n"),
    "a fast feed in inches": ("feed", "G20\nG90\nG28\nG1 Z0.2 F12\n"),
    "no feed at all": ("feed", HEAD + "G1 Z5 F0\n"),
    "a feed backwards": ("feed", HEAD + "G1 Z5 F-100\n"),
    "a feed that never ends": ("too-long", HEAD + "G1 Z200 F0.1\n"),
    "waits without end": ("too-long", SURE + "G4 P90000\n" * 400),
    "a wait backwards": ("wait-length", SURE + "G4 P-1\n"),
    "a wait of nothing said": ("wait-length", SURE + "G4\n"),
    "a wait by another letter": ("odd-letter", SURE + "G4 S10\n"),
    # heat and everything that is no gauge set-up
    "heat the nozzle": ("heat", SURE + "M104 S200\n"),
    "heat the nozzle and wait": ("heat", SURE + "M109 S200\n"),
    "heat the bed": ("heat", SURE + "M140 S60\n"),
    "heat the bed and wait": ("heat", SURE + "M190 S60\n"),
    "heat the chamber": ("heat", SURE + "M141 S50\n"),
    "heat by tuning": ("heat", SURE + "M303 E0\n"),
    "heat even to nothing": ("heat", SURE + "M104 S0\n"),
    "heat in the stop's line": ("heat", SURE + "M0 M104\n"),
    "fan": ("fan", SURE + "M106 S255\n"),
    "spindle": ("spindle", SURE + "M3 S1000\n"),
    "spindle, two digits": ("spindle", SURE + "M03 S1000\n"),
    "coolant": ("coolant", SURE + "M8\n"),
    "tool": ("tool", SURE + "T1\n"),
    "tool change": ("tool", SURE + "M6\n"),
    "tool in a move": ("tool", SURE + "G1 Z5 T1\n"),
    "arc": ("arc", SURE + "G2 X5 Y5 I1 J1\n"),
    "curve": ("arc", SURE + "G5 X5 Y5\n"),
    "probing": ("probe", SURE + "G38.2 Z0 F100\n"),
    "levelling": ("probe", SURE + "G29\n"),
    "drilling cycle": ("probe", SURE + "G81 Z0 R5\n"),
    "second home": ("probe", SURE + "G30\n"),
    "zero shifted": ("zero-shift", SURE + "G92 Z100\n"),
    "zero shifted by table": ("zero-shift", SURE + "G10 L2 P1 Z10\n"),
    "home shifted": ("zero-shift", SURE + "G28.1\n"),
    "another zero": ("zero-shift", SURE + "G55\n"),
    "feed by inverse time": ("feed-mode", SURE + "G93\n"),
    "feed override": ("feed-mode", SURE + "M220 S999\n"),
    "steps per mm": ("setting", SURE + "M92 Z800\n"),
    "limits off": ("setting", SURE + "M211 S0\n"),
    "setting by dollar": ("setting", SURE + "$130=9999\n"),
    "motors off": ("motors-off", SURE + "M84\n"),
    "motors off, other word": ("motors-off", SURE + "M18\n"),
    "power": ("power", SURE + "M81\n"),
    "files": ("file", SURE + "M23 OTHER\n"),
    "end of program": ("program-end", SURE + "M2\n"),
    "sideways": ("sideways", SURE + "G1 X10\n"),
    "sideways and up": ("sideways", SURE + "G1 Y10 Z20\n"),
    "sideways by homing": ("sideways", SURE + "G28\n"),
    "filament": ("odd-letter", SURE + "G1 Z10 E5\n"),
    "a turning axis": ("odd-letter", SURE + "G1 A90\n"),
    "unknown word": ("unknown-word", SURE + "M777\n"),
    "home by another word": ("unknown-word", SURE + "G27\n"),
    # macros, variables, marks
    "variable": ("variable", SURE + "#1=300\n"),
    "variable in a word": ("variable", SURE + "G1 Z#1\n"),
    "formula": ("variable", SURE + "G1 Z[10*30]\n"),
    "formula in braces": ("variable", SURE + "G1 Z{move}\n"),
    "subroutine": ("macro", SURE + "O100 sub\n"),
    "macro call": ("macro", SURE + "M98 P100\n"),
    "macro call with G": ("macro", SURE + "G65 P9000\n"),
    "macro by name": ("macro", SURE + "PRINT_START\n"),
    "line number": ("line-number", SURE + "N5 G1 Z20\n"),
    "checksum": ("checksum", SURE + "G1 Z20*71\n"),
    "line number behind": ("line-number", SURE + "G1 Z20 N5\n"),
    "skip mark": ("skip-mark", SURE + "/G1 Z20\n"),
    "tape mark": ("tape-mark", "%\n" + SURE),
    "host command": ("host-command", SURE + "@run other\n"),
    # one thing to the eye, another to the controller
    "look-alike letter": ("not-ascii", SURE + "G1 \u0396-5\n"),
    "look-alike digit": ("not-ascii", SURE + "G1 Z\u0661\n"),
    "look-alike minus": ("not-ascii", SURE + "G1 Z\u22125\n"),
    "a blank that is none": ("not-ascii", SURE + "G1\u00a0Z20\n"),
    "nothing that is there": ("not-ascii", SURE + "G1 Z2\u200b0\n"),
    "text turned round": ("not-ascii", SURE + "; \u202eG1 Z-5\n"),
    "a line end of another script": ("not-ascii", SURE + "; up\u2028M104 S200\n"),
    "a mark at the beginning": ("not-ascii", "\ufeff" + SURE),
    "a line end inside a comment": ("control-character", SURE + "; up\rM104 S200\n"),
    "a page end inside a comment": ("control-character", SURE + "; up\x0cM104 S200\n"),
    "a null": ("control-character", SURE + "; \x00M104\n"),
    "a reset in a comment": ("control-character", SURE + "; \x18\n"),
    "a word erased": ("control-character", SURE + "G1 Z-5\x08\x08 10\n"),
    "go on, in a comment": ("acts-at-once", SURE + "M0\n; wait ~ here\n"),
    "hold, in a comment": ("acts-at-once", SURE + "; careful!\n"),
    "small letters": ("small-letter", "G21\ng91\nG90\nG28\n"),
    "small axis letter": ("small-letter", SURE + "G1 z20\n"),
    "a blank in a number": ("no-number", SURE + "G1 Z 20\n"),
    "two numbers for one": ("bad-number", SURE + "G1 Z2 0\n"),
    "words run together": ("run-together", SURE + "G1Z20\n"),
    "a number in sixteens": ("bad-number", SURE + "G1 Z0X1F\n"),
    "a number in sixteens that may be two words": ("run-together", SURE + "G1 Z0X10\n"),
    "two commands": ("two-commands", SURE + "G90 G1 Z20\n"),
    "modes in one line": ("two-commands", "G21 G91\nG28\n"),
    "no command": ("no-command", SURE + "Z20\n"),
    "a word twice": ("word-twice", SURE + "G1 Z20 Z300\n"),
    "a stop that goes on by itself": ("word-not-here", SURE + "M0 P1\n"),
    # numbers that are none
    "not a number": ("bad-number", SURE + "G1 ZNAN\n"),
    "endless": ("bad-number", SURE + "G1 ZINF\n"),
    "exponent": ("run-together", SURE + "G1 Z1E3\n"),
    "decimal comma": ("bad-number", SURE + "G1 Z1,5\n"),
    "two points": ("bad-number", SURE + "G1 Z1.2.3\n"),
    "two signs": ("bad-number", SURE + "G1 Z--5\n"),
    "huge": ("huge-number", SURE + "G1 Z4294967306\n"),
    "huge wait": ("huge-number", SURE + "G4 P4294967295\n"),
    "too fine": ("huge-number", SURE + "G1 Z1.00000000000000001\n"),
    # comments that hide or act
    "a bracket left open": ("bracket", SURE + "G1 Z20 (up\nG1 Z-5\n"),
    "a bracket from nowhere": ("bracket", SURE + "G1 Z20 )\n"),
    "brackets in brackets": ("bracket", SURE + "(up (a) M104 S200)\n"),
    "a semicolon in brackets": ("bracket", SURE + "(up ; ) G1 Z-5\n"),
    "a bracket left open behind a semicolon": ("bracket", SURE + "; up (\nG1 Z5\n"),
    "a command in brackets": ("bracket", SURE + "(M104 S200)\n"),
    "a command behind a comment": ("after-comment", SURE + "(up) G1 Z20\n"),
    "a comment that is obeyed": ("active-comment", SURE + "(debug, reset)\n"),
    "a comment that writes a file": ("active-comment", SURE + "(logopen, a)\n"),
    "a comment that runs a program": ("active-comment", SURE + ";py,move()\n"),
    # the whole
    "a long line": ("long-line", SURE + "; " + "x" * 79 + "\n"),
    "a command far behind": ("long-line", SURE + "G1 Z20" + " " * 90 + "M104 S200\n"),
    "too many lines": ("too-large", SURE + "G1 Z5\n" * (MOST_LINES + 1)),
    "too many characters": ("too-large", SURE + ";" + "x" * MOST_CHARACTERS),
    "nothing": ("empty", ""),
    "only comments": ("empty", "; nothing here\n"),
    "for another machine": ("other-machine", "; Made for machine 0123456789ab\n" + SURE),
    "for two machines": (
        "other-machine",
        f"; Made for machine {fingerprint(MACHINE)}\n; Made for machine 0123456789ab\n" + SURE,
    ),
}


@pytest.mark.parametrize("case", HOSTILE)
def test_a_hostile_program_is_refused_by_name(case):
    finding, text = HOSTILE[case]
    assert finding in refused(text)


def test_there_are_many_ways_to_be_hostile():
    assert len(HOSTILE) >= 100


@pytest.mark.parametrize("case", HOSTILE)
def test_what_is_said_names_the_place_the_word_what_is_allowed_and_what_to_do(case):
    _, text = HOSTILE[case]
    lines = text.count("\n") + 1
    for one in check_program(MACHINE, text).findings:
        assert 0 <= one.line <= lines
        assert one.word
        assert one.what
        assert one.allowed
        assert one.remedy.endswith(".")
        assert one.word in str(one)


# what may run

SAFE = {
    "the least": SURE,
    "inches": "G20\nG90\nG28\nG1 Z9.84 F11.8\n",
    "two digits": "G21\nG90\nG28\nG01 Z10 F120\nG04 P1000\nM00\n",
    "carriage returns": SURE.replace("\n", "\r\n"),
    "no line end at the end": SURE.rstrip("\n"),
    "comments": "; a\n(b)\n" + SURE + "G1 Z5 (down)\nG1 Z6 ; up\n; pairs (like this) may stand\n",
    "steps from where it stands": SURE + "G91\nG1 Z0.1\nG1 Z-0.1\n",
    "to the very ends": SURE + "G1 Z250\nG1 Z0\n",
    "the rapid": SURE + "G0 Z20\n",
    "homing in one axis": "G21\nG91\nG28 Z0\nG90\nG1 Z5 F100\n",
    "a stop and a wait": SURE + "M0\nG4 P500\n",
    "a point without digits before or after": SURE + "G1 Z.5\nG1 Z5.\nG1 Z+5\n",
    "its own machine": f"; Made for machine {fingerprint(MACHINE)}\n" + SURE,
    "nothing but stops": "M0\nM0\n",
}


@pytest.mark.parametrize("case", SAFE)
def test_a_plain_program_may_run(case):
    found = check_program(MACHINE, SAFE[case])
    assert [str(one) for one in found.findings if one.refuses] == []
    assert found.safe


def test_inches_are_turned_into_millimetres():
    found = check_program(MACHINE, "G20\nG90\nG28\nG1 Z2 F10\n")
    assert found.highest_mm == pytest.approx(50.8)
    assert found.moves[-1].feed_mm_per_min == pytest.approx(254)


def test_time_is_told_from_feeds_and_waits():
    before = check_program(MACHINE, SURE).minutes
    longer = check_program(MACHINE, SURE + "G1 Z130\nG4 P30000\n").minutes
    assert longer - before == pytest.approx(120 / 120 + 0.5)


def test_steps_from_where_it_stands_add_up_without_rounding():
    assert check_program(MACHINE, SURE + "G91\n" + "G1 Z0.1\n" * 2400).highest_mm == 250
    assert check_program(MACHINE, SURE + "G91\n" + "G1 Z0.1\n" * 2400).safe
    assert refused(SURE + "G91\n" + "G1 Z0.1\n" * 2401) == {"above-travel"}


@pytest.mark.parametrize(
    ("arrangement", "home", "steps", "finding"),
    [
        ("one-screw", "down", "G1 Z-1", "below-bed"),
        ("one-screw", "up", "G1 Z1", "above-travel"),
        ("three-screw-bed", "up", "G1 Z-1", "below-bed"),
        ("three-screw-bed", "down", "G1 Z1", "above-travel"),
    ],
)
def test_homing_leaves_the_axis_at_the_end_where_its_switch_is(arrangement, home, steps, finding):
    machine = replace(
        MACHINE, arrangement=ARRANGEMENTS[arrangement], controller=Controller(home=home)
    )
    assert finding in refused(f"G21\nG28\nG91\n{steps} F100\n", machine)


def test_a_step_from_nobody_knows_where_is_refused():
    machine = replace(MACHINE, controller=Controller())
    assert "position-unknown" in refused("G21\nG28\nG91\nG1 Z1 F100\n", machine)
    assert refused("G21\nG28\nG90\nG1 Z10 F100\nG91\nG1 Z1\n", machine) == set()


@pytest.mark.parametrize("height", [None, float("nan"), float("inf")])
def test_nothing_is_proved_within_a_travel_that_nobody_gave(height):
    machine = replace(MACHINE, travel=Travel(height_mm=height))
    assert "no-travel" in refused(SURE, machine)
    assert refused("M0\n", machine) == set()


def test_a_stop_on_a_controller_that_runs_through_it_is_refused():
    machine = replace(MACHINE, controller=Controller(stop_waits=False))
    assert "stop-does-not-wait" in refused(SURE + "M0\n", machine)


def test_what_the_machine_file_leaves_open_is_said_once_and_refuses_nothing():
    machine = replace(MACHINE, controller=Controller())
    found = check_program(machine, SURE + "M0\nM0\nG4 P1\nG4 P1\n")
    assert found.safe
    said = [one.id for one in found.findings]
    assert len(said) == len(set(said))
    assert {"home-unknown", "stop-unknown", "dwell-unit-unknown", "no-fingerprint"} <= set(said)


def test_a_wait_is_counted_in_the_controllers_unit():
    machine = replace(MACHINE, controller=replace(MACHINE.controller, dwell_unit="seconds"))
    assert "wait-too-long" in refused(SURE + "G4 P15000\n", machine)
    assert "wait-too-long" not in refused(SURE + "G4 P15000\n")


# own lines

OWN = replace(
    MACHINE, controller=replace(MACHINE.controller, begin=("M17", "M555 P1"), end=("M84",))
)


def test_own_lines_pass_only_where_the_machine_file_has_them():
    good = "M17\nM555 P1\n" + SURE + "M84\n"
    assert refused(good, OWN) == set()
    assert "unknown-word" in refused(good, MACHINE)
    assert "motors-off" in refused("M17\nM555 P1\n" + SURE + "M84\nG1 Z20\n", OWN)
    assert "unknown-word" in refused(SURE + "M555 P1\nM84\n", OWN)
    assert "unknown-word" in refused("M17\nM555 P2\n" + SURE + "M84\n", OWN)


def test_an_own_line_that_nobody_knows_is_said_to_be_unproved():
    found = check_program(OWN, "M17\nM555 P1\n" + SURE + "M84\n")
    assert {"own-line", "motors-off"} <= {one.id for one in found.findings}


# any text at all


@given(st.text(max_size=300))
def test_any_text_gets_an_answer(text):
    check_program(MACHINE, text)


WORDS = ["G0", "G1", "G4", "G20", "G21", "G28", "G90", "G91", "M0", "Z", "F", "X", "P", "-", ".5"]


@given(st.lists(st.sampled_from([*WORDS, "5", "300", " ", " ", "\n", "\n", ";", "(", ")"])))
def test_what_is_let_through_never_leaves_the_travel(pieces):
    found = check_program(MACHINE, "".join(pieces))
    if found.safe:
        assert all(0 <= move.to_mm <= 250 for move in found.moves)
        assert all(m.feed_mm_per_min is None or m.feed_mm_per_min <= 300 for m in found.moves)


HEADS = ([], ["G21", "G90", "G28"], ["G20", "G90", "G28"], ["G21", "G28", "G91"])
MOVES = st.builds(
    "{} Z{} F{}".format,
    st.sampled_from(["G0", "G1"]),
    st.integers(0, 9) | st.integers(-20, 270),
    st.integers(1, 11) | st.integers(1, 310),
)
OTHERS = st.sampled_from(["G20", "G21", "G90", "G91", "G28", "M0", "G4 P10"])


@given(st.builds(list.__add__, st.sampled_from(HEADS), st.lists(MOVES | OTHERS, max_size=6)))
def test_what_is_let_through_stays_in_the_travel_by_another_reckoning(lines):
    found = check_program(MACHINE, "\n".join(lines))
    if not found.safe:
        return
    at, scale, relative = None, None, None
    for line in lines:
        code, *words = line.split()
        if code in ("G20", "G21"):
            scale = 25.4 if code == "G20" else 1.0
        elif code in ("G90", "G91"):
            relative = code == "G91"
        elif code == "G28":
            at = 0.0
        elif code in ("G0", "G1"):
            assert None not in (at, scale, relative)
            told = float(words[0][1:]) * scale
            at = at + told if relative else told
            assert -1e-9 <= at <= 250 + 1e-9
            assert float(words[1][1:]) * scale <= 300 + 1e-9


def test_a_program_full_of_faults_is_cut_short():
    found = check_program(MACHINE, SURE + "M104 S200\n" * 500)
    assert len(found.findings) == MOST_FINDINGS
    assert found.findings[-1].id == "more"
    assert not found.safe
