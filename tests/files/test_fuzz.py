"""Whatever bytes come, the answer is a value or a sentence, never a traceback."""

import io
import zipfile

import openpyxl
from hypothesis import given, settings
from hypothesis import strategies as st

from plumbrise.errors import InputError, InputErrors
from plumbrise.files import read_machine, read_readings, write_machine
from plumbrise.files.decoding import text_of
from plumbrise.machine import ARRANGEMENTS, blank
from plumbrise.readings import Readings, Scale

TABLE = (
    b"run,test,station,seq,target_mm,reading_mm,approach,mass_kg,time_s,note\n"
    b"a,reversal,nut,0,10,0.00,up,0,0,\na,reversal,nut,1,11,0.81,up,0,9,\n"
    b"a,reversal,nut,2,10,0.20,down,0,20,\nb,hold,gantry-left,0,5,0.1,down,,,x\n"
)
SHORT = b"\xef\xbb\xbftold;read\r\n0;0\r\n1;0,8\r\n2;1,8\r\n"
PLAIN = Scale()
SCALES = st.sampled_from([PLAIN, Scale(wrap_mm=1.0)])
PIECES = st.sampled_from(
    [
        b",",
        b";",
        b"\t",
        b'"',
        b"\n",
        b"\r",
        b"\x00",
        b"nan",
        b"1e999",
        b"-",
        b"\xff\xfe",
        b"in",
        b"9" * 40,
    ]
)
TOML_PIECES = st.sampled_from(
    [
        "[",
        "]",
        "{",
        "}",
        "=",
        '"',
        "'",
        ".",
        ",",
        "#",
        "\n",
        "1e999",
        "nan",
        "true",
        "screw",
        "2024-01-01",
        '"""',
    ]
)


def _book():
    book = openpyxl.Workbook()
    for row in (("told", "read"), (0, 0), (1, 0.8), (2, 1.8)):
        book.active.append(row)
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


BOOK = _book()
MACHINES = [write_machine(blank(arrangement)) for arrangement in ARRANGEMENTS]


def _try(data, scale=PLAIN, **said):
    try:
        assert isinstance(read_readings(data, name="f.csv", scale=scale, **said), Readings)
    except InputErrors as told:
        problems = told.problems
    else:
        return
    assert problems
    assert all(problem.place.startswith("f.csv") for problem in problems)


@st.composite
def mutated(draw, good, pieces):
    data = good
    for _ in range(draw(st.integers(1, 6))):
        at = draw(st.integers(0, len(data)))
        cut = draw(st.integers(0, 4))
        data = data[:at] + draw(pieces) + data[at + cut :]
    return data


@settings(max_examples=150)
@given(st.binary(max_size=300), SCALES)
def test_any_bytes_as_readings(data, scale):
    _try(data, scale)


@settings(max_examples=150)
@given(st.text(max_size=200), st.sampled_from(["utf-8", "utf-16", "utf-8-sig"]), SCALES)
def test_any_text_as_readings(text, encoding, scale):
    _try(text.encode(encoding, "replace"), scale, station="nut")


@settings(max_examples=300)
@given(mutated(TABLE, PIECES | st.binary(max_size=3)), SCALES)
def test_a_good_table_with_slips_in_it(data, scale):
    _try(data, scale)


@settings(max_examples=200)
@given(mutated(SHORT, PIECES | st.binary(max_size=3)), SCALES)
def test_a_short_table_with_slips_in_it(data, scale):
    _try(data, scale, station="gantry-left")


@settings(max_examples=100)
@given(mutated(BOOK, st.binary(max_size=3)))
def test_a_spreadsheet_that_was_damaged_on_the_way(data):
    _try(data, station="nut")


@settings(max_examples=60)
@given(st.data())
def test_a_spreadsheet_with_damage_inside(data):
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(BOOK)) as old, zipfile.ZipFile(made, "w") as new:
        names = old.namelist()
        hurt = data.draw(st.sampled_from(names))
        for name in names:
            content = old.read(name)
            if name == hurt:
                content = data.draw(mutated(content, st.binary(max_size=3)))
            new.writestr(name, content)
    _try(made.getvalue(), station="nut")


def _try_machine(text):
    try:
        read_machine(text, name="m.toml")
    except InputErrors as told:
        problems = told.problems
    else:
        return
    assert problems
    assert all(problem.place.startswith("m.toml") for problem in problems)


@settings(max_examples=150)
@given(st.text(max_size=200))
def test_any_text_as_a_machine(text):
    _try_machine(text)


@settings(max_examples=200)
@given(
    st.sampled_from(MACHINES).flatmap(
        lambda good: mutated(good.replace("\n# ", "\n"), TOML_PIECES | st.text(max_size=3))
    )
)
def test_a_good_machine_with_slips_in_it(text):
    _try_machine(text)


@given(st.binary(max_size=300))
def test_any_bytes_decode_or_are_refused(data):
    try:
        answer = "f: " + text_of(data, name="f").text
    except InputError as told:
        answer = str(told)
    assert answer.startswith("f:")
