"""The whole story through the page: explain, redesign, build, read again, prove, publish."""

import json
from importlib.resources import files
from pathlib import Path

import pytest

from plumbrise.files import read_pack

KEPT = files("plumbrise.demo").joinpath("session")
BEFORE = "told,read\n" + "".join(f"{i},{max(0, i - 0.4):.2f}\n" for i in range(7))
AFTER = "told,read\n" + "".join(f"{i},{max(0, i - 0.1):.2f}\n" for i in range(7))
SLOW_MS = 120_000


def _worked_out(page) -> None:
    page.locator("[data-run]").wait_for(state="detached", timeout=SLOW_MS)


def _cell(page, title: str) -> None:
    page.locator("#answers").get_by_role("link", name=title).click()


def _kept(page, link: str, to: Path) -> Path:
    with page.expect_download(timeout=SLOW_MS) as coming:
        page.get_by_role("link", name=link).click()
    coming.value.save_as(to)
    return to


@pytest.fixture(scope="module")
def sheet(browser, bench) -> str:
    """The address of the prove sheet of a pasted table that was read again, worked out."""
    page = browser.new_page()
    bench.enter(page)
    page.get_by_label("Paste a table").fill(BEFORE)
    page.locator("#paste").get_by_label("Lead").fill("8")
    page.get_by_role("button", name="Read this table").click()
    page.wait_for_url("**/m/*")
    address = page.url.partition("?")[0] + "/prove"
    page.goto(address)
    page.locator("#give textarea").fill(AFTER)
    page.get_by_role("button", name="Keep and compare").click()
    page.get_by_role("heading", name="Every figure that was judged").wait_for()
    _worked_out(page)
    page.close()
    return address


@pytest.fixture(scope="module")
def again(tmp_path_factory) -> Path:
    """What the invented owner read after the work, but for the set-ups that take long to explain."""
    lines = (KEPT / "after-readings.csv").read_text(encoding="utf-8").splitlines()
    few = [one for one in lines if one.split(",")[1] in ("test", "coarse-steps", "dead-weight")]
    path = tmp_path_factory.mktemp("again") / "after.csv"
    path.write_text("\n".join(few), encoding="utf-8")
    return path


def test_from_the_first_answer_to_the_story_to_publish(laptop, bench, again, tmp_path):
    page = laptop
    bench.enter(page)
    page.get_by_role("button", name="Open the invented example").click()
    page.wait_for_url("**/m/*")
    _worked_out(page)
    _cell(page, "Redesign")
    page.get_by_role("button", name="Make the work order").click(timeout=SLOW_MS)
    page.get_by_role("heading", name="The steps").wait_for()
    _cell(page, "Prove")
    page.locator("#give input[name=file]").set_input_files(again)
    page.locator("#give input[name=machine]").set_input_files(str(KEPT / "after-machine.toml"))
    page.get_by_role("button", name="Keep and compare").click()
    page.get_by_role("heading", name="Every figure that was judged").wait_for()
    title = page.get_by_role("heading", level=1).inner_text()
    assert "it now loses" in title
    _worked_out(page)
    for heading in ("Did it go as foretold?", "Where the loss went", "What is left"):
        assert page.get_by_role("heading", name=heading).is_visible()
    story = _kept(page, "The story, one page to publish", tmp_path / "story.html")
    packed = read_pack(_kept(page, "The pack", tmp_path / "pack.zip").read_bytes())
    assert packed.build["changes"] == packed.proposal["chosen"]["changes"]
    assert len(packed.proof["proofs"]) == 1
    _cell(page, "Explain")
    assert "better" in page.locator("#answers").get_by_role("link", name="Prove").inner_text()
    page.goto(story.as_uri())
    assert page.get_by_role("heading", level=1).inner_text() == title


def test_everybody_can_use_the_sheet_at_any_width(page, bench, sheet, breaches):
    bench.enter(page)
    page.goto(sheet)
    page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
    found = breaches(page, both_schemes=True)
    assert found == [], json.dumps(found, indent=1)
    for width in (page.viewport_size["width"], 360, 683):
        page.set_viewport_size({"width": width, "height": 700})
        assert not page.evaluate("document.documentElement.scrollWidth > window.innerWidth")


def test_it_works_without_script(browser, bench, sheet):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    try:
        bench.enter(page)
        page.goto(sheet)
        assert "it now loses" in page.get_by_role("heading", level=1).inner_text()
        page.locator("#prints > details > summary").click()
        page.locator("#prints textarea").first.fill("what,place\nwall,left\n")
        page.get_by_role("button", name="Keep the measurements").click()
        assert "told_mm" in page.get_by_role("alert").inner_text()
        page.goto(f"{sheet}?before={_number(sheet) + 1}&after={_number(sheet)}")
        assert "loses more" in page.get_by_role("heading", level=1).inner_text()
        page.locator("#choose > details > summary").click()
        page.get_by_role("button", name="Compare these").click()
        assert "loses more" in page.get_by_role("heading", level=1).inner_text()
    finally:
        context.close()


def _number(sheet: str) -> int:
    return int(sheet.split("/")[-2])
