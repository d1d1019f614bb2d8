"""The harness file in and out, and every fault told at once."""

import json
from contextlib import suppress
from importlib.resources import files

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.errors import InputErrors
from plumbrise.files.harness_fields import BY_TABLE, KEYS, harness_schema
from plumbrise.files.harness_file import harness_from, read_harness
from plumbrise.files.harness_remarks import with_remarks
from plumbrise.files.harness_writing import write_harness
from plumbrise.files.wiring import wiring_dict
from plumbrise.wiring import (
    Board,
    Bridged,
    Cable,
    Drive,
    Harness,
    Line,
    Meter,
    Motor,
    Reading,
    judge,
)
from plumbrise.wiring.across import SHARED_PLUG
from plumbrise.wiring.entering import with_reading, without_reading

DEMO = (files("plumbrise.demo") / "harness.toml").read_text(encoding="utf-8")
WHOLE = """
[[line]]
name = "left"
board = { phases = [[1, 2], [3, 4]], driver_current_a = 0.8, sense = "Right hand" }
cable = { joins = [[1, 3], [2, 1], [3, 6], [4, 4]], length_m = 0.6, awg = 24 }
motor = { contacts = 6, coils = [[1, 3], [4, 6]], coil_ohm = 2.6, rated_current_a = 1.2 }
measured = [
    { at = "board", between = [1, 2], ohm = 2.7 },
    { at = "motor", between = [1, "frame"], open = true },
    { at = "cable", between = [1, 1], joined = true },
    { bridged = [1, 2], stiff = "none" },
]
"""


def test_a_file_says_what_its_owner_wrote():
    (line,) = read_harness(WHOLE, name="h.toml").lines
    assert line.board == Board(phases=((1, 2), (3, 4)), driver_current_a=0.8, sense="right-hand")
    assert line.motor == Motor(6, ((1, 3), (4, 6)), 2.6, 1.2)
    assert line.cable.wire_mm2 == pytest.approx(0.2047, abs=1e-4)
    assert line.measured == (
        Reading("board", (1, 2), ohm=2.7),
        Reading("motor", (1, 0), is_open=True),
        Reading("cable", (1, 1), joined=True),
    )
    assert line.bridged == (Bridged((1, 2), ""),)


def test_every_fault_of_a_file_is_told_at_once_with_its_line():
    broken = """
format = 2
[[line]]
name = "left"
board = { phases = [[1, 2], [3, 5]], driver_curent_a = 0.8 }
motor = { contacts = 5, coil_ohm = "2.6 ohm" }
measured = [
    { at = "bord", between = [1, 2], ohm = 2.7 },
    { at = "board", between = [1, 2] },
]
[[line]]
name = "right"
cable = { length_m = -1 }
"""
    with pytest.raises(InputErrors) as told:
        read_harness(broken, name="h.toml")
    said = [str(problem) for problem in told.value.problems]
    assert [one.split(",")[1].strip() for one in said] == [
        "line 2", "line 5", "line 6", "line 6", "line 7", "line 7", "line 13",
    ]  # fmt: skip
    assert "Did you mean driver_current_a?" in said[1]
    assert "Write coil_ohm = 2.6, without quotes." in said[3]
    assert all(one.startswith("h.toml, ") for one in said)


IMPOSSIBLE = {
    "a contact twice": ('board = { phases = [[1, 2], [2, 4]] }', "stands twice"),
    "a contact beyond the board": ('board = { phases = [[1, 2], [3, 5]] }', "contacts 1 to 4"),
    "a contact beyond the motor": ("motor = { coils = [[1, 2], [3, 6]] }", "contacts 1 to 4"),
    "two wires to one contact": ("cable = { joins = [[1, 1], [2, 1]] }", "stands twice"),
    "a line that is not there": ('cable = { to = "rigth" }', "rigth"),
    "a reading beyond": ('measured = [{ at = "board", between = [1, 6], open = true }]', "1 to 4"),
    "a reading of one contact": (
        'measured = [{ at = "board", between = [2, 2], open = true }]', "two contacts",
    ),
    "ohms and open": (
        'measured = [{ at = "board", between = [1, 2], open = true, ohm = 3 }]', "one of ohm",
    ),
    "bridged and nothing turned": ("measured = [{ bridged = [1, 2] }]", "bridged and stiff"),
    "two gauges": ("cable = { awg = 24, wire_mm2 = 0.2 }", "one of the two"),
    "the frame first": (
        'measured = [{ at = "cable", between = ["frame", 2], open = true }]', '"frame"',
    ),
    "a number as text": ('motor = { coil_ohm = "warm" }', "leave it out"),
    "no table": ("motor = 3", "a table"),
    "ohms beyond a float": (f"motor = {{ coil_ohm = 1{'0' * 400} }}", "0.1 to 200"),
    "ohms that are no number": ("motor = { coil_ohm = nan }", "0.1 to 200"),
}  # fmt: skip


@pytest.mark.parametrize("case", IMPOSSIBLE)
def test_what_cannot_be_is_refused_in_words(case):
    line, said = IMPOSSIBLE[case]
    with pytest.raises(InputErrors, match=r"h\.toml") as told:
        read_harness(f'[[line]]\nname = "left"\n{line}\n', name="h.toml")
    assert said in str(told.value)


@pytest.mark.parametrize(
    "text", ["", "[line]\nname = 'x'", "line = 3", "[[line]]", "a = ", "[[line"]
)
def test_what_is_no_harness_is_refused(text):
    with pytest.raises(InputErrors):
        read_harness(text, name="h.toml")


def test_a_line_is_not_named_as_the_plug_at_which_motors_meet():
    with pytest.raises(InputErrors, match="another name"):
        read_harness(f'[[line]]\nname = "{SHARED_PLUG}"\n', name="h.toml")


def test_two_lines_of_one_name_are_refused():
    with pytest.raises(InputErrors, match="a name of its own"):
        read_harness('[[line]]\nname = "a"\n[[line]]\nname = "a"\n', name="h.toml")


contacts = st.integers(1, 4)
readings = st.builds(
    lambda at, one, other, ohm: Reading(at, (one, other), ohm=ohm, is_open=ohm is None),
    st.sampled_from(("board", "motor")),
    st.integers(1, 2),
    st.sampled_from((0, 3, 4)),
    st.none() | st.floats(0, 1e6, allow_nan=False),
)
lines = st.builds(
    lambda joins, amps, length, measured, bridged: Line(
        "left",
        Board(phases=((1, 2), (3, 4)), driver_current_a=amps),
        Cable(tuple(zip((1, 2, 3, 4), joins, strict=True)), length_m=length, wire_mm2=0.2),
        Motor(4, ((1, 2), (3, 4)), 2.6),
        tuple(measured),
        bridged,
    ),
    st.permutations((1, 2, 3, 4)),
    st.none() | st.floats(0.1, 3),
    st.none() | st.floats(0.1, 5),
    st.lists(readings, max_size=6),
    st.sampled_from(((), (Bridged((1, 2), "left"),), (Bridged((3, 4), ""),))),
)


@given(lines, st.builds(Meter, st.none() | st.floats(0, 1), st.none() | st.floats(0, 40)))
def test_what_is_written_is_read_back_the_same(line, meter):
    other = Line("right", axis="x", cable=Cable(to="left"))
    drive = Drive("parallel", "adaptor", (Reading("board", (1, 2), ohm=1.4),))
    harness = Harness((line, other), drive, meter, 'the "shed" one', True)
    assert read_harness(write_harness(harness), name="h.toml") == harness


@given(st.recursive(
    st.none() | st.booleans() | st.integers(-3, 9) | st.floats() | st.text(max_size=6),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(
        st.sampled_from([key.name for key in KEYS] + ["line", "measured", "board", "motor", "cable",
                                                      "drive", "meter"]), inner, max_size=5),
    max_leaves=25,
))  # fmt: skip
def test_no_tree_of_tables_does_worse_than_a_refusal(tree):
    given = {"line": [{"name": "left", "measured": tree, "board": tree}], "drive": tree}
    for one in (given, tree if isinstance(tree, dict) else {"line": tree}):
        with suppress(InputErrors):
            judge(harness_from(one))


REMARKS = st.text(st.characters(blacklist_categories=("Cs", "Cc")), max_size=12)


@given(st.data())
def test_remarks_stay_when_a_reading_is_entered(data):
    """Behind any line of a file and above any; strings that hold the sign of a remark are none."""
    lines = DEMO.replace('"lift"', '"lift # first"').split("\n")
    marks = data.draw(st.lists(st.tuples(st.integers(0, len(lines) - 1), REMARKS, st.booleans())))
    for at, words, behind in marks:
        lines[at] = f"{lines[at]} # {words}" if behind else f"# {words}\n{lines[at]}"
    before = "\n".join(lines)
    harness = with_reading(
        read_harness(before, name="h"), "carriage", Reading("board", (1, 0), is_open=True)
    )
    made = with_remarks(write_harness(harness), before)
    assert read_harness(made, name="h") == harness
    assert all(f"# {words}".strip() in made for _, words, _ in marks)
    assert with_remarks(write_harness(harness), made) == made


def test_a_remark_stays_with_its_reading_and_goes_above_when_that_is_struck_out():
    row = '{ at = "board", between = [1, 2], ohm = 3.0 },'
    before = DEMO.replace(row, f"{row} # wiggled", 1)
    harness = read_harness(before, name="h")
    assert f"{row}  # wiggled\n" in with_remarks(write_harness(harness), before)
    struck = with_remarks(write_harness(without_reading(harness, "lift", 0)), before)
    assert '# wiggled\n[[line]]\nname = "lift"' in struck


def test_the_schema_takes_the_demo_and_the_verdict_has_its_own():
    import tomllib

    jsonschema.validate(tomllib.loads(DEMO), harness_schema())
    shipped = files("plumbrise.files") / "schema" / "wiring.schema.json"
    schema = json.loads(shipped.read_text(encoding="utf-8"))
    for text in (DEMO, WHOLE, '[[line]]\nname = "left"\n'):
        made = wiring_dict(judge(read_harness(text, name="h.toml")))
        jsonschema.validate(made, schema)


@pytest.mark.parametrize("key", KEYS, ids=lambda key: key.key)
def test_the_example_of_a_key_is_what_its_reader_takes(key):
    import tomllib

    value = tomllib.loads(f"x = {key.example}")["x"]
    assert key.read(value) is not None
    assert BY_TABLE[key.table][key.name] is key
    jsonschema.validate(value, key.schema)
