"""A person's prices, hours, parts and tools as TOML."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.errors import InputErrors
from plumbrise.files.workshop_file import TOOLS, own_text, read_workshop, write_workshop
from plumbrise.machine import ARRANGEMENTS, blank
from plumbrise.redesign import CATALOGUE, Span, Workshop

AMOUNTS = st.floats(0, 9999).map(lambda v: round(v, 2))
SPANS = st.tuples(AMOUNTS, AMOUNTS, AMOUNTS).map(lambda three: Span(*sorted(three)))
SOME = st.frozensets(st.sampled_from(sorted(CATALOGUE)), max_size=5)


@given(
    st.dictionaries(st.sampled_from(sorted(CATALOGUE)), SPANS),
    SOME,
    SOME,
    st.frozensets(st.sampled_from(TOOLS), max_size=3),
    st.integers(0, 200),
)
def test_what_is_written_is_read_again(prices, at_hand, without, tools, worth):
    made = Workshop(
        prices=prices, at_hand=at_hand, without=without, no_tools=tools, hour_worth=float(worth)
    )
    found = read_workshop(write_workshop(made), name="w.toml")
    assert found.at_hand == at_hand
    assert found.without == without
    assert found.no_tools == tools
    assert found.hour_worth == worth
    for change in CATALOGUE.values():
        assert found.prices[change.id] == prices.get(change.id, change.cost)
        assert found.hours[change.id] == change.hours


@given(
    st.dictionaries(st.sampled_from(sorted(CATALOGUE)), SPANS, max_size=4),
    SOME,
    st.frozensets(st.sampled_from(TOOLS), max_size=3),
)
def test_what_differs_from_the_usual_says_it_all(prices, at_hand, tools):
    made = Workshop(prices=prices, at_hand=at_hand, no_tools=tools, currency="CHF")
    found = read_workshop(own_text(made), name="w.toml")
    assert (found.at_hand, found.currency) == (at_hand, "CHF")
    assert found.no_tools == tools
    for change, span in prices.items():
        assert found.prices.get(change, CATALOGUE[change].cost) == span


def test_a_written_file_says_first_what_its_three_numbers_are():
    first = write_workshop().splitlines()[0]
    assert first.startswith("# Three numbers")
    assert first.index("least") < first.index("expected") < first.index("most")


def test_a_usual_workshop_has_nothing_of_its_own():
    assert own_text(read_workshop(write_workshop(), name="w.toml")) == ""


WRONG = {
    "hour_worth = -1": "hour_worth: -1 given, a number from 0",
    "hour_worth = nan": "hour_worth: nan given",
    "hour_worth = true": "hour_worth: True given",
    "format = 2": "format: 2 given, 1 allowed",
    "currency = ''": "currency: '' given",
    "curency = 'EUR'": "Did you mean currency?",
    "changes = 3": "changes: 3 given",
    "[changes.new-nutt]": "Did you mean new-nut?",
    "[changes.new-nut]\nprice = [3, 2, 1]": "changes, new-nut, price: [3, 2, 1] given",
    "[changes.new-nut]\nprice = [3, 2]": "Give three numbers",
    "[changes.new-nut]\nprice = 'cheap'": "price: 'cheap' given",
    "[changes.new-nut]\nat_hand = 1": "at_hand: 1 given, true or false allowed",
    "[changes.new-nut]\npric = 1": "Did you mean price?",
    "[tools]\nmissing = 'drill'": "a list of tools",
    "[tools]\nmissing = ['dril']": "Did you mean drill?",
    "[changes.new-nut": "line 1",
    f"x = {'[' * 3000}": "nested too deep",
    f"{'a.' * 3000}b = 1": " given, ",
    f"hour_worth = 1{'0' * 5000}": "a number is too long",
    f"hour_worth = 0x{'f' * 300}": "a number from 0",
    f"hour_worth = 0x{'f' * 5000}": "one that is too long to show given",
}


@pytest.mark.parametrize("text", WRONG)
def test_each_fault_is_told_with_its_place(text):
    with pytest.raises(InputErrors) as problem:
        read_workshop(text, name="w.toml")
    assert str(problem.value).startswith("w.toml, ")
    assert WRONG[text] in str(problem.value)


def test_all_faults_are_told_at_once():
    with pytest.raises(InputErrors) as problem:
        read_workshop("hour_worth = -1\n[changes.new-nut]\nprice = -1\n[changes.x]\n", name="w")
    assert len(problem.value.problems) == 3


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_a_file_that_nobody_mended_changes_no_price_and_no_time(arrangement):
    machine = blank(arrangement)
    written = read_workshop(write_workshop(), name="w.toml")
    assert written.changes_for(machine) == Workshop().changes_for(machine)
