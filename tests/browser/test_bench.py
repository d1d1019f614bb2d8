"""The local page in a real browser against the real server."""

import json
from pathlib import Path

import pytest

STEPS = "told\tread\n0\t0\n1\t0.62\n2\t1.58\n3\t2.57\n4\t3.58\n5\t4.57\n"
PAGES = (
    "", "/link/seat", "/link/racking", "/station/gantry-left", "/station/screw",
    "/cause/motor-seat", "/machine", "/machine/screw", "/machine/controller", "/plan",
    "/plan?minutes=30&symptom=bands", "/readings", "/readings/1", "/readings/1?mend=2", "/report",
)  # fmt: skip


def _paste(page, bench) -> str:
    """A pasted table's sheet, wholly explained; its address."""
    bench.enter(page)
    page.get_by_label("Paste a table").fill(STEPS)
    page.locator("#paste").get_by_label("Lead").fill("8")
    page.get_by_role("button", name="Read this table").click()
    page.wait_for_url("**/m/*")
    page.get_by_role("heading", level=1, name="loses").wait_for(timeout=30_000)
    page.locator("[data-run]").wait_for(state="detached", timeout=60_000)
    return page.url


@pytest.fixture(scope="module")
def answered(browser, bench) -> str:
    """The address of a pasted table's sheet, for tests that change nothing of it."""
    page = browser.new_page()
    base = _paste(page, bench)
    page.close()
    return base


def _runs_over(page) -> bool:
    return page.evaluate("document.documentElement.scrollWidth > window.innerWidth")


def test_a_pasted_table_is_answered(page, bench):
    _paste(page, bench)
    title = page.get_by_role("heading", level=1).inner_text()
    assert "The left side loses 0.4" in title
    assert "±" in title
    assert page.get_by_role("heading", name="Next:").is_visible()
    assert page.locator(".drawing svg:visible").count() == 1
    assert not _runs_over(page)


def test_the_drawing_is_the_way_in(laptop, bench, answered):
    bench.enter(laptop)
    laptop.goto(answered)
    first = laptop.locator(".drawing svg:visible a").first
    first.focus()
    laptop.keyboard.press("Home")
    seat = laptop.evaluate("document.activeElement.getAttribute('href')")
    assert seat.endswith("/link/seat")
    laptop.keyboard.press("ArrowUp")
    assert laptop.evaluate("document.activeElement.getAttribute('href')").endswith("/link/coupling")
    laptop.keyboard.press("Enter")
    laptop.wait_for_url("**/link/coupling")
    assert "Coupling" in laptop.title() or "together" in laptop.title()
    laptop.go_back()
    assert laptop.url == answered


def test_the_title_block_leads_on_and_says_where_one_is(page, bench, answered):
    bench.enter(page)
    page.goto(answered)
    more = page.get_by_role("link", name="All answers")
    if more.is_visible():
        more.click()
    page.locator("#answers").get_by_role("link", name="Machine").click()
    page.wait_for_url("**/machine")
    assert page.locator('#answers [aria-current="page"]').inner_text().startswith("Machine")


def test_the_report_is_kept_from_the_page(laptop, bench, answered):
    bench.enter(laptop)
    laptop.goto(answered)
    laptop.get_by_role("link", name="Keep the report").click()
    with laptop.expect_download() as coming:
        laptop.get_by_role("link", name="Report, PDF on A4").click()
    assert Path(coming.value.path()).read_bytes().startswith(b"%PDF")


def test_a_wrong_row_is_told_beside_the_table_and_the_rest_is_kept(page, bench):
    bench.enter(page)
    complaints = page.get_by_role("alert")
    page.get_by_label("Paste a table").fill("told,read\n0,0\n1,zero\n2,1.6\n")
    with page.expect_response("**/tables") as answered:
        page.get_by_role("button", name="Read this table").click()
    assert answered.value.status == 422
    assert "zero" in complaints.inner_text()
    assert "1,zero" in page.get_by_label("Paste a table").input_value()
    page.complaints[:] = [c for c in page.complaints if "422" not in c]


def test_a_reading_is_mended_in_one_tab_and_seen_in_the_other(laptop, bench):
    base = _paste(laptop, bench)
    other = laptop.context.new_page()
    other.goto(f"{base}/readings/" + _run_of(laptop, base))
    laptop.goto(other.url)
    laptop.get_by_role("link", name="Mend reading 3").click()
    laptop.locator('input[name="value"]').fill("1.70")
    laptop.get_by_role("button", name="Keep").click()
    laptop.get_by_role("cell", name="1.7", exact=True).wait_for()
    other.reload()
    assert other.get_by_role("cell", name="1.7", exact=True).is_visible()
    other.get_by_role("button", name="Take back reading 3").click()
    other.get_by_role("cell", name="1.58", exact=True).wait_for()
    other.close()


def test_an_answer_left_open_follows_readings_that_change_elsewhere(laptop, bench):
    base = _paste(laptop, bench)
    other = laptop.context.new_page()
    other.goto(f"{base}/readings/{_run_of(other, base)}?mend=5")
    other.locator('input[name="value"]').fill("3.57")
    laptop.goto(base)
    was = laptop.locator("#notes").inner_text()
    other.get_by_role("button", name="Keep").click()
    laptop.wait_for_function(
        "was => document.getElementById('notes').innerText !== was", arg=was, timeout=20_000
    )
    other.close()


def test_a_page_of_text_that_is_not_sent_yet_outlives_readings_from_elsewhere(laptop, bench):
    base = _paste(laptop, bench)
    other = laptop.context.new_page()
    other.goto(f"{base}/readings/{_run_of(other, base)}?mend=5")
    other.locator('input[name="value"]').fill("3.56")
    laptop.goto(f"{base}/wiring")
    asked = laptop.get_by_label("Board sockets, cables")
    asked.fill("# half written")
    asked.blur()
    mark = laptop.locator("#notes").get_attribute("data-mark")
    other.get_by_role("button", name="Keep").click()
    other.goto(f"{base}/wiring")
    assert other.locator("#notes").get_attribute("data-mark") != mark
    laptop.wait_for_timeout(3_000)  # it asks every 2.5 s
    assert asked.input_value() == "# half written"
    other.close()


def _run_of(page, base: str) -> str:
    page.goto(f"{base}/readings")
    return (
        page.locator('tbody a[href*="/readings/"]').first.get_attribute("href").rpartition("/")[2]
    )


def test_the_whole_way_works_without_script(browser, bench):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    try:
        bench.enter(page)
        page.get_by_label("Paste a table").fill(STEPS)
        page.get_by_role("button", name="Read this table").click()
        page.get_by_role("heading", level=1, name="loses").wait_for(timeout=30_000)
        page.get_by_role("link", name="All answers").or_(page.get_by_role("link", name="Measure"))
        page.locator("#answers").get_by_role("link", name="Measure").click()
        page.get_by_role("heading", name="The walk").wait_for(timeout=30_000)
    finally:
        context.close()


def test_nothing_over_the_wire_is_large(laptop, bench):
    sizes: list[int] = []
    laptop.on("requestfinished", lambda r: sizes.append(r.sizes()["responseBodySize"]))
    _paste(laptop, bench)
    laptop.goto(laptop.url)
    assert sum(sizes) < 300_000


@pytest.mark.parametrize("zoomed", [1, 2])
def test_no_page_runs_over_sideways(zoomed, laptop, bench, answered):
    bench.enter(laptop)
    width = 360 if zoomed == 1 else 683
    laptop.set_viewport_size({"width": width, "height": 640})
    run = f"/readings/{_run_of(laptop, answered)}"
    over = []
    for path in ("/", "/shelf", "/in", *(answered + p.replace("/readings/1", run) for p in PAGES)):
        laptop.goto(path if path.startswith("http") else bench.address + path)
        if _runs_over(laptop):
            over.append(path)
    assert over == []


def test_everybody_can_use_every_page(page, bench, answered, breaches):
    bench.enter(page)
    run = f"/readings/{_run_of(page, answered)}"
    told = {}
    for path in ("/", "/shelf", *(answered + p.replace("/readings/1", run) for p in PAGES)):
        address = path if path.startswith("http") else bench.address + path
        if "/cause/" in address:
            page.goto(answered)
            address = page.locator('a[href*="/cause/"]').first.evaluate("a => a.href")
        page.goto(address)
        if found := breaches(page, both_schemes=True):
            told[address] = found
    assert told == {}, json.dumps(told, indent=1)
