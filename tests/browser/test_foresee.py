"""The foresee sheet in a real browser against the real server."""

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from plumbrise.store import Shelf

MACHINE = 'arrangement = "one-screw"\n[travel]\nheight_mm = 250.0\n[screw]\nlead_mm = 8.0\n'
STEPS = "told,read\n0,0\n1,0.62\n2,1.58\n3,2.57\n4,3.58\n5,4.57\n"
FORESEE = "/m/1/foresee"
SHEETS = (
    f"{FORESEE}?layer=x&place=4999&spacing=8",
    f"{FORESEE}/part?left-1=0.2&left-3=0.5&right-5=x&right-10=1.3&right-3=0.5",
    f"{FORESEE}?with=thrust-bearing&with=new-nut&spiral=yes",
    "/m/2/foresee?spacing=1.6",
    "/bands?spacing=1.6",
)


@pytest.fixture(scope="module")
def bench(start_bench, tmp_path_factory):
    """A bench of its own, so that its readings are explained once for all tests here."""
    place = tmp_path_factory.mktemp("foresee") / "shelf.sqlite3"
    with Shelf.open(place, now=lambda: datetime.now(UTC)) as shelf:
        shelf.import_(MACHINE, STEPS, station="gantry-left", test="coarse-steps")
        shelf.add_machine('arrangement = "two-screw"\n')
    return start_bench(place)


def _open(page, bench, query: str = "") -> None:
    bench.enter(page)
    page.goto(bench.address + FORESEE + query)
    page.get_by_text("Thickness, layer by layer").first.wait_for(timeout=120_000)


def _title(page) -> str:
    return page.get_by_role("heading", level=1).inner_text()


def test_a_slider_and_a_choice_change_the_layers_in_place(page, bench):
    _open(page, bench)
    page.evaluate("window.same = true")
    before = _title(page)
    slider = page.get_by_role("slider", name="Layer height")
    slider.focus()
    page.keyboard.press("End")
    page.wait_for_function("was => document.querySelector('h1').innerText !== was", arg=before)
    page.wait_for_url("**layer=0.4**")
    assert slider.evaluate("e => e === document.activeElement")
    page.get_by_label("Lift between moves").select_option("every")
    page.wait_for_url("**lift=every**")
    assert page.evaluate("window.same"), "the page was loaded anew"
    title = _title(page)
    assert " ".join(title.split()) in page.locator("#told").inner_text()
    page.reload()
    assert _title(page) == title


def test_a_measured_spacing_is_answered_beside_it(page, bench):
    _open(page, bench)
    page.get_by_role("textbox", name="Bands stand apart").fill("8 mm")
    page.locator("#fits", has_text="The screw, once a turn").wait_for()
    page.get_by_role("textbox", name="Bands stand apart").fill("wide")
    page.locator("#spacing-wrong", has_text="wide").wait_for()
    page.complaints[:] = [c for c in page.complaints if "422" not in c]


def test_the_lines_of_a_remedy_are_kept(laptop, bench):
    _open(laptop, bench)
    laptop.locator(".remedies summary").first.click()
    shown = laptop.locator(".remedies pre").first.inner_text().strip()
    with laptop.expect_download() as coming:
        laptop.get_by_role("link", name="Keep these lines").first.click()
    assert Path(coming.value.path()).read_text(encoding="utf-8").strip() == shown


def test_a_print_is_put_into_the_report_with_one_press(laptop, bench):
    _open(laptop, bench, "?layer=0.3")
    laptop.get_by_role("link", name="Put it into the report").click()
    laptop.get_by_text("It stands in the report").wait_for()
    with laptop.expect_download() as coming:
        laptop.get_by_role("link", name="Report, one page").click()
    report = Path(coming.value.path()).read_text(encoding="utf-8")
    assert "Layers of 0.3 mm" in report.replace("\xa0", " ")
    laptop.get_by_role("link", name="Leave it out of the report").click()
    laptop.get_by_role("link", name="Put it into the report").wait_for()


def test_a_measured_part_is_weighed_as_it_is_typed(page, bench):
    _open(page, bench)
    page.get_by_role("link", name="Print a part as a gauge").click()
    page.wait_for_url("**/foresee/part**")
    for square, thick in (("Left, 1 layer", "0.2"), ("Left, 3 layers", "0.4")):
        page.get_by_label(square, exact=True).fill(thick)
    page.get_by_label("Right, 10 layers", exact=True).fill("1,6")
    page.get_by_role("heading", name="What the printed part says").wait_for()
    page.reload()
    assert page.get_by_label("Left, 3 layers", exact=True).input_value() == "0.4"


def test_a_change_is_ticked_and_the_print_is_foretold_after_it(page, bench):
    _open(page, bench)
    page.locator("#after > summary").click()
    page.get_by_label("Thrust bearing that carries the weight").check()
    page.locator("#forecast", has_text="As the axis is now").wait_for()
    page.wait_for_url("**with=thrust-bearing**")
    assert page.locator("#after").evaluate("e => e.open")


def test_the_title_block_leads_to_the_sheet(page, bench):
    bench.enter(page)
    page.goto(f"{bench.address}/m/1")
    more = page.get_by_role("link", name="All answers")
    if more.is_visible():
        more.click()
    page.locator("#answers").get_by_role("link", name="Foresee").click()
    page.wait_for_url(f"**{FORESEE}")


def test_it_works_without_script(browser, bench):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    try:
        _open(page, bench)
        before = _title(page)
        page.locator('input[name="layer"]').fill("0.4")
        page.get_by_role("button", name="Foresee").click()
        page.wait_for_url("**layer=0.4**")
        assert _title(page) != before
    finally:
        context.close()


def test_no_sheet_runs_over_sideways(laptop, bench):
    _open(laptop, bench)
    laptop.set_viewport_size({"width": 360, "height": 640})
    over = []
    for path in SHEETS:
        laptop.goto(bench.address + path)
        laptop.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
        if laptop.evaluate("document.documentElement.scrollWidth > window.innerWidth"):
            over.append(path)
    assert over == []
    laptop.complaints[:] = [c for c in laptop.complaints if "422" not in c]


def test_everybody_can_use_every_sheet(page, bench, breaches):
    _open(page, bench)
    told = {}
    for path in SHEETS:
        page.goto(bench.address + path)
        page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
        if found := breaches(page, both_schemes=True):
            told[path] = found
    assert told == {}, json.dumps(told, indent=1)
    page.complaints[:] = [c for c in page.complaints if "422" not in c]
