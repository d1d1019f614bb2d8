"""The redesign sheet and the calculators in a real browser against the real server."""

import json
import re
from datetime import UTC, datetime
from pathlib import Path

import pytest

from plumbrise.store import Shelf

MACHINE = 'arrangement = "one-screw"\nscrew = { lead_mm = 8.0 }\n'
STEPS = "told,read\n0,0\n1,0.62\n2,1.58\n3,2.57\n4,3.58\n5,4.57\n"
REDESIGN = "/m/1/redesign"
SHEETS = (
    REDESIGN,
    f"{REDESIGN}?asked=yes&aim=bands&bands=x",
    f"{REDESIGN}?asked=yes&aim=lost-motion&lost-motion=0.01&budget=1&without=set-rollers",
    "/m/2/redesign",
    "/size",
    "/size/screw",
    "/size/screw?lead_mm=3+kg",
    "/size/beam?span_mm=340&case=cantilever&force_n=10",
    "/size/stack-up?link=slot:20:0.1:0.1&link=block:19.8:0.05:0.05:-1",
    "/size/belt-loop?machine=1",
)


@pytest.fixture(scope="module")
def bench(start_bench, tmp_path_factory):
    """A bench of its own, so that the sets of changes are worked out once for all tests here."""
    place = tmp_path_factory.mktemp("redesign") / "shelf.sqlite3"
    with Shelf.open(place, now=lambda: datetime.now(UTC)) as shelf:
        shelf.import_(MACHINE, STEPS, station="gantry-left", test="coarse-steps")
        shelf.add_machine('arrangement = "two-screw"\n')
    return start_bench(place)


def _open(page, bench, query: str = "") -> None:
    bench.enter(page)
    page.goto(bench.address + REDESIGN + query)
    page.locator("[data-run]").wait_for(state="detached", timeout=120_000)
    page.get_by_role("heading", name="What money buys").or_(
        page.get_by_text("What money buys")
    ).first.wait_for(state="attached")


def _title(page) -> str:
    return page.get_by_role("heading", level=1).inner_text()


def test_a_slider_changes_the_proposal_in_place(page, bench):
    _open(page, bench)
    page.evaluate("window.same = true")
    before = _title(page)
    slider = page.get_by_role("slider", name="Lost motion after homing")
    slider.focus()
    page.keyboard.press("End")
    page.wait_for_function("was => document.querySelector('h1').innerText !== was", arg=before)
    page.wait_for_url("**lost-motion=0.3**")
    assert page.evaluate("window.same"), "the page was loaded anew"
    assert page.locator('input[name="lost-motion"]').input_value() == "0.3"
    assert slider.evaluate("e => e === document.activeElement")
    title = _title(page)
    assert " ".join(title.split()) in page.locator("#told").inner_text()
    page.reload()
    assert _title(page) == title


def test_what_is_ruled_out_is_gone_and_what_was_opened_stays_open(page, bench):
    _open(page, bench)
    first = page.locator("#set table").nth(1).locator("th b").first.inner_text()
    page.locator("#rest details.sum summary").first.click()
    page.locator("#choosing > summary").click()
    page.get_by_role("checkbox", name=f"{first}: ruled out").check()
    page.wait_for_url("**without=**")
    page.wait_for_function(
        "was => ![...document.querySelectorAll('#set th b')].some(b => b.innerText === was)",
        arg=first,
    )
    assert page.get_by_role("checkbox", name=f"{first}: ruled out").is_checked()


def test_what_cannot_be_used_is_said_at_its_field(page, bench):
    _open(page, bench)
    field = page.locator('input[name="lost-motion"]')
    field.fill("three")
    page.locator("#lost-motion-wrong", has_text="three").wait_for()
    assert field.get_attribute("aria-invalid") == "true"
    field.fill("0,08")
    page.locator("#lost-motion-wrong", has_text="three").wait_for(state="detached")
    page.wait_for_url("**lost-motion=0%2C08**")
    assert field.get_attribute("aria-invalid") is None
    page.complaints[:] = [c for c in page.complaints if "422" not in c]


def test_the_parts_list_is_kept_and_a_sum_opens_its_sheet(laptop, bench):
    _open(laptop, bench)
    with laptop.expect_download() as coming:
        laptop.get_by_role("link", name="Keep the parts list").click()
    assert Path(coming.value.path()).read_text(encoding="utf-8").startswith("count,part,size")
    laptop.locator("#rest details.sum summary").first.click()
    laptop.get_by_role("link", name="Change its inputs").first.click()
    laptop.wait_for_url("**/size/**")
    assert laptop.get_by_role("heading", name="What comes of it").is_visible()


def test_the_title_block_leads_to_the_sheet(page, bench):
    bench.enter(page)
    page.goto(f"{bench.address}/m/1")
    more = page.get_by_role("link", name="All answers")
    if more.is_visible():
        more.click()
    page.locator("#answers").get_by_role("link", name="Redesign").click()
    page.wait_for_url(f"**{REDESIGN}")


def test_a_calculator_is_used_by_somebody_with_no_machine(page, bench):
    bench.enter(page)
    page.goto(bench.address)
    page.get_by_role("link", name="Size a part").click()
    page.get_by_role("link", name="Beam", exact=True).click()
    page.get_by_role("link", name="See an example").click()
    page.wait_for_url("**span_mm=340**")
    verdict = page.locator("#verdict .verdicts").inner_text()
    page.get_by_label("Free length").fill("27 in")
    page.wait_for_function(
        "was => document.querySelector('#verdict .verdicts').innerText !== was", arg=verdict
    )
    page.locator(".sums summary").first.click()
    assert page.locator(".equation").first.is_visible()
    assert re.search(r"span_mm=27(\+|%20)in", page.url)
    now = page.locator("#verdict .verdicts").inner_text()
    page.reload()
    assert page.locator("#verdict .verdicts").inner_text() == now


def test_lines_of_a_list_grow_as_they_are_filled(laptop, bench):
    bench.enter(laptop)
    laptop.goto(f"{bench.address}/size/bearing")
    for line in range(3):
        laptop.get_by_label(f"what it is, {line + 1}").fill("thrust bearing")
        laptop.get_by_role("button", name="Work it out").click()
        laptop.wait_for_load_state()
    assert laptop.url.count("support=") == 3


def test_both_work_without_script(browser, bench):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    try:
        bench.enter(page)
        page.goto(bench.address + REDESIGN)
        page.get_by_text("All that is wanted is met").first.wait_for(timeout=120_000)
        assert not page.get_by_role("slider").first.is_visible()
        page.locator('input[name="lost-motion"]').fill("5")
        page.get_by_label("Difference of the sides", exact=True).uncheck()
        page.get_by_role("button", name="Propose").click()
        page.get_by_role("heading", level=1, name="Nothing needs changing").wait_for()
        page.goto(f"{bench.address}/size/screw")
        page.get_by_label("Travel in a turn").fill("8 mm")
        page.get_by_role("button", name="Work it out").click()
        page.wait_for_url("**lead_mm=8+mm")
        page.get_by_role("heading", name="What comes of it").wait_for()
    finally:
        context.close()


@pytest.mark.parametrize("width", [360, 683])
def test_no_sheet_runs_over_sideways(width, laptop, bench, over_sideways):
    _open(laptop, bench)
    assert over_sideways(laptop, bench, SHEETS, width) == []
    laptop.complaints[:] = [c for c in laptop.complaints if "422" not in c]


def test_everybody_can_use_every_sheet(page, bench, breaches):
    _open(page, bench)
    told = {}
    for path in (SHEETS[1], SHEETS[3], SHEETS[6], SHEETS[8]):  # each kind of sheet, with faults
        page.goto(bench.address + path)
        page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
        if found := breaches(page, both_schemes=True):
            told[path] = found
    assert told == {}, json.dumps(told, indent=1)
    page.complaints[:] = [c for c in page.complaints if "422" not in c]
