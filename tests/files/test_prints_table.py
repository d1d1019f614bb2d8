"""A table of what was measured on a print."""

import pytest

from plumbrise.errors import InputError, InputErrors
from plumbrise.files.prints_table import read_prints

HEAD = "what,place,told_mm,read_mm\n"


def test_a_table_gives_a_measurement_a_row():
    (one, two) = read_prints(HEAD + "wall,left,2,1.93\nlayer 1,right,0.2,0.11\n", name="a.csv")
    assert (one.what, one.place, one.told_mm, one.read_mm) == ("wall", "left", 2.0, 1.93)
    assert two.what == "layer 1"


def test_semicolons_and_decimal_commas_are_read():
    (one,) = read_prints("what;place;told_mm;read_mm\nwall;left;2;1,93\n", name="a.csv")
    assert one.read_mm == 1.93


@pytest.mark.parametrize("text", ["", HEAD, "what,place\nwall,left\n"])
def test_a_table_without_rows_or_columns_says_which_it_needs(text):
    with pytest.raises(InputError) as found:
        read_prints(text, name="a.csv")
    assert "told_mm" in str(found.value)


def test_all_faults_come_at_once():
    with pytest.raises(InputErrors) as found:
        read_prints(HEAD + "wall,left,2,high\n,left,2,2\nwall,left,2,5000\n", name="a.csv")
    assert [problem.place.split(",")[1] for problem in found.value.problems] == [
        " row 2",
        " row 3",
        " row 4",
    ]
