"""The redesign sheet: what is asked in the address, what is proposed for it."""

import csv
import re
import time
from html import unescape
from io import StringIO

import pytest
from starlette.datastructures import QueryParams

from plumbrise.files.workshop_file import read_workshop
from plumbrise.redesign.suiting import suited
from plumbrise.redesign.workshop import Workshop
from plumbrise.report.redesign_said import span_words
from plumbrise.web.redesign_asked import LIMITS, asked_in
from plumbrise.web.redesign_page import proposal_of, prospects_job

SCRIPT = "<script>alert(1)</script>"
BIG_LIMIT = "asked=yes&aim=lost-motion&lost-motion=5"
NARROW = "asked=yes&aim=lost-motion&lost-motion=0.05&aim=sides&sides=0.05"


def words(answer) -> str:
    said = re.sub(r"<[^>]+>", " ", re.sub(r"<svg.*?</svg>", " ", answer.text, flags=re.DOTALL))
    return re.sub(r"\s+", " ", unescape(said).replace("\xa0", " "))


@pytest.fixture
def sheet(known, pasted):
    """The address of a redesign sheet whose sets of changes are worked out."""
    until = time.monotonic() + 120
    while time.monotonic() < until:
        known.get(f"{pasted}/redesign")
        if known.get(f"{pasted}/redesign/run.json").json()["state"] == "done":
            return f"{pasted}/redesign"
        time.sleep(0.2)
    raise AssertionError("not worked out in two minutes")


@pytest.fixture
def prospects(sheet, bench):
    return prospects_job(bench, bench.story(1), wait_s=0).best


def proposed(bench, query: str):
    """The proposal that the page makes for an address."""
    story = bench.story(1)
    job = prospects_job(bench, story, wait_s=0)
    return proposal_of(bench, story, job, asked_in(QueryParams(query))[0])


def test_without_readings_the_sheet_says_what_it_waits_for(known):
    known.post("/machines", data={"arrangement": "one-screw"})
    answer = known.get("/m/1/redesign")
    assert answer.status_code == 200
    assert "A proposal needs readings" in words(answer)


def test_while_it_is_worked_out_the_sheet_says_so_and_looks_again(known, pasted, bench):
    bench.story(1, wait_s=60)
    bench.work.drop("prospects-", keep=0)  # another test may have worked them out
    answer = known.get(f"{pasted}/redesign")
    assert "Every set of changes is being worked out" in words(answer)
    assert f'data-run="{pasted}/redesign/run.json" data-state="' in answer.text
    assert 'http-equiv="refresh"' in answer.text  # where no script runs


def test_the_sheet_says_what_the_set_costs_brings_and_rests_on(known, sheet):
    said = words(known.get(sheet))
    for part in ("All that is wanted is met with", "What money buys", "What it brings",
                 "The sums behind it", "First, what costs nothing"):  # fmt: skip
        assert part in said


def test_the_title_block_holds_what_was_proposed(known, sheet, pasted):
    assert "not asked yet" not in words(known.get(sheet)).split("The answers so far")[-1]
    cell = re.search(r'href="/m/1/redesign"[^>]*><b>Redesign</b>([^<]+)<', known.get(pasted).text)
    assert "gives" in cell[1] or "reachable" in cell[1]


def test_where_the_limit_is_wide_nothing_needs_changing(known, sheet):
    assert "Nothing needs changing" in words(known.get(f"{sheet}?{BIG_LIMIT}"))


def test_a_tighter_limit_is_never_likelier(bench, sheet):
    sure = [
        proposed(bench, f"asked=yes&aim=lost-motion&lost-motion={limit}").met_already
        for limit in (0.01, 0.1, 0.3, 0.6, 5)
    ]
    assert sure == sorted(sure)


def test_a_budget_of_nothing_buys_nothing(known, bench, sheet):
    found = proposed(bench, f"{NARROW}&budget=0")
    assert all(one.cost.expected == 0 for one in found.chosen.changes)
    assert known.get(f"{sheet}?{NARROW}&budget=0").status_code == 200


def test_a_change_that_is_ruled_out_is_not_proposed(bench, sheet):
    first = proposed(bench, NARROW).chosen.line.changes
    assert first
    again = proposed(bench, f"{NARROW}&without={first[-1]}").chosen.line.changes
    assert first[-1] not in again


def test_what_is_at_hand_costs_nothing_and_what_is_ruled_out_is_in_no_set(prospects):
    there, out = prospects.changes[-1].id, prospects.changes[0].id
    own = suited(prospects, Workshop(at_hand=frozenset({there}), without=frozenset({out})))
    assert own.changes[-1].cost.high == 0
    assert not (own.masks & 1).any()
    assert set(own.masks) == {mask for mask in prospects.masks if not mask & 1}


def test_the_parts_list_is_the_one_of_the_proposed_set(known, bench, sheet):
    found = proposed(bench, NARROW)
    answer = known.get(f"{sheet}/parts.csv?{NARROW}")
    rows = list(csv.DictReader(StringIO(answer.text)))
    assert [row["part"] for row in rows] == [one.part.name for one in found.chosen.parts]
    assert "attachment" in answer.headers["content-disposition"]
    assert known.get(f"{sheet}/parts.csv?{BIG_LIMIT}").status_code == 404


def test_each_sum_opens_as_a_sheet_of_its_own_with_the_same_verdict(known, sheet):
    page = known.get(f"{sheet}?{NARROW}").text
    links = [unescape(one) for one in re.findall(r'href="(/size/[^"?]+\?[^"]+)">Change its', page)]
    assert links
    for link in links:
        answer = known.get(link)
        assert answer.status_code == 200
        verdict = re.search(r'<ul class="verdicts"><li>(.*?)</li>', answer.text)[1]
        assert verdict in page


def test_the_proposed_set_becomes_ordered_work(known, bench, sheet):
    build = sheet.replace("/redesign", "/build")
    assert known.post(f"{build}?{NARROW}", data={"do": "choose"}).status_code == 303
    made = known.get(f"{build}/files/work.json").json()
    assert made["changes"] == list(proposed(bench, NARROW).chosen.line.changes)
    assert known.post(f"{build}?{BIG_LIMIT}", data={"do": "choose"}).status_code == 422


def test_fields_left_empty_do_not_stay_in_the_address(known, sheet):
    answer = known.get(f"{sheet}?{BIG_LIMIT}&budget=&hour=")
    assert answer.status_code == 303
    assert answer.headers["location"] == f"{sheet}?{BIG_LIMIT}"


def test_what_was_asked_comes_back_in_the_fields(known, sheet):
    page = known.get(f"{sheet}?asked=yes&aim=bands&bands=0.5+thou&sure=80&budget=60").text
    assert re.search(r'name="bands" value="0.0127"', page)
    assert re.search(r'name="sure" value="80"', page)
    assert re.search(r'name="budget" value="60"', page)
    assert 'value="bands" checked' in page
    assert 'value="sides" checked' not in page


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("aim=bands&bands=x", "bands"),
        ("aim=bands&bands=3+kg", "bands"),
        ("aim=bands&bands=-1", "bands"),
        ("aim=bands&bands=1e300", "bands"),
        ("aim=bands&bands=nan", "bands"),
        ("sure=100", "sure"),
        ("sure=0", "sure"),
        ("budget=-5", "budget"),
        ("budget=1e12", "budget"),
        ("hour=inf", "hour"),
        ("asked=yes", "aim"),
        ("aim=bands&bands=" + "9" * 400, "bands"),
    ],
)
def test_what_cannot_be_used_is_said_at_its_field(query, field, known, sheet):
    answer = known.get(f"{sheet}?{query}")
    assert answer.status_code == 422
    assert re.search(rf'id="{field}-wrong" data-swap>[^<]+<', answer.text)
    assert "What it brings" in words(answer)


@pytest.mark.parametrize(
    ("query", "field", "said"),
    [
        ("without=new-nutt", "choosing", "There is no change 'new-nutt'"),
        ("asked=yes&aim=speed", "aim", "There is no figure 'speed'"),
        ("sure=120", "sure", "Reckoned with the usual 70 %."),
        ("budget=-5", "budget", "Reckoned without a bound."),
        ("workshop=hour_worth+%3D+-1", "workshop", "Reckoned with the usual prices."),
    ],
)
def test_what_stands_in_for_something_wrong_is_said(query, field, said, known, sheet):
    answer = known.get(f"{sheet}?{query}")
    assert answer.status_code == 422
    told = re.search(rf'id="{field}-wrong"[^>]*>([^<]+)<', answer.text)[1]
    assert said in unescape(told)


OWN = """currency = "CHF"
hour_worth = 25
[changes.second-screw-motor]
price = 7
[changes.new-nut]
ruled_out = true
"""


def given(known, sheet, text):
    files = {"file": ("mine.toml", text.encode(), "application/toml")}
    return known.post(f"{sheet}/workshop.toml?{NARROW}", files=files)


def test_a_workshop_file_is_taken_and_stays_in_the_address(known, bench, sheet):
    address = given(known, sheet, OWN).headers["location"]
    asked, wrong = asked_in(QueryParams(address.partition("?")[2]))
    assert not wrong
    assert asked.hour == 25
    assert asked.without == ("new-nut",)
    assert asked.workshop.prices["second-screw-motor"].likely == 7
    page = known.get(address)
    assert page.status_code == 200
    assert "7 CHF" in words(page)
    kept = known.get(
        re.search(r'href="([^"]+workshop.toml[^"]*)"', page.text)[1].replace("&amp;", "&")
    )
    assert read_workshop(kept.text, name="kept").hour_worth == 25


def test_a_workshop_file_that_cannot_be_used_is_told_with_every_fault(known, sheet):
    answer = given(known, sheet, "hour_worth = -1\n[changes.new-nutt]\nprice = 1\n")
    assert answer.status_code == 422
    assert "new-nutt" in words(answer)
    assert "hour_worth" in words(answer)


def test_a_figure_on_the_page_has_the_interval_of_the_text(known, bench, sheet):
    page = words(known.get(f"{sheet}?{NARROW}"))
    assert "95 % interval" in page
    for one in proposed(bench, NARROW).chosen.predictions:
        for then in one.after.values():
            assert span_words(one, then) in page


@pytest.mark.parametrize("field", ["sure", "budget", "hour", "aim", "without", "at-hand", *LIMITS])
def test_script_typed_into_a_field_is_text(field, known, sheet):
    answer = known.get(sheet, params={"asked": "yes", field: SCRIPT})
    assert answer.status_code < 500
    assert SCRIPT not in answer.text


def test_too_few_readings_are_said_to_be_too_few(known, shelf):
    made = shelf.import_(
        'arrangement = "one-screw"\n',
        "told,read\n0,0\n",
        station="gantry-left",
        test="coarse-steps",
    )
    until = time.monotonic() + 60
    while "data-run" in (page := known.get(f"/m/{made}/redesign").text):
        assert time.monotonic() < until
        time.sleep(0.1)
    assert "<h1>" in page
    assert known.post(f"/m/{made}/redesign", data={"do": "again"}).status_code == 303


def test_working_the_changes_out_can_be_stopped_and_begun_again(known, pasted, bench):
    story = bench.story(1, wait_s=60)
    bench.work.drop("prospects-", keep=0)  # another test may have worked them out
    try:
        assert 'name="do" value="stop"' in known.get(f"{pasted}/redesign").text
        known.post(f"{pasted}/redesign", data={"do": "stop"})
        assert prospects_job(bench, bench.story(1), wait_s=0).state == "stopped"
        assert 'name="do" value="again"' in known.get(f"{pasted}/redesign").text
        known.post(f"{pasted}/redesign", data={"do": "again"})
        assert bench.work.find(f"prospects-1-{story.fingerprint}-{bench.story(1).job.step}") is None
    finally:
        bench.work.drop("prospects-", keep=0)


def test_a_set_of_ones_own_is_taken_and_given_back(known, sheet):
    mine = f"{sheet}?{NARROW}&take=new-nut&take=set-rollers"
    said = words(known.get(mine))
    assert "This is the set you took." in said
    assert "taken by name" in said
    back = re.search(r'href="([^"]+)">Back to the cheapest set', known.get(mine).text)[1]
    assert "take=" not in back
    links = re.findall(r'href="([^"]+)" aria-label="Take this set', known.get(sheet).text)
    assert links
    assert "This is the set you took." in words(known.get(unescape(links[-1])))


def test_a_set_that_cannot_be_made_leaves_the_cheapest_and_says_so(known, sheet):
    answer = known.get(f"{sheet}?{NARROW}&take=second-screw-tied&take=second-screw-motor")
    assert answer.status_code == 422
    assert "The cheapest set stands instead." in words(answer)
