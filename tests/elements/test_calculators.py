"""What holds of every calculator: it can be used without a machine, and says what it rests on."""

import json
import shlex
from dataclasses import replace
from math import isnan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import validate

from plumbrise.elements.answered import answered
from plumbrise.elements.asked import checked
from plumbrise.elements.calculators import KINDS, calculator
from plumbrise.elements.worked import Asked, sheet
from plumbrise.errors import InputError, InputErrors
from plumbrise.files import schema
from plumbrise.files.machine_fields import FIELDS
from plumbrise.files.sizing import sheet_dict
from plumbrise.report.sizing import sheet_text

UNITS = {
    "mm": "mm",
    "n": "N",
    "nmm": "N·mm",
    "deg": "°",
    "kg": "kg",
    "a": "A",
    "v": "V",
    "s": "s",
    "n_per_mm": "N/mm",
    "n_per_mm2": "N/mm²",
    "nmm_per_rad": "N·mm/rad",
    "percent": "%",
}
"""Last part of a name -> the unit that it promises."""


def typed_example(made):
    """The values of a calculator's own example."""
    texts = {}
    words = shlex.split(made.example)
    for option, text in zip(words[::2], words[1::2], strict=True):
        texts.setdefault(option.removeprefix("--").replace("-", "_"), []).append(text)
    assert set(texts) <= {one.name for one in made.asked}
    return answered(made.asked, texts)


def worked_example(kind):
    made = calculator(kind)
    return sheet(made, typed_example(made))


@pytest.fixture(params=KINDS)
def kind(request):
    return request.param


def test_a_kind_is_told_in_a_sentence(kind):
    made = calculator(kind)
    assert made.kind == kind
    assert made.purpose.endswith(".")
    assert len(made.purpose) <= 90


def test_the_example_makes_a_sheet_that_says_something(kind):
    worked = worked_example(kind).worked
    assert worked.verdicts
    assert worked.sums
    assert not any(isinstance(one.value, float) and isnan(one.value) for one in worked.sums)


def test_each_sum_uses_inputs_or_sums_above_it(kind):
    made = worked_example(kind)
    known = {one.name for one in made.calculator.asked}
    for one in made.worked.sums:
        assert set(one.uses) <= known, one.name
        assert one.name not in known
        known.add(one.name)
    for verdict in made.worked.verdicts:
        assert set(verdict.uses) <= known


def test_each_sum_says_its_equation_and_its_words_start_small(kind):
    for one in worked_example(kind).worked.sums:
        assert one.equation
        assert one.what
        assert not one.what.endswith(".")


def test_a_name_ends_with_its_unit(kind):
    made = worked_example(kind)
    asked = [part for one in made.calculator.asked for part in (one, *one.each)]
    for one in (*asked, *made.worked.sums):
        if one.unit:
            endings = [ending for ending, unit in UNITS.items() if unit == one.unit]
            assert not endings or one.name.endswith(tuple(f"_{e}" for e in endings)), one.name


def test_what_people_are_told_ends_as_sentences_do(kind):
    worked = worked_example(kind).worked
    for words in (*(v.words for v in worked.verdicts), *worked.warnings, *worked.steps):
        assert words.endswith("."), words
        assert "!" not in words


def test_defaults_are_values_that_may_be_given(kind):
    made = calculator(kind)
    given = {one.name: one.default for one in made.asked if one.default is not None}
    for one in made.asked:
        if one.default is not None and not one.choices and not one.free:
            assert one.low is None or one.low <= one.default
            assert one.high is None or one.default <= one.high
    example = typed_example(made)
    assert sheet(made, given | example).worked == sheet(made, example).worked


def test_a_field_of_the_machine_file_is_one_of_the_same_unit(kind):
    for one in calculator(kind).asked:
        if one.field:
            assert one.unit in ("", FIELDS[one.field].unit)


def test_what_lies_beyond_its_limits_is_refused_by_name_all_at_once(kind):
    made = calculator(kind)
    beyond = {
        one.name: one.high + 1 + abs(one.high)
        for one in made.asked
        if one.high is not None and not one.each
    }
    with pytest.raises(InputErrors) as told:
        sheet(made, typed_example(made) | beyond)
    assert {problem.place for problem in told.value.problems} >= set(beyond)


def test_a_sheet_is_written_as_its_schema_promises(kind):
    made = worked_example(kind)
    written = json.loads(json.dumps(sheet_dict(made), allow_nan=False))
    validate(written, schema("sheet"))


def test_a_sheet_in_words_names_each_figure_and_in_full_each_equation(kind):
    made = worked_example(kind)
    short, whole = sheet_text(made), sheet_text(made, whole=True)
    for one in made.worked.sums:
        assert one.what in short
        assert one.equation.split("\n")[0] in whole
    assert all(one.asked.name in whole for one in made.used)


def values_of(asked: Asked):
    if asked.each:
        item = st.fixed_dictionaries({one.name: values_of(one) for one in asked.each})
        return st.lists(item, min_size=asked.fewest, max_size=asked.fewest + 2)
    if asked.choices:
        made = st.sampled_from(asked.choices)
    elif asked.free:
        made = st.sampled_from(["a", "b", "c"])
    else:
        low = asked.low if asked.low is not None else -1e6
        high = asked.high if asked.high is not None else max(1e6, low)
        whole = st.integers(int(low), int(min(high, low + 1000)))
        made = whole if asked.whole else st.floats(low, high)
    return st.none() | made if asked.optional or asked.default is not None else made


@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=20)
@given(st.data())
def test_any_inputs_within_the_limits_make_a_sheet_or_are_refused(kind, data):
    made = calculator(kind)
    example = typed_example(made)
    changed = data.draw(st.sets(st.sampled_from([one.name for one in made.asked]), max_size=6))
    drawn = {one.name: data.draw(values_of(one)) for one in made.asked if one.name in changed}
    try:
        found = sheet(made, example | drawn)
    except (InputError, InputErrors):
        return
    for one in found.worked.sums:
        assert not (isinstance(one.value, float) and isnan(one.value)), one.name
    json.dumps(sheet_dict(found), allow_nan=False)


def test_an_unknown_kind_is_refused_with_those_there_are():
    with pytest.raises(InputError) as told:
        calculator("wheel")
    assert all(kind in told.value.allowed for kind in KINDS)


CHAIN = Asked(
    "link_mm", "a link", each=(Asked("name", "its name"), Asked("plus_mm", "more", "mm", low=0)),
    fewest=1,
)  # fmt: skip
ASKED = (
    Asked("span_mm", "span", "mm", low=1, high=100),
    Asked("turns", "turns", low=1, high=9, whole=True, default=2),
    Asked("way", "way", choices=("up", "down"), default="up"),
    CHAIN,
)


def test_items_are_typed_part_by_part_each_in_its_unit():
    found = answered(ASKED, {"link_mm": ["left:1in", "right: 2"], "way": ["Down"]})
    assert found == {
        "link_mm": [{"name": "left", "plus_mm": 25.4}, {"name": "right", "plus_mm": 2.0}],
        "way": "down",
    }


@pytest.mark.parametrize(
    ("name", "text", "place"),
    [
        ("span_mm", "wide", "span_mm"),
        ("span_mm", "3 kg", "span_mm"),
        ("way", "left", "way"),
        ("link_mm", "a:1:2", "link_mm 1"),
        ("link_mm", "a:far", "link_mm 1, plus_mm"),
    ],
)
def test_what_cannot_be_read_is_named(name, text, place):
    known = {"span_mm": 5.0, "link_mm": [{"name": "a", "plus_mm": 1.0}]}
    with pytest.raises(InputErrors) as told:
        answered(ASKED, {name: [text]}, known)
    assert [problem.place for problem in told.value.problems] == [place]


@given(st.sampled_from([one.name for one in ASKED]), st.text(max_size=12))
def test_any_text_is_a_value_or_is_refused_at_its_input(name, text):
    known = {"span_mm": 5.0, "link_mm": [{"name": "a", "plus_mm": 1.0}]}
    places = []
    try:
        checked(ASKED, answered(ASKED, {name: [text]}, known))
    except InputErrors as refused:
        places = [problem.place for problem in refused.problems]
    assert all(place.startswith(name) for place in places)


@pytest.mark.parametrize(
    ("changes", "place"),
    [
        ({"span_mm": None}, "span_mm"),
        ({"span_mm": 0.5}, "span_mm"),
        ({"span_mm": "5"}, "span_mm"),
        ({"span_mm": True}, "span_mm"),
        ({"turns": 1.5}, "turns"),
        ({"way": "left"}, "way"),
        ({"link_mm": []}, "link_mm"),
        ({"link_mm": [{"name": "a", "plus_mm": -1}]}, "link_mm 1, plus_mm"),
        ({"colour": 3}, "colour"),
    ],
)
def test_a_value_that_is_not_allowed_is_named(changes, place):
    made = replace(calculator("beam"), asked=ASKED)
    sound = {"span_mm": 5.0, "link_mm": [{"name": "a", "plus_mm": 1.0}]}
    with pytest.raises(InputErrors) as told:
        sheet(made, sound | changes)
    assert [problem.place for problem in told.value.problems] == [place]
