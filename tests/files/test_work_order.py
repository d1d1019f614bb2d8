"""A kept work order comes back as it was; what nobody should mend by hand is refused in words."""

import json
from contextlib import suppress
from dataclasses import replace

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.build import Entry, Progress, build_steps, way_back
from plumbrise.errors import InputError
from plumbrise.explain import Interval
from plumbrise.files import schema
from plumbrise.files.proposal import proposal_dict, read_proposal
from plumbrise.files.work_order import read_progress, read_verdict, work_order_dict
from plumbrise.machine import blank
from plumbrise.redesign import CATALOGUE, LOST_MOTION, Choice, Line, Prediction, Proposal, Span

READERS = (read_progress, read_verdict, read_proposal)
words = st.text(max_size=30)
entries = st.builds(
    Entry,
    step=words,
    when=words,
    value=st.none() | st.floats(-1e6, 1e6),
    words=words,
    holds=st.booleans(),
    accepted=words,
)
anything = st.recursive(
    st.none() | st.booleans() | st.floats(allow_nan=True) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(words, inner, max_size=4),
    max_leaves=12,
)


def _order(*changes):
    return build_steps(blank("one-screw"), changes or ("new-nut",))


@given(st.lists(entries, max_size=5), st.lists(words, max_size=3))
def test_what_was_entered_comes_back_as_it_was(made, changes):
    progress = Progress(changes=tuple(changes) or ("new-nut",), entries=tuple(made))
    text = json.dumps(work_order_dict(_order(), progress))
    assert read_progress(text, name="work.json") == progress


@pytest.mark.parametrize(
    "changes",
    [("new-nut", "clean-screw"), ("second-screw-tied",), ("four-step-layers",)],
)
def test_a_work_order_is_what_its_schema_says(changes):
    order = _order(*changes)
    made = Entry(step="read-before", when="2026-01-05", value=None, words="kept", holds=True)
    progress = Progress(changes=order.changes, entries=(made,))
    for one in (Progress(), progress):
        jsonschema.validate(work_order_dict(order, one), schema("work-order"))


@pytest.mark.parametrize("read", READERS)
@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "3",
        '{"version": 2}',
        '{"version": true}',
        '{"version": NaN}',
        "{}",
        "[" * 9999,
    ],
)
def test_what_is_no_such_file_is_refused_and_named(read, text):
    with pytest.raises(InputError, match=r"given\.json"):
        read(text, name="given.json")


@pytest.mark.parametrize("read", READERS)
@given(
    given_values=st.fixed_dictionaries(
        {"version": st.just(1)},
        optional=dict.fromkeys(("verdict", "chosen", "made_for", "entries", "predicted"), anything),
    )
)
def test_whatever_stands_in_a_file_is_read_or_refused_in_words(read, given_values):
    with suppress(InputError):
        read(json.dumps(given_values), name="given.json")


def promised(station: str, low: float, high: float) -> str:
    one = {"estimate": 0.2, "low": low, "high": high, "level": 0.9}
    return json.dumps({"changes": ["new-nut"], "predicted": {"lost-motion": {station: one}}})


@pytest.mark.parametrize(
    ("chosen", "word"),
    [
        ("null", "chang"),
        ('{"changes": []}', "changes nothing"),
        ('{"changes": ["glue"]}', "one of"),
        ('{"changes": [["new-nut"]]}', "one of"),
        ('{"changes": ["new-nut"], "predicted": {"a": 3}}', "predicted"),
        (promised("gantry-left", 0.3, 0.1), "predicted"),
        (promised("attic", 0.1, 0.3), "predicted"),
        (promised("gantry-left", 0.1, 1e9), "predicted"),
        (
            '{"changes": ["new-nut"], "predicted": {"a": {"b": {"estimate": 1, "low": 1, '
            f'"high": 1{"0" * 400}, "level": 1}}}}}}}}',
            "predicted",
        ),
        ('{"changes": ["new-nut"], "probability": 7}', "from 0 to 1"),
        ('{"changes": ["new-nut"], "probability": "0.8"}', "from 0 to 1"),
    ],
)
def test_a_proposal_that_chose_nothing_usable_is_refused(chosen, word):
    with pytest.raises(InputError, match=word):
        read_proposal(f'{{"version": 1, "chosen": {chosen}}}', name="p.json")


@pytest.mark.parametrize("verdict", ["go", "no-go", "cannot-tell"])
def test_a_verdict_is_read_as_it_is(verdict):
    assert read_verdict(json.dumps({"version": 1, "verdict": verdict}), name="v") == verdict


def test_what_a_proposal_chose_comes_back_as_it_was():
    interval = Interval(0.04, 0.02, 0.07, 0.9)
    prediction = Prediction(LOST_MOTION, {}, {"gantry-left": interval}, None, 0.8)
    line = Line(("new-nut", "clean-screw"), Span(1, 2, 3), Span(1, 2, 3), 0.8)
    choice = Choice(
        line=line,
        changes=(CATALOGUE["new-nut"], CATALOGUE["clean-screw"]),
        predictions=(prediction,),
        parts=(),
        sums=(),
        alone={},
        constraints=(),
        warnings=(),
    )
    proposal = Proposal(
        targets=(),
        probability=0.7,
        budget=None,
        hour_worth=10.0,
        currency="EUR",
        front=(line,),
        chosen=choice,
        free=None,
        reachable=True,
        met_already=0.1,
        limited_by="",
        worths=(),
        perfect_saves=0.0,
        untold={},
        looked_at=9,
        draws=128,
    )
    read = read_proposal(json.dumps(proposal_dict(proposal)), name="p.json")
    assert read.changes == choice.changes
    assert read.predicted == {LOST_MOTION.id: {"gantry-left": interval}}
    assert read.probability == 0.8
    with pytest.raises(InputError, match="chang"):
        read_proposal(json.dumps(proposal_dict(replace(proposal, chosen=None))), name="p.json")


def test_the_way_back_is_what_the_schema_says():
    order = _order("new-nut", "clean-screw")
    way = way_back(order, Progress(), order.tasks[-1])
    jsonschema.validate(work_order_dict(order, Progress(), way), schema("work-order"))


@pytest.mark.parametrize("value", ["1" + "0" * 400, "1e999", "-2e6", "true", '"3"'])
def test_a_kept_value_that_nobody_can_have_entered_is_refused_at_its_entry(value):
    entry = f'{{"step": "a", "when": "b", "words": "c", "value": {value}, "holds": true}}'
    with pytest.raises(InputError, match="entry 1, value"):
        read_progress(f'{{"version": 1, "made_for": [], "entries": [{entry}]}}', name="p.json")
