"""The table of a test part: faults are named with their rows, all at once."""

import pytest

from plumbrise.errors import InputError, InputErrors
from plumbrise.files.printed_part import read_part

HEAD = "place_mm,layers,thickness_mm\n"


def test_empty_rows_are_passed_over_and_a_decimal_comma_is_taken():
    text = "place_mm;layers;thickness_mm\n68;1;0,21\n68;2;\n68;3;0,55\n"
    assert [one.thickness_mm for one in read_part(text, name="part.csv")] == [0.21, 0.55]


def test_all_faults_are_named_with_their_rows():
    text = HEAD + "68,1,0.2\nleft,2,0.4\n68,2.5,0.5\n68,3,thick\n"
    with pytest.raises(InputErrors) as caught:
        read_part(text, name="part.csv")
    assert [one.place for one in caught.value.problems] == [
        "part.csv, row 3, place_mm",
        "part.csv, row 4, layers",
        "part.csv, row 5, thickness_mm",
    ]


@pytest.mark.parametrize("text", ["", "a,b\n1,2\n", "place_mm,layers\n68,1\n"])
def test_another_table_is_refused_with_its_columns(text):
    with pytest.raises(InputErrors, match="thickness_mm"):
        read_part(text, name="part.csv")


@pytest.mark.parametrize(
    "text",
    [HEAD + "68,2,0.4\n" * 5000, HEAD + '68,2,"' + "9" * 200_000 + '"\n', "x" * 200_000],
    ids=["very long", "one vast cell", "no table"],
)
def test_a_table_that_no_part_needs_is_refused_with_the_one_to_use(text):
    with pytest.raises((InputError, InputErrors), match="that --test-part wrote") as caught:
        read_part(text, name="part.csv")
    assert len(str(caught.value)) < 500


def test_lines_may_end_as_on_any_computer():
    for end in ("\r", "\r\n", "\n"):
        text = HEAD.replace("\n", end) + f"68,2,0.4{end}68,3,0.6{end}"
        assert [one.layers for one in read_part(text, name="part.csv")] == [2, 3]
