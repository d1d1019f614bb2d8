"""A harness worked through: what is asked is measured, what is crossed is swapped."""

from bench_meter import COIL, Bench, four_way_cables, node
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.wiring import (
    Board,
    Bridged,
    Harness,
    Line,
    Meter,
    Motor,
    Reading,
    Swap,
    Verdict,
    judge,
)
from plumbrise.wiring.across import SHARED_PLUG
from plumbrise.wiring.entering import (
    with_bridge,
    with_pairs,
    with_reading,
    with_swaps,
    without_reading,
)

PAIRS = ((1, 2), (3, 4))
START = with_pairs(
    Harness((Line("left", motor=Motor(coil_ohm=COIL)),), meter=Meter(leads_ohm=0.2, celsius=20.0)),
    PAIRS,
)


def measured(harness, bench):
    """The harness after the reading that its verdict asks for."""
    asked = judge(harness).next_reading
    assert asked.way == "read"
    assert asked.at == "board"
    ohm = bench.ohm(*(node("b", contact) for contact in asked.between))
    reading = Reading("board", asked.between, is_open=True)
    if ohm < 1e6:
        reading = Reading("board", asked.between, ohm=round(ohm + 0.2, 1))
    return with_reading(harness, "left", reading)


@given(st.sampled_from(four_way_cables()))
def test_measuring_what_is_asked_and_swapping_what_is_named_ends_in_a_go(joins):
    bench, harness, swapped = Bench(joins, ((1, 2, COIL), (3, 4, COIL))), START, 0
    for _ in range(30):
        answer = judge(harness)
        if answer.verdict is Verdict.GO:
            break
        if answer.verdict is Verdict.NO_GO and answer.swaps:
            change = {
                (s.end, c): d for s in answer.swaps for c, d in (s.contacts, s.contacts[::-1])
            }
            assert {end for end, _ in change} == {"board"}
            joins = tuple((change.get(("board", b), b), m) for b, m in joins)
            bench, harness = Bench(joins, bench.coils), with_swaps(harness, answer.swaps)
            swapped += 1
        else:
            harness = measured(harness, bench)
    assert judge(harness).verdict is Verdict.GO
    assert not bench.harms(PAIRS)
    assert swapped <= 1


def test_a_contact_is_known_by_its_last_reading_whichever_way_the_tips_were_held():
    once = with_reading(START, "left", Reading("board", (1, 3), ohm=2.9))
    again = with_reading(once, "left", Reading("board", (3, 1), is_open=True))
    assert [reading.is_open for reading in again.lines[0].measured] == [True]
    elsewhere = with_reading(once, "left", Reading("motor", (1, 3), ohm=2.6))
    assert len(elsewhere.lines[0].measured) == 2


def test_a_reading_through_the_cable_is_not_the_one_back():
    once = with_reading(START, "left", Reading("cable", (1, 3), joined=True))
    assert (
        len(with_reading(once, "left", Reading("cable", (3, 1), joined=True)).lines[0].measured)
        == 2
    )


def test_a_reading_struck_out_leaves_the_harness_as_it_was():
    made = with_reading(START, "left", Reading("board", (1, 2), ohm=2.9))
    assert without_reading(made, "left", 0) == START
    assert without_reading(made, "left", 7) == made
    bridged = with_bridge(made, "left", Bridged((1, 2), "left"))
    assert without_reading(bridged, "left", 1) == made
    shared = with_reading(START, SHARED_PLUG, Reading("board", (1, 2), ohm=1.4))
    assert shared.drive.measured
    assert without_reading(shared, SHARED_PLUG, 0) == START


def test_after_a_swap_nothing_that_went_through_the_wires_is_believed():
    made = with_reading(START, "left", Reading("board", (1, 2), ohm=2.9))
    made = with_reading(made, "left", Reading("motor", (1, 2), ohm=2.6))
    made = with_bridge(made, "left", Bridged((1, 2), ""))
    after = with_swaps(made, [Swap("left", "board", (2, 3))]).lines[0]
    assert [reading.at for reading in after.measured] == ["motor"]
    assert after.bridged == ()


def test_pairs_that_somebody_said_are_not_overwritten():
    told = Harness((Line("left", Board(phases=((1, 3), (2, 4)))), Line("right")))
    made = with_pairs(told, PAIRS)
    assert [line.board.phases for line in made.lines] == [((1, 3), (2, 4)), PAIRS]
