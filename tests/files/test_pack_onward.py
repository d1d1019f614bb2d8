"""The next step that a pack tells, against the one worked out here."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from packs import told_pack

from plumbrise.files.pack_onward import agreement, onward_in

STEP = {
    "changes": ["new-nut", "shim"],
    "cost": 40.0,
    "currency": "EUR",
    "hours": 2.0,
    "probability": 0.7,
    "already": 0.1,
}
ANY = st.none() | st.booleans() | st.integers() | st.floats() | st.text() | st.lists(st.text())


def test_the_same_step_is_the_same():
    assert agreement(STEP, dict(STEP)).verdict == "same"


@pytest.mark.parametrize(
    ("key", "value", "verdict"),
    [
        ("probability", 0.74, "near"),
        ("probability", 0.76, "other"),
        ("cost", 45.0, "near"),
        ("cost", 55.0, "other"),
        ("hours", 10**400, "other"),
        ("currency", "USD", "other"),
        ("changes", ["new-nut"], "other"),
        ("changes", "new-nut", "other"),
    ],
)
def test_a_step_is_near_within_what_draws_may_do_and_else_another(key, value, verdict):
    assert agreement({**STEP, key: value}, STEP).verdict == verdict


@settings(max_examples=60)
@given(st.dictionaries(st.sampled_from(sorted(STEP)), ANY))
def test_a_step_of_any_shape_is_compared_and_told_in_plain_letters(told):
    found = agreement(told, STEP)
    assert found.verdict == ("same" if told == STEP else found.verdict)
    assert all(line.isprintable() for line in found.told)


@settings(max_examples=60)
@given(ANY | st.dictionaries(st.just("onward"), ANY) | st.lists(st.just({"onward": STEP})))
def test_a_proof_of_any_shape_tells_a_step_or_none(proofs):
    found = onward_in(replace(told_pack(), proof={"proofs": proofs}))
    assert found in (None, STEP)
