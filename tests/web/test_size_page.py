"""Every calculator as a sheet of its own on the page."""

import re
from html import unescape

import pytest
from starlette.datastructures import QueryParams

from plumbrise.elements.answered import answered
from plumbrise.elements.calculators import KINDS, calculator
from plumbrise.elements.worked import sheet
from plumbrise.web.size_asked import address, typed_in
from plumbrise.web.size_page import _example
from plumbrise.web.worked_said import as_typed

SCRIPT = "<script>alert(1)</script>"
MACHINE = 'arrangement = "one-screw"\nguide = { span_mm = 312.0 }\nscrew = { lead_mm = 8.0 }\n'
WEIRD = (
    "1e308",
    "-1e308",
    "nan",
    "inf",
    "9" * 300,
    "٣",
    "1/0",
    "\x00",
    "%00",
    "8 furlongs",
    SCRIPT,
)


def words(answer) -> str:
    said = re.sub(r"<[^>]+>", " ", answer.text)
    return re.sub(r"\s+", " ", unescape(said).replace("\xa0", " "))


def example(kind: str) -> str:
    """The address of a kind's example."""
    return address(f"/size/{kind}", _example(calculator(kind)), None)


def worked(kind: str, query: str):
    made = calculator(kind)
    return sheet(made, answered(made.asked, typed_in(QueryParams(query), made.asked)))


def test_every_kind_is_listed_with_the_question_it_answers(known):
    said = words(known.get("/size"))
    for kind in KINDS:
        assert calculator(kind).purpose in said


def test_the_start_leads_to_the_calculators(known):
    assert 'href="/size"' in known.get("/").text


@pytest.mark.parametrize("kind", KINDS)
def test_a_first_look_at_a_form_finds_no_fault_with_it(kind, known):
    answer = known.get(f"/size/{kind}")
    assert answer.status_code == 200
    assert "aria-invalid" not in answer.text
    for one in calculator(kind).asked:
        assert f'name="{one.name}' in answer.text


@pytest.mark.parametrize("kind", KINDS)
def test_the_sheet_says_each_verdict_and_each_sum_with_its_equation(kind, known):
    there = example(kind)
    answer = known.get(there)
    assert answer.status_code == 200
    said = words(answer)
    made = worked(kind, there.partition("?")[2])
    for verdict in made.worked.verdicts:
        assert verdict.words in said
    for one in made.worked.sums:
        assert f"{one.symbol} = {one.equation}".split(" <")[0] in said
        assert one.source in said


@pytest.mark.parametrize("kind", KINDS)
def test_the_given_inputs_of_a_sheet_make_the_same_sheet_again(kind):
    made = worked(kind, example(kind).partition("?")[2])
    again: dict[str, list[str]] = {}
    for name, text in as_typed(made):
        again.setdefault(name, []).append(text)
    assert sheet(made.calculator, answered(made.calculator.asked, again)) == made


def test_a_length_in_inches_is_the_same_length(known):
    inches = words(known.get("/size/beam?span_mm=10+in&force_n=6"))
    assert (
        words(known.get("/size/beam?span_mm=254&force_n=6")).split("Beam")[-1]
        == inches.split("Beam")[-1]
    )


def test_items_typed_part_by_part_stand_in_the_address_as_one_word_each(known):
    answer = known.get(
        "/size/bearing?support.0.name=thrust+bearing&support.0.end=bottom&support.0.holds="
        "&support.1.name=&bore_mm=8"
    )
    assert answer.status_code == 303
    assert answer.headers["location"] == "/size/bearing?bore_mm=8&support=thrust+bearing%3Abottom"
    page = known.get(answer.headers["location"]).text
    assert 'name="support.0.name" value="thrust bearing"' in page


def test_an_address_leads_to_itself(known):
    for kind in KINDS:
        assert known.get(example(kind)).status_code == 200


def test_what_a_machine_says_is_filled_in_and_follows_it(known, shelf):
    made = shelf.add_machine(MACHINE)
    page = known.get(f"/size/beam?machine={made}")
    assert 'name="span_mm" value="312"' in page.text
    answer = known.get(f"/size/beam?machine={made}&span_mm=312&force_n=4&material=")
    assert answer.headers["location"] == f"/size/beam?machine={made}&force_n=4"
    own = known.get(f"/size/beam?machine={made}&span_mm=200")
    assert 'name="span_mm" value="200"' in own.text


@pytest.mark.parametrize("machine", ["99", "x", "-1", "9" * 40, SCRIPT])
def test_a_machine_that_is_none_fills_in_nothing(machine, known):
    answer = known.get("/size/beam", params={"machine": machine})
    assert answer.status_code == 422
    assert "a machine on the shelf" in words(answer)
    assert SCRIPT not in answer.text


@pytest.mark.parametrize(
    ("query", "field", "told"),
    [
        ("lead_mm=8+kg", "lead_mm", "kg is a mass"),
        ("lead_mm=-3", "lead_mm", "allowed"),
        ("mass_kg=2", "lead_mm", "Give it: travel in a turn"),
        ("lead_mm=8&mass_kg=1e9", "mass_kg", "200 kg"),
    ],
)
def test_what_cannot_be_used_is_said_at_its_field(query, field, told, known):
    answer = known.get(f"/size/screw?{query}")
    assert answer.status_code == 422
    found = re.search(rf'id="{field}-wrong" data-swap>([^<]+)<', answer.text)
    assert told in unescape(found[1])


def test_a_kind_that_is_none_is_not_there(known):
    assert known.get("/size/wheel").status_code == 404


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("weird", WEIRD, ids=range(len(WEIRD)))
def test_no_input_breaks_a_sheet_or_becomes_markup(kind, weird, known):
    given = _example(calculator(kind))
    for one in calculator(kind).asked[:6]:
        answer = known.get(
            f"/size/{kind}", params={**given, one.name: weird}, follow_redirects=True
        )
        assert answer.status_code in (200, 414, 422), one.name
        assert SCRIPT not in answer.text


@pytest.mark.parametrize("kind", KINDS)
def test_the_ends_of_every_range_make_a_sheet_or_are_refused(kind, known):
    given = _example(calculator(kind))
    for one in calculator(kind).asked:
        for end in (one.low, one.high):
            if end is not None and not one.each:
                own = {**given, one.name: f"{end:.17g}"}
                answer = known.get(f"/size/{kind}", params=own, follow_redirects=True)
                assert answer.status_code in (200, 422), (one.name, end)
