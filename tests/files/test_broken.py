"""Whatever is handed over, the answer is in words, and names file, place and remedy."""

import pytest
from broken import MACHINES, READINGS

from plumbrise.errors import InputErrors
from plumbrise.files import read_machine, read_readings
from plumbrise.machine import ONE_SCREW
from plumbrise.readings import Scale


def _named(entries):
    return pytest.mark.parametrize("broken", entries, ids=lambda broken: broken.title)


def _told_about_readings(given: bytes) -> InputErrors:
    with pytest.raises(InputErrors) as told:
        read_readings(
            given, name="evening.csv", scale=Scale(), station="nut", arrangement=ONE_SCREW
        )
    return told.value


def _told_about_machine(given: bytes) -> InputErrors:
    with pytest.raises(InputErrors) as told:
        read_machine(given.decode(), name="shed.toml")
    return told.value


@_named(READINGS)
def test_a_broken_table_is_refused_in_words(broken):
    told = str(_told_about_readings(broken.given))
    for words in broken.told:
        assert words in told


@_named(READINGS)
def test_every_line_about_a_table_names_the_file_and_says_what_to_do(broken):
    for problem in _told_about_readings(broken.given).problems:
        assert problem.place.startswith("evening.csv")
        assert problem.remedy.endswith((".", "?"))
        assert len(str(problem)) < 500


@_named(MACHINES)
def test_a_broken_machine_is_refused_in_words(broken):
    told = str(_told_about_machine(broken.given))
    for words in broken.told:
        assert words in told


@_named(MACHINES)
def test_every_line_about_a_machine_names_the_file_and_says_what_to_do(broken):
    for problem in _told_about_machine(broken.given).problems:
        assert problem.place.startswith("shed.toml")
        assert problem.remedy.endswith((".", "?"))


def test_all_faults_of_a_table_are_told_at_once_in_the_order_of_its_rows():
    rows = b"told,read\n0,x\n1,0.5\ny,1\n3,900\n"
    places = [problem.place for problem in _told_about_readings(rows).problems]
    assert places == [
        "evening.csv, row 2, read",
        "evening.csv, row 4, told",
        "evening.csv, row 5, read",
    ]


def test_a_table_of_nothing_but_faults_tells_fifty_and_counts_the_rest():
    told = _told_about_readings(b"told,read\n" + b"".join(b"x%d,1\n" % i for i in range(300)))
    assert len(told.problems) == 51
    assert "250 more" in str(told.problems[-1])


def test_all_faults_of_a_machine_are_told_at_once():
    text = b'arrangement = "two"\nname = 3\n[nut]\nkind = "x"\n[motor]\nmicrosteps = 0'
    assert len(_told_about_machine(text).problems) == 4
