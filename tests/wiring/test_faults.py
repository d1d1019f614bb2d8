"""Each fault is found by its name, at its place."""

from dataclasses import replace

import pytest

from plumbrise.wiring import Board, Cable, Harness, Line, Meter, Motor, Reading, Verdict, judge

SOUND = {
    (1, 2): 2.9, (3, 4): 2.9,
    (1, 3): None, (1, 4): None, (2, 3): None, (2, 4): None,
    (1, 0): None, (2, 0): None, (3, 0): None, (4, 0): None,
}  # fmt: skip


def readings(changed, at="board"):
    return tuple(
        Reading(at, pair, ohm=ohm, is_open=ohm is None) for pair, ohm in (SOUND | changed).items()
    )


def answer(measured, meter=None, **motor):
    line = Line(
        "left",
        Board(phases=((1, 2), (3, 4))),
        Cable(),
        Motor(coil_ohm=motor.pop("coil_ohm", 2.6), **motor),
        measured,
    )
    return judge(Harness((line,), meter=meter or Meter(0.2, 20.0)))


FAULTS = {
    "pair-split": ({(1, 2): None, (3, 4): None, (1, 3): 2.9, (2, 4): 2.9}, [(1, 3), (2, 4)]),
    "contact-open": (
        {(1, 2): None, (3, 4): 2.9, (1, 3): None, (2, 3): 3.0, (2, 4): 3.0}, [(1,)],
    ),
    "coil-open": ({(3, 4): None}, [(3, 4)]),
    "coils-joined": (
        {(1, 3): 0.4, (1, 4): 3.0, (2, 3): 3.0, (2, 4): 5.6}, [(1, 2, 3, 4)],
    ),
    "frame-joined": ({(1, 0): 3.0, (2, 0): 0.4}, [(1,), (2,)]),
    "coil-resistance": ({(3, 4): 1.2}, [(3, 4)]),
    "coils-unlike": ({(3, 4): 3.6}, [(1, 2, 3, 4)]),
}  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_found_by_name_and_place(fault):
    changed, contacts = FAULTS[fault]
    found = answer(readings(changed), coil_ohm=None if fault == "coils-unlike" else 2.6)
    assert found.verdict is Verdict.NO_GO
    own = [f for f in found.findings if f.kind.id == fault]
    assert [f.contacts for f in own] == contacts
    assert {f.known for f in own} == {"measured"}


def test_a_contact_that_comes_and_goes_is_a_no_go():
    wiggled = Reading("board", (1, 2), is_open=True)
    found = answer((*readings({}), wiggled))
    assert found.verdict is Verdict.NO_GO
    assert "comes-and-goes" in [f.kind.id for f in found.findings]


def test_readings_that_cannot_all_be_are_named_and_one_is_asked_again():
    found = answer(readings({(1, 3): 2.9}))
    assert found.verdict is not Verdict.GO
    assert found.next_reading is None or found.next_reading.way == "read"


def test_a_warm_motor_is_judged_by_its_warmth():
    """60 °C adds 16 %: 3.3 Ω is right for a coil of 2.6 Ω that is warm, and too much when cold
    through a short heavy cable."""
    line = Line(
        "left",
        Board(phases=((1, 2), (3, 4))),
        Cable(length_m=0.1, wire_mm2=0.5),
        Motor(coil_ohm=2.6),
        readings({(1, 2): 3.75, (3, 4): 3.75}),
    )
    assert judge(Harness((line,), meter=Meter(0.2, 60.0))).verdict is Verdict.GO
    assert judge(Harness((line,), meter=Meter(0.2, 5.0))).verdict is Verdict.NO_GO


def test_leads_that_nobody_measured_hold_back_a_coil_of_few_ohms():
    low = readings({(1, 2): 1.2, (3, 4): 1.2})
    found = answer(low, Meter(), coil_ohm=1.0)
    assert found.verdict is Verdict.CANNOT_TELL
    assert found.next_reading.way == "leads"
    assert answer(low, Meter(leads_ohm=0.2), coil_ohm=1.0).verdict is Verdict.GO


def test_a_fault_at_the_motor_alone_is_placed_there():
    at_motor = readings({(1, 0): 5003.0, (2, 0): 5000.0}, at="motor")
    found = answer(at_motor)
    assert found.verdict is Verdict.NO_GO
    placed = [(f.kind.id, f.at, f.contacts) for f in found.findings]
    assert ("frame-joined", "motor", (2,)) in placed


def test_a_wire_with_a_bad_contact_is_found_in_the_cable():
    found = answer((Reading("cable", (1, 1), ohm=4.0),))
    assert found.verdict is Verdict.NO_GO
    refusing = [(f.kind.id, f.contacts) for f in found.findings if f.kind.refuses]
    assert refusing == [("wire-resistance", (1,))]


def test_a_wire_that_reaches_no_contact_is_open_in_the_cable():
    found = answer(tuple(Reading("cable", (2, m), is_open=True) for m in (1, 2, 3, 4)))
    assert found.verdict is Verdict.NO_GO
    assert ("contact-open", "cable", (2,)) in [
        (f.kind.id, f.at, f.contacts) for f in found.findings
    ]


def test_a_description_that_the_readings_contradict_is_no_go_and_no_proof():
    """Told crossed, read in order: one of the two is wrong, and nobody knows which."""
    line = Line(
        "left",
        Board(phases=((1, 2), (3, 4))),
        Cable(joins=((1, 1), (2, 3), (3, 2), (4, 4))),
        Motor(coils=((1, 2), (3, 4)), coil_ohm=2.6),
        readings({}),
    )
    found = judge(Harness((line,), meter=Meter(0.2, 20.0)))
    assert found.verdict is Verdict.CANNOT_TELL
    assert [f.kind.id for f in found.findings if f.kind.refuses] == ["not-as-told"]


def test_a_tapped_motor_read_at_its_plug_gives_half_the_ohms_to_the_tap():
    """R, R/2 and R/2 on the three pairs of a coil with a tap in its middle: series resistors."""
    at_motor = (
        Reading("motor", (1, 3), ohm=2.8),
        Reading("motor", (1, 2), ohm=1.5),
        Reading("motor", (2, 3), ohm=1.5),
        Reading("motor", (4, 6), ohm=2.8),
    )
    found = answer(at_motor, contacts=6, coils=((1, 2, 3), (4, 5, 6)))
    assert found.verdict is Verdict.CANNOT_TELL
    wrong = (*at_motor[:2], Reading("motor", (2, 3), ohm=2.8), at_motor[3])
    assert answer(wrong, contacts=6, coils=((1, 2, 3), (4, 5, 6))).verdict is not Verdict.GO


def test_the_mended_harness_of_each_crossing_is_a_go():
    crossed = readings({(1, 2): None, (3, 4): None, (1, 4): 2.9, (2, 3): 2.9})
    found = answer(crossed)
    (swap,) = found.swaps
    change = dict(zip(swap.contacts, swap.contacts[::-1], strict=True))
    mended = tuple(replace(r, between=tuple(change.get(c, c) for c in r.between)) for r in crossed)
    assert answer(mended).verdict is Verdict.GO


def test_phases_that_touch_are_named_beside_a_short_to_the_frame():
    found = answer(
        (
            Reading("board", (1, 2), ohm=2.9),
            Reading("board", (1, 4), ohm=2.9),
            Reading("board", (2, 0), ohm=0.4),
        )
    )
    named = {(f.kind.id, f.contacts) for f in found.findings}
    assert ("frame-joined", (2,)) in named
    assert ("phases-joined", (1, 4)) in named
