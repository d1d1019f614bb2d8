"""A refusal says where, what, what is allowed and what to do, from the inside outwards."""

from hypothesis import given
from hypothesis import strategies as st

from plumbrise.errors import InputError, InputErrors

WRONG = InputError(place="approach", value="upp", allowed="up or down", remedy="Correct the word.")


def test_each_layer_adds_its_place_before_those_within():
    told = str(WRONG.within("row 2").within("evening.csv"))
    assert told.startswith("evening.csv, row 2, approach: ")
    for part in ("'upp'", "up or down", "Correct the word."):
        assert part in told


def test_adding_a_place_leaves_the_error_as_it_was():
    WRONG.within("row 2")
    assert WRONG.place == "approach"


@given(st.lists(st.sampled_from("abc"), min_size=1, max_size=5))
def test_errors_of_a_file_stand_on_a_line_each_in_their_order(places):
    problems = [InputError(place=p, value=1, allowed="2", remedy="Count again.") for p in places]
    lines = str(InputErrors(problems).within("f")).splitlines()
    assert [line.partition(":")[0] for line in lines] == [f"f, {p}" for p in places]


def test_both_can_be_caught_as_a_wrong_value():
    assert isinstance(WRONG, ValueError)
    assert isinstance(InputErrors([WRONG]), ValueError)
