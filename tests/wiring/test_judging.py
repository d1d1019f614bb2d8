"""Go, no-go or cannot tell, against benches of resistors solved by themselves."""

from functools import cache
from itertools import combinations, permutations, product

import pytest
from bench_meter import (
    BOARD_PAIRS,
    COIL,
    Bench,
    accidents,
    four_way_cables,
    node,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from plumbrise.wiring import (
    Board,
    Cable,
    Harness,
    Line,
    Meter,
    Motor,
    Reading,
    Verdict,
    judge,
)

PHASES = ((1, 2), (3, 4))
METER = Meter(leads_ohm=0.2, celsius=20.0)


def read(bench, pair, at="board"):
    """What a meter with leads of 0.2 Ω and two digits shows."""
    first = "m" if at == "motor" else "b"
    second = "b" if at == "board" else "m"
    ohm = bench.ohm(node(first, pair[0]), node(second, pair[1]), at)
    if ohm >= 1e6:
        return Reading(at, pair, is_open=True)
    return Reading(at, pair, ohm=round(ohm + 0.2, 1))


def line(readings=(), *, phases=PHASES, contacts=4, joins=(), coils=()):
    return Line(
        "left",
        Board(phases=phases, driver_current_a=0.8),
        Cable(joins=joins),
        Motor(contacts, coils, coil_ohm=COIL, rated_current_a=1.2),
        tuple(readings),
    )


def answer(*lines):
    return judge(Harness(lines, meter=METER))


def mended(joins, swaps):
    """The joins after the wires of swapped contacts have changed places."""
    at = dict(joins)
    for swap in swaps:
        one, other = swap.contacts
        if swap.end == "board":
            at[one], at[other] = at[other], at[one]
        else:
            change = {one: other, other: one}
            at = {board: change.get(motor, motor) for board, motor in at.items()}
    return tuple(sorted(at.items()))


# every permutation of a four-way cable: 24 orders, 3 ways to place the coils


FOUR_WAY = list(product(four_way_cables(), ([(1, 2), (3, 4)], [(1, 3), (2, 4)], [(1, 4), (2, 3)])))


def test_there_are_72_four_way_cases_of_which_24_suit_the_board():
    assert len(FOUR_WAY) == 24 * 3
    right = [1 for joins, coils in FOUR_WAY if not four_way(joins, coils).harms(PHASES)]
    assert len(right) == 8 * 3


def four_way(joins, coils):
    return Bench(joins, tuple((*coil, COIL) for coil in coils))


@pytest.mark.parametrize("described", [False, True])
def test_every_four_way_cable_is_decided_rightly_once_all_is_read(described):
    for joins, coils in FOUR_WAY:
        bench = four_way(joins, coils)
        told = {"joins": joins, "coils": tuple(coils)} if described else {}
        found = answer(line([read(bench, pair) for pair in BOARD_PAIRS], **told))
        assert (found.verdict is Verdict.GO) == (not bench.harms(PHASES))
        assert (found.verdict is Verdict.NO_GO) == bench.harms(PHASES)


def test_five_readings_are_enough_for_every_four_way_cable():
    for joins, coils in FOUR_WAY:
        bench = four_way(joins, coils)
        pairs = [(1, 2), (3, 4), (1, 3), (1, 0), (3, 0)]
        found = answer(line([read(bench, pair) for pair in pairs]))
        assert found.verdict is (Verdict.NO_GO if bench.harms(PHASES) else Verdict.GO)


def test_every_described_four_way_cable_that_harms_is_a_no_go_and_none_is_a_go_unread():
    for joins, coils in FOUR_WAY:
        bench = four_way(joins, coils)
        found = answer(line(joins=joins, coils=tuple(coils)))
        harms = bench.harms(PHASES)
        assert found.verdict is (Verdict.NO_GO if harms else Verdict.CANNOT_TELL)


def test_one_swap_mends_every_four_way_cable_and_fewer_do_not():
    for joins, coils in FOUR_WAY:
        bench = four_way(joins, coils)
        for told in ({}, {"joins": joins, "coils": tuple(coils)}):
            found = answer(line([read(bench, pair) for pair in BOARD_PAIRS], **told))
            assert len(found.swaps) == (1 if bench.harms(PHASES) else 0)
            assert not Bench(mended(joins, found.swaps), bench.coils).harms(PHASES)


# every way in which four wires can sit in a six-pole socket with two coils


def six_pole_classes():
    """Four wires in a six-pole socket, two coils on it: 360 x 45 = 16200 cases. What a case is to
    the driver depends on which wires share a coil and which sit in an empty place: which contact
    of the socket it is, and which end of which coil, changes nothing. Folded over those: a word of
    four letters, A and B for coils and a dot for an empty place, A standing first."""
    classes = {}
    coils = [
        (one, other)
        for one, other in combinations(list(combinations(range(1, 7), 2)), 2)
        if not set(one) & set(other)
    ]
    for joins in permutations(range(1, 7), 4):
        for one, other in coils:
            word = "".join("A" if m in one else "B" if m in other else "." for m in joins)
            if word.replace(".", "")[:1] == "B":
                word = word.translate(str.maketrans("AB", "BA"))
            case = tuple(zip((1, 2, 3, 4), joins, strict=True)), (one, other)
            classes.setdefault(word, []).append(case)
    return classes


SIX_POLE = six_pole_classes()


def test_16200_six_pole_cases_fold_into_27_classes():
    assert sum(map(len, SIX_POLE.values())) == 16200
    assert len(SIX_POLE) == 27
    right = [word for word in SIX_POLE if word == "AABB"]
    assert sum(len(SIX_POLE[word]) for word in right) == 45 * 8


@pytest.mark.parametrize("word", SIX_POLE)
def test_every_six_pole_socket_is_decided_rightly(word):
    """First, middle and last case of each class, so that folding itself is tried."""
    cases = SIX_POLE[word]
    for joins, coils in (cases[0], cases[len(cases) // 2], cases[-1]):
        bench = Bench(joins, tuple((*coil, COIL) for coil in coils), motor_contacts=6)
        harms = bench.harms(PHASES)
        assert harms == (word != "AABB")
        readings = [read(bench, pair) for pair in BOARD_PAIRS]
        for told in ({}, {"joins": joins, "coils": coils}):
            found = answer(line(readings, contacts=6, **told))
            assert found.verdict is (Verdict.NO_GO if harms else Verdict.GO)
        unread = answer(line(contacts=6, joins=joins, coils=coils))
        assert unread.verdict is (Verdict.NO_GO if harms else Verdict.CANNOT_TELL)
        assert not Bench(mended(joins, found.swaps), bench.coils, motor_contacts=6).harms(PHASES)


def test_no_fewer_swaps_mend_a_six_pole_socket():
    for cases in SIX_POLE.values():
        joins, coils = cases[len(cases) // 3]
        found = answer(line(contacts=6, joins=joins, coils=coils))
        fewest = brute_fewest(joins, coils)
        assert len(found.swaps) == fewest


def brute_fewest(joins, coils):
    """Fewest swaps at one end, by trying them all on the bench."""
    worlds = {"board": {joins}, "motor": {joins}}
    for count in range(5):
        for end, reached in worlds.items():
            for one in reached:
                bench = Bench(one, tuple((*coil, COIL) for coil in coils), motor_contacts=6)
                if not bench.harms(PHASES):
                    return count
            places = range(1, 5) if end == "board" else range(1, 7)
            worlds[end] = {
                swapped(one, end, pair) for one in reached for pair in combinations(places, 2)
            }
    raise AssertionError(joins)


def swapped(joins, end, pair):
    at, (one, other) = dict(joins), pair
    if end == "board":
        at[one], at[other] = at[other], at[one]
    else:
        at = {b: {one: other, other: one}.get(m, m) for b, m in at.items()}
    return tuple(sorted(at.items()))


# whatever is left unread


ACCIDENTS = accidents()


def test_there_are_accidents_of_every_sort():
    assert len(ACCIDENTS) > 4000
    assert any(not bench.harms(PHASES) for bench in ACCIDENTS)


@settings(max_examples=150)
@given(bench=st.sampled_from(ACCIDENTS), pairs=st.sets(st.sampled_from(BOARD_PAIRS)))
def test_never_a_go_on_a_bench_that_harms(bench, pairs):
    found = answer(line([read(bench, pair) for pair in sorted(pairs)]))
    if bench.harms(PHASES):
        assert found.verdict is not Verdict.GO
    else:
        assert found.verdict is not Verdict.NO_GO


@cache
def table():
    """What each accident reads between each two ends, and whether it harms."""
    ohms = {
        pair: [bench.ohm(node("b", pair[0]), node("b", pair[1])) for bench in ACCIDENTS]
        for pair in BOARD_PAIRS
    }
    return ohms, [bench.harms(PHASES) for bench in ACCIDENTS]


@pytest.mark.parametrize("size", range(len(BOARD_PAIRS) + 1))
def test_with_every_subset_of_readings_of_a_right_harness_go_means_no_accident_looks_the_same(size):
    """All 1024 subsets, each against all accidents: go exactly where no accident that harms would
    have given the same readings."""
    bench = Bench(((1, 1), (2, 2), (3, 3), (4, 4)), ((1, 2, COIL), (3, 4, COIL)))
    ohms, harmful = table()
    for pairs in combinations(BOARD_PAIRS, size):
        readings = [read(bench, pair) for pair in pairs]
        found = answer(line(readings)).verdict
        twin = any(
            harms and all(alike(ohms[r.between][i], r) for r in readings)
            for i, harms in enumerate(harmful)
        )
        assert found is (Verdict.CANNOT_TELL if twin else Verdict.GO)


def alike(ohm, reading):
    if reading.is_open or ohm >= 1e6:
        return reading.is_open and ohm >= 1e6
    return abs(ohm + 0.2 - reading.ohm) <= 0.1 + 0.01 * reading.ohm


@settings(max_examples=60)
@given(
    bench=st.sampled_from(ACCIDENTS),
    pairs=st.lists(
        st.tuples(
            st.sampled_from(("board", "cable", "motor")), st.integers(0, 4), st.integers(0, 4)
        ),
        max_size=14,
        unique=True,
    ),
)
def test_never_a_go_on_a_bench_that_harms_wherever_the_meter_was_held(bench, pairs):
    readings = []
    for at, one, other in pairs:
        if (at != "cable" and one == other) or (at == "cable" and one == 0):
            continue
        readings.append(read(bench, (one, other) if one else (other, one), at))
    found = answer(line(readings))
    if bench.harms(PHASES):
        assert found.verdict is not Verdict.GO
    elif not bench.touches:
        assert found.verdict is not Verdict.NO_GO


@st.composite
def tapped_or_plain(draw):
    """A six-pole motor, plain or tapped, and four wires anywhere in its socket."""
    a, b, c, d, e, f = draw(st.permutations(range(1, 7)))
    coils = ((a, b, COIL), (c, d, COIL))
    told = ((a, b), (c, d))
    if draw(st.booleans()):
        half = COIL / 2
        coils = ((a, e, half), (e, b, half), (c, f, half), (f, d, half))
        told = ((a, e, b), (c, f, d))
    wanted = draw(st.booleans())
    places = (a, b, c, d) if wanted else draw(st.permutations(range(1, 7)))[:4]
    joins = tuple(zip((1, 2, 3, 4), places, strict=True))
    return Bench(joins, coils, motor_contacts=6), told


@settings(max_examples=60)
@given(
    made=tapped_or_plain(),
    described=st.booleans(),
    pairs=st.lists(
        st.tuples(
            st.sampled_from(("board", "cable", "motor")), st.integers(0, 6), st.integers(0, 6)
        ),
        max_size=24,
        unique=True,
    ),
)
def test_no_six_pole_motor_tapped_or_plain_is_judged_wrongly_on_part_of_its_readings(
    made, described, pairs
):
    bench, told = made
    readings = []
    for at, one, other in pairs:
        most = {"board": (4, 4), "cable": (4, 6), "motor": (6, 6)}[at]
        if (at != "cable" and one == other) or one == 0 or one > most[0] or other > most[1]:
            continue
        readings.append(read(bench, (one, other), at))
    said = {"joins": bench.joins, "coils": told} if described else {}
    found = answer(line(readings, contacts=6, **said))
    if bench.harms(PHASES):
        assert found.verdict is not Verdict.GO
        if described:
            assert found.verdict is Verdict.NO_GO
    else:
        assert found.verdict is not Verdict.NO_GO


@settings(max_examples=60)
@given(
    made=tapped_or_plain(),
    told_joins=st.permutations(range(1, 7)),
    named=st.integers(0, 4),
    pairs=st.lists(st.sampled_from(BOARD_PAIRS), max_size=5, unique=True),
)
def test_every_answer_says_what_is_wrong_or_what_to_do_next(made, told_joins, named, pairs):
    bench, told = made
    joins = tuple(zip((1, 2, 3, 4), told_joins, strict=False))[:named]
    readings = [read(bench, pair) for pair in pairs]
    found = answer(line(readings, contacts=6, joins=joins, coils=told))
    refusing = [one for one in found.findings if one.kind.refuses]
    if found.verdict is Verdict.NO_GO:
        assert refusing
    elif found.verdict is Verdict.CANNOT_TELL:
        assert found.reasons
        assert found.next_reading is not None


def test_a_harness_read_in_parts_is_a_go_only_with_every_part_read():
    """Cable and motor apart: sixteen cable readings, four to the frame, ten at the motor."""
    bench = Bench(((1, 2), (2, 4), (3, 1), (4, 3)), ((2, 4, COIL), (1, 3, COIL)))
    readings = [read(bench, pair, "cable") for pair in product((1, 2, 3, 4), (0, 1, 2, 3, 4))]
    readings += [read(bench, pair, "motor") for pair in BOARD_PAIRS]
    assert answer(line(readings)).verdict is Verdict.GO
    frame = [r for r in readings if r.at == "cable" and 0 in r.between]
    assert answer(line([r for r in readings if r not in frame])).verdict is Verdict.CANNOT_TELL
    coil = Reading("motor", (2, 4), ohm=2.8)
    assert coil in readings
    assert answer(line([r for r in readings if r != coil])).verdict is Verdict.CANNOT_TELL


def test_a_beep_does_not_prove_a_coil():
    bench = Bench(((1, 1), (2, 2), (3, 3), (4, 4)), ((1, 2, COIL), (3, 4, COIL)))
    readings = [read(bench, pair) for pair in BOARD_PAIRS if pair != (1, 2)]
    found = answer(line([*readings, Reading("board", (1, 2), joined=True)]))
    assert found.verdict is Verdict.CANNOT_TELL
    assert found.next_reading.between == (1, 2)


@given(bench=st.sampled_from(ACCIDENTS))
def test_following_the_proposed_readings_comes_to_the_right_answer_within_ten(bench):
    taken = []
    for _ in range(11):
        found = answer(line(taken))
        if found.verdict is not Verdict.CANNOT_TELL:
            break
        assert found.next_reading.at == "board"
        assert found.next_reading.between not in [r.between for r in taken]
        taken.append(read(bench, found.next_reading.between))
    assert found.verdict is (Verdict.NO_GO if bench.harms(PHASES) else Verdict.GO)


def test_an_unknown_board_is_never_a_go():
    bench = Bench(((1, 1), (2, 2), (3, 3), (4, 4)), ((1, 2, COIL), (3, 4, COIL)))
    found = answer(line([read(bench, pair) for pair in BOARD_PAIRS], phases=None))
    assert found.verdict is Verdict.CANNOT_TELL
    assert found.next_reading.way == "look-up"


def test_a_short_to_the_frame_is_a_no_go_on_any_board():
    found = answer(line([Reading("board", (2, 0), ohm=3.0)], phases=None))
    assert found.verdict is Verdict.NO_GO
    assert [f.kind.id for f in found.findings] == ["frame-joined"]


def test_on_an_unknown_board_nothing_is_said_of_its_phases():
    """One contact joined to two others suits no board; which phases it joins hangs on the board."""
    both = [Reading("board", (1, other), ohm=2.9) for other in (2, 3)]
    found = answer(line(both, phases=None))
    assert found.verdict is Verdict.NO_GO
    assert [f.kind.id for f in found.findings if f.kind.refuses] == ["no-sound-wiring"]
    assert found.next_reading.way == "look-up"
