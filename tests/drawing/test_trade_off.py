"""What money buys, as a picture: every sort of proposal at every width, nothing on anything else."""

from dataclasses import replace
from itertools import combinations

import pytest

from plumbrise.drawing.sets_shown import MOST_NAMED, Standing, places, steps
from plumbrise.drawing.trade_off import trade_off
from plumbrise.redesign import CATALOGUE, LOST_MOTION, Choice, Line, Proposal, Span, Target

FREE = Span(0, 0, 0)
CLEAN, ROLLERS, BEARING = "clean-screw", "set-rollers", "thrust-bearing"
SECOND, BRACKET, NUT = "second-screw-tied", "stiff-bracket", "new-nut"


def line(changes, money, probability, hours=2.0):
    cost = Span(0.5 * money, money, 1.5 * money)
    return Line(tuple(changes), cost, Span(hours, hours, hours), probability)


def choice(of):
    return Choice(of, (), (), (), (), {}, (), ())


NOW = line((), 0, 0.01, 0)
TONIGHT = line((CLEAN, ROLLERS), 0, 0.22, 0.8)
SOME = (
    NOW,
    line((CLEAN,), 0, 0.1, 0.3),
    TONIGHT,
    line((CLEAN, ROLLERS, BEARING), 20, 0.61),
    line((CLEAN, ROLLERS, BEARING, BRACKET), 29, 0.7),
    line((SECOND,), 92, 0.82, 6.5),
    line((SECOND, CLEAN), 92, 0.95, 7),
)


def proposal(**changed):
    usual = {
        "targets": (Target(LOST_MOTION, 0.05),),
        "probability": 0.7,
        "budget": None,
        "hour_worth": 10.0,
        "currency": "EUR",
        "front": SOME,
        "chosen": choice(SOME[4]),
        "free": TONIGHT,
        "reachable": True,
        "met_already": 0.01,
        "limited_by": "",
        "worths": (),
        "perfect_saves": 3.0,
        "untold": {},
        "looked_at": 512,
        "draws": 128,
    }
    return Proposal(**{**usual, **changed})


PAIRS = tuple(combinations(CATALOGUE, 2))
CROWD = tuple(line(PAIRS[i], 20 + i, 0.3 + 0.02 * i) for i in range(30))
PROPOSALS = {
    "usual": proposal(),
    "with a budget": proposal(budget=60.0),
    "a budget beyond all": proposal(budget=2000.0),
    "out of reach": proposal(
        front=(NOW, line((BEARING,), 20, 0.004)),
        chosen=choice(line((BEARING,), 20, 0.004)),
        free=line((CLEAN,), 0, 0.002, 0.3),
        reachable=False,
        budget=25.0,
    ),
    "nothing to change": proposal(front=(line((), 0, 0.99, 0),), chosen=choice(NOW), free=NOW),
    "a crowd": proposal(front=(NOW, *CROWD), chosen=choice(CROWD[20])),
    "all at one price": proposal(
        front=tuple(line(PAIRS[i], 30, i / 10) for i in range(11)),
        chosen=choice(line((NUT, CLEAN), 30, 0.7)),
    ),
    "sure": proposal(front=(NOW, line((NUT,), 5, 1.0)), chosen=choice(line((NUT,), 5, 1.0))),
}


@pytest.mark.parametrize("theme", ["light", "dark", "print"])
@pytest.mark.parametrize("width", [320, 340, 470, 700, 860])
@pytest.mark.parametrize("name", PROPOSALS)
def test_no_label_covers_another_or_leaves_the_sheet(name, width, theme, sheet_of):
    sheet = sheet_of(trade_off(PROPOSALS[name], theme=theme, width_px=width))
    assert sheet.clashes == []


@pytest.mark.parametrize("name", PROPOSALS)
def test_what_is_proposed_is_named_at_every_width(name, sheet_of):
    for width in (320, 700):
        words = [w for w, _ in sheet_of(trade_off(PROPOSALS[name], width_px=width)).labels]
        assert {"proposed", "likeliest"} & set(words)


def test_money_goes_right_and_likelihood_up(sheet_of):
    sheet = sheet_of(trade_off(proposal()))
    marks = [g for g in sheet.all("g") if g.get("data-mark")]
    assert len(marks) == len(SOME)
    chosen = sheet.groups("data-mark")["proposed"]
    now = sheet.groups("data-mark")["as it is"]
    at = [c for g in (now, chosen) for c in g.iter() if c.tag.endswith("circle")]
    assert float(at[0].get("cx")) < float(at[1].get("cx"))
    assert float(at[0].get("cy")) > float(at[1].get("cy"))


def test_the_free_set_and_the_chosen_one_are_shown_though_they_are_off_the_front():
    off = line((BRACKET,), 55, 0.71)
    shown = places(proposal(chosen=choice(off), free=line((ROLLERS,), 0, 0.2, 0.5)))
    assert {p.standing for p in shown} == set(Standing) - {Standing.LIKELIEST, Standing.TAKEN}
    assert [p.money for p in shown] == sorted(p.money for p in shown)


@pytest.mark.parametrize("name", PROPOSALS)
def test_few_sets_are_named(name):
    named = [place for place in places(PROPOSALS[name]) if place.named]
    assert len(named) <= MOST_NAMED


def test_the_twin_tells_each_set_by_what_it_adds_to_the_one_before():
    said = {place.line: words for place, words in steps(proposal())}
    assert said[NOW] == "nothing changed"
    assert said[SOME[4]] == "+ stiffer nut bracket"
    assert said[SOME[6]] == "+ clean and grease the screw"


def test_where_nothing_can_be_told_the_picture_says_so(sheet_of):
    sheet = sheet_of(trade_off(proposal(chosen=None, limited_by="No run was read.")))
    assert "Cannot tell yet" in [words for words, _ in sheet.labels]


def test_it_is_spoken_with_cost_hours_and_probability(sheet_of):
    sheet = sheet_of(trade_off(proposal(budget=60.0)))
    spoken = sheet.all("desc")[0].text
    assert "Budget: 60 EUR." in spoken
    assert "Proposed: 29 EUR, about 2 h, 70 %." in spoken


def test_the_same_proposal_gives_the_same_picture():
    assert trade_off(proposal()) == trade_off(replace(proposal()))
