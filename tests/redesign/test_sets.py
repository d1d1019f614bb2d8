"""Sets of changes that can be made together."""

from itertools import chain, combinations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.redesign.changes import Change, Span, allowed_together
from plumbrise.redesign.sets import allowed_sets, members, summed

NAMES = "abcdefgh"


@st.composite
def catalogues(draw):
    count = draw(st.integers(1, 8))
    names = NAMES[:count]
    some = st.lists(st.sampled_from(names), max_size=2, unique=True)
    return [
        Change(
            id=name,
            title=name,
            words="",
            effects=(),
            hours=Span(0, 0, 0),
            needs=tuple(n for n in draw(some) if n != name),
            excludes=tuple(draw(some)),
        )
        for name in names
    ]


@given(catalogues())
def test_the_sets_are_all_that_can_be_made_together_and_no_other(changes):
    every = chain.from_iterable(combinations(range(len(changes)), k) for k in range(9))
    expected = sorted(
        sum(1 << i for i in some) for some in every if allowed_together([changes[i] for i in some])
    )
    assert allowed_sets(changes).tolist() == expected


@given(st.lists(st.integers(0, 100), min_size=1, max_size=8))
def test_a_set_costs_what_its_changes_cost(amounts):
    changes = [
        Change(id=NAMES[i], title="", words="", effects=(), hours=Span(0, a, 0))
        for i, a in enumerate(amounts)
    ]
    masks = allowed_sets(changes)
    for mask, total in zip(masks, summed(masks, amounts), strict=True):
        assert total == sum(c.hours.likely for c in members(int(mask), changes))


def test_the_empty_set_comes_first():
    assert allowed_sets([]).tolist() == [0]
    assert np.all(np.diff(allowed_sets([])) > 0)
