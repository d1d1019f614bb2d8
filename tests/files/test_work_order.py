"""A kept work order comes back as it was; what nobody should mend by hand is refused in words."""

import json
from contextlib import suppress

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.build import Entry, Progress, build_steps
from plumbrise.errors import InputError
from plumbrise.files import schema
from plumbrise.files.proposal import read_proposal
from plumbrise.files.work_order import read_progress, read_verdict, work_order_dict
from plumbrise.machine import blank

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


@pytest.mark.parametrize(
    ("chosen", "word"),
    [
        ("null", "chang"),
        ('{"changes": []}', "changes nothing"),
        ('{"changes": ["glue"]}', "one of"),
        ('{"changes": [["new-nut"]]}', "one of"),
        ('{"changes": ["new-nut"], "predicted": {"a": 3}}', "predicted"),
    ],
)
def test_a_proposal_that_chose_nothing_usable_is_refused(chosen, word):
    with pytest.raises(InputError, match=word):
        read_proposal(f'{{"version": 1, "chosen": {chosen}}}', name="p.json")


@pytest.mark.parametrize("verdict", ["go", "no-go", "cannot-tell"])
def test_a_verdict_is_read_as_it_is(verdict):
    assert read_verdict(json.dumps({"version": 1, "verdict": verdict}), name="v") == verdict
