"""What lies between lines: exchanged cables, directions, shared drivers, currents."""

from dataclasses import replace

import pytest

from plumbrise.wiring import (
    Board,
    Bridged,
    Cable,
    Drive,
    Harness,
    Line,
    Meter,
    Motor,
    Reading,
    Verdict,
    judge,
)

STRAIGHT = ((1, 1), (2, 2), (3, 3), (4, 4))
READ = (
    Reading("board", (1, 2), ohm=2.9),
    Reading("board", (3, 4), ohm=2.9),
    Reading("board", (1, 3), is_open=True),
    Reading("board", (1, 0), is_open=True),
    Reading("board", (3, 0), is_open=True),
)
METER = Meter(leads_ohm=0.2, celsius=20)


def line(name, *, joins=STRAIGHT, sense="right-hand", amps=0.8, rated=1.2, coil=2.6, **rest):
    return Line(
        name,
        Board(phases=((1, 2), (3, 4)), driver_current_a=amps, sense=sense),
        Cable(joins=joins),
        Motor(4, ((1, 2), (3, 4)), coil, rated),
        rest.pop("measured", READ),
        **rest,
    )


def answer(*lines, **rest):
    return judge(Harness(tuple(lines), meter=METER, **rest))


def kinds(found):
    return [one.kind.id for one in found.findings]


def test_two_lines_in_order_are_a_go():
    assert answer(line("left"), line("right")).verdict is Verdict.GO


def test_one_line_that_is_not_proven_holds_back_the_other():
    found = answer(line("left"), line("right", measured=READ[:4]))
    assert found.verdict is Verdict.CANNOT_TELL
    assert found.next_reading.line == "right"
    assert found.next_reading.between == (3, 0)


# direction: swapping the wires of one coil reverses, of both restores, changing coils over reverses


@pytest.mark.parametrize(
    ("joins", "turns"),
    [
        (STRAIGHT, 1),
        (((1, 2), (2, 1), (3, 3), (4, 4)), -1),
        (((1, 2), (2, 1), (3, 4), (4, 3)), 1),
        (((1, 3), (2, 4), (3, 1), (4, 2)), -1),
        (((1, 4), (2, 3), (3, 1), (4, 2)), 1),
    ],
)
def test_a_motor_turns_by_the_sign_of_its_field(joins, turns):
    found = answer(line("left", joins=joins))
    assert ("reversed" in kinds(found)) == (turns == -1)
    assert found.verdict is Verdict.GO  # a meter sees no harm in it


def test_motors_of_one_axis_that_turn_against_each_other_are_a_no_go_with_one_swap():
    other = line("right", joins=((1, 2), (2, 1), (3, 3), (4, 4)))
    found = answer(line("left"), other)
    assert found.verdict is Verdict.NO_GO
    assert "against-each-other" in kinds(found)
    assert [(s.line, s.end, s.contacts) for s in found.swaps] == [("right", "board", (1, 2))]
    apart = answer(line("left", axis="x"), other)
    assert apart.verdict is Verdict.GO


def test_sockets_of_opposite_sense_want_opposite_joins():
    crossed = ((1, 2), (2, 1), (3, 3), (4, 4))
    assert answer(line("left"), line("right", sense="left-hand")).verdict is Verdict.NO_GO
    mended = answer(line("left"), line("right", sense="left-hand", joins=crossed))
    assert mended.verdict is Verdict.GO


# exchanged cables


def test_a_bridged_pair_that_brakes_the_other_motor_shows_the_exchange():
    found = answer(
        line("left", bridged=(Bridged((1, 2), "right"),)),
        line("right", bridged=(Bridged((1, 2), "left"),)),
    )
    assert found.verdict is Verdict.NO_GO
    assert kinds(found).count("exchanged") == 2


def test_a_cable_that_was_followed_to_the_other_motor_is_exchanged():
    told = replace(line("left"), cable=Cable(joins=STRAIGHT, to="right"))
    found = answer(told, line("right"))
    assert found.verdict is Verdict.NO_GO
    assert "exchanged" in kinds(found)


def test_coils_that_read_as_those_of_the_other_motor_are_named_so():
    other = line("extruder", coil=6.0, measured=())
    as_other = tuple(replace(r, ohm=6.3) if r.ohm else r for r in READ)
    found = answer(line("left", measured=as_other), other)
    assert found.verdict is Verdict.NO_GO
    assert "exchanged" in kinds(found)


def test_an_exchange_that_would_overheat_a_motor_has_to_be_ruled_out_first():
    weak = line("right", amps=0.4, rated=0.5)
    found = answer(line("left"), weak)
    assert found.verdict is Verdict.CANNOT_TELL
    assert (found.next_reading.way, found.next_reading.line) == ("bridge", "left")
    own = answer(line("left", bridged=(Bridged((1, 2), "left"),)), weak)
    assert own.verdict is Verdict.GO


def test_a_bridged_pair_that_brakes_nothing_is_no_coil():
    found = answer(line("left", bridged=(Bridged((1, 2), ""),)))
    assert found.verdict is Verdict.NO_GO


# currents


def test_a_driver_above_the_rating_is_a_no_go():
    found = answer(line("left", amps=1.3))
    assert found.verdict is Verdict.NO_GO
    assert "over-current" in kinds(found)


def test_a_current_that_nobody_gave_is_named_and_left_to_the_gates():
    found = answer(line("left", amps=None))
    assert found.verdict is Verdict.GO
    assert "current-unknown" in kinds(found)


def test_motors_in_parallel_share_the_current_by_their_resistance():
    """Current divider: 1/2.0 against 1/3.0 gives 0.6 and 0.4."""
    low = tuple(replace(r, ohm=2.3) if r.ohm else r for r in READ)
    high = tuple(replace(r, ohm=3.3) if r.ohm else r for r in READ)
    found = answer(
        line("left", amps=1.0, coil=2.0, measured=low),
        line("right", amps=1.0, coil=3.0, measured=high),
        drive=Drive("parallel", "board"),
    )
    said = {f.line: f.detail for f in found.findings if f.kind.id == "shared-driver"}
    assert "0.60 of 1.00 A" in said["left"]
    assert "0.40 of 1.00 A" in said["right"]


def _read(ohm):
    return tuple(replace(r, ohm=ohm) if r.ohm else r for r in READ)


def test_coils_that_no_data_sheet_names_share_as_they_were_read():
    """Read 2.3 and 6.2 Ω with leads of 0.2: 6.0 of 8.1 parts, 1.19 of 1.6 A, where equal parts
    would have been 0.80 A and under the rating."""
    left, right = (
        line(name, amps=1.6, rated=1.0, coil=None, measured=_read(ohm))
        for name, ohm in (("left", 2.3), ("right", 6.2))
    )
    found = answer(left, right, drive=Drive("parallel", "board"))
    assert [f.line for f in found.findings if f.kind.id == "over-current"] == ["left"]
    assert found.verdict is Verdict.NO_GO


def test_a_share_that_hangs_on_coils_of_which_nothing_is_known_is_no_go_for_neither():
    """All that is proven of the right line is proven part by part, at motor and cable; its coils
    are then not known at the driver. What is set is too much for one motor alone."""
    wires = tuple(Reading("cable", (i, i), ohm=0.3) for i in (1, 2, 3, 4))
    apart = tuple(Reading("cable", pair, is_open=True) for pair in ((1, 2), (3, 4), (1, 3)))
    coils = (Reading("motor", (1, 2), ohm=2.8), Reading("motor", (3, 4), ohm=2.8))
    parts = (*wires, *apart, *coils, *(r for r in READ if r.is_open))
    right = line("right", amps=1.6, rated=1.0, coil=None, measured=parts)
    drive = Drive("parallel", "board")
    found = answer(line("left", amps=1.6, rated=1.0), right, drive=drive)
    assert found.verdict is Verdict.CANNOT_TELL
    assert (found.next_reading.line, found.next_reading.between) == ("right", (1, 2))
    settled = replace(right, measured=(*parts, *READ[:2]))
    assert answer(line("left", amps=1.6, rated=1.0), settled, drive=drive).verdict is Verdict.GO


def test_a_go_says_how_wide_a_coil_was_let_pass_that_nobody_described():
    found = answer(line("left", coil=None))
    assert found.verdict is Verdict.GO
    assert any("nobody said how much" in said for said in found.on_word)


def test_a_shared_driver_is_set_to_one_current_whichever_line_names_it():
    weak = line("right", amps=None, rated=0.3)
    found = answer(line("left"), weak, drive=Drive("parallel", "board"))
    assert [f.line for f in found.findings if f.kind.id == "over-current"] == ["right"]


@pytest.mark.parametrize(("told", "ohm"), [("parallel", 1.1), ("series", 8.3)])
def test_three_motors_on_one_driver_read_a_third_or_three_times_of_one(told, ohm):
    three = [line(name) for name in ("left", "right", "back")]
    found = answer(*three, drive=Drive(told, "board", (Reading("board", (1, 2), ohm=ohm),)))
    assert "drive-not-as-told" not in kinds(found)
    said = [f.detail for f in found.findings if f.kind.id == "shared-driver"]
    assert all("33%" in one if told == "parallel" else "a third" in one for one in said)


def test_motors_in_series_get_the_whole_current_each():
    found = answer(line("left"), line("right"), drive=Drive("series", "board"))
    said = [f.detail for f in found.findings if f.kind.id == "shared-driver"]
    assert all("0.80 of 0.80 A" in one for one in said)


@pytest.mark.parametrize(("told", "ohm"), [("parallel", 1.55), ("series", 5.6), ("separate", 2.9)])
def test_the_reading_at_the_shared_plug_tells_how_the_motors_are_joined(told, ohm):
    shared = (Reading("board", (1, 2), ohm=ohm),)
    for motors in ("parallel", "series", "separate"):
        found = answer(line("left"), line("right"), drive=Drive(motors, "board", shared))
        assert ("drive-not-as-told" in kinds(found)) == (motors != told)
        assert (found.verdict is Verdict.GO) == (motors == told)


def test_an_adaptor_has_to_be_proven_like_a_cable():
    """Each cable right by itself, and an adaptor that crosses two wires of one branch: the driver
    sees the coils split."""
    lines = line("left"), line("right")
    unread = answer(*lines, drive=Drive("parallel", "adaptor"))
    assert unread.verdict is Verdict.CANNOT_TELL
    assert unread.next_reading.line == "driver's plug"
    right = tuple(replace(r, ohm=1.5) if r.ohm else r for r in READ)
    assert answer(*lines, drive=Drive("parallel", "adaptor", right)).verdict is Verdict.GO
    crossed = (*right[:2], Reading("board", (1, 3), ohm=2.0), *right[3:])
    assert answer(*lines, drive=Drive("parallel", None, crossed)).verdict is Verdict.NO_GO
    assert answer(*lines, drive=Drive("parallel", None, right[:4])).verdict is Verdict.CANNOT_TELL


def test_a_long_thin_wire_is_named_with_its_drop():
    thin = replace(line("left"), cable=Cable(joins=STRAIGHT, length_m=1.0, wire_mm2=0.05))
    found = answer(thin)
    assert {"wire-drop", "thin-wire"} <= set(kinds(found))
