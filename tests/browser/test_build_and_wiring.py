"""The wiring sheet and the build sheet in a real browser against the real server."""

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from plumbrise.store import Shelf

AXE = Path(__file__).parent / "vendor" / "axe-core" / "axe.min.js"
MACHINE = """
name = "Heron"
arrangement = "one-screw"
travel = { height_mm = 250.0 }
screw = { diameter_mm = 8.0, lead_mm = 8.0, starts = 4, length_mm = 330.0 }
gantry = { mass_kg = 1.1 }
"""
CHOSEN = {"version": 1, "chosen": {"changes": ["clean-screw", "short-lead-screw"]}}
BUILD, WIRING = "/m/1/build", "/m/1/wiring"
SHEETS = ("/wiring", "/wiring?example=yes", WIRING, f"{WIRING}?begin=yes", BUILD,
          f"{BUILD}?step=wiring-go", f"{BUILD}?step=blocks-left&back=yes", "/m/2/build")  # fmt: skip


@pytest.fixture(scope="module")
def bench(start_bench, tmp_path_factory):
    """A bench of its own, with a machine that is being rebuilt and one of which nothing is known."""
    place = tmp_path_factory.mktemp("build") / "shelf.sqlite3"
    with Shelf.open(place, now=lambda: datetime.now(UTC)) as shelf:
        shelf.add_machine(MACHINE)
        shelf.add_machine('arrangement = "two-screw"\n')
    return start_bench(place)


def _open(page, bench, address: str) -> None:
    bench.enter(page)
    page.goto(bench.address + address)


def _heading(page) -> str:
    return page.get_by_role("heading", level=1).inner_text()


def _with_a_set(page, bench) -> None:
    """The build sheet with a set chosen, brought as a file where none is there yet."""
    _open(page, bench, BUILD)
    if page.get_by_role("link", name="Choose what to change").count():
        page.get_by_text("I have a file").click()
        page.locator('input[type="file"]').set_input_files(
            {
                "name": "p.json",
                "mimeType": "application/json",
                "buffer": json.dumps(CHOSEN).encode(),
            }
        )
        page.get_by_role("button", name="Open it").click()
        page.get_by_role("heading", name="The steps").wait_for()


def test_somebody_with_no_machine_proves_a_wiring_with_the_keyboard(page, bench):
    _open(page, bench, "/")
    page.get_by_role("link", name="Prove the wiring before power").click()
    page.get_by_role("link", name="Begin with a line").click()
    page.get_by_role("button", name="Enter the pairs").click()
    for one, other, ohm in (("1", "2", "2.9"), ("3", "4", "2,9"), ("1", "3", ""), ("1", "frame", ""), ("3", "frame", "")):  # fmt: skip
        assert not _heading(page).startswith("Go.")
        page.get_by_label("From contact").select_option(one)
        page.get_by_label("To contact").select_option(other)
        field = page.get_by_label("What the meter shows")
        if ohm:
            field.fill(ohm)
            with page.expect_navigation():
                field.press("Enter")  # the first button of the form
        else:
            page.get_by_role("button", name="No way through").click()
    assert _heading(page).startswith("Go.")
    page.locator("#measured > summary").click()
    page.get_by_role("button", name="Strike out").first.click()
    assert _heading(page).startswith("Cannot tell yet.")
    # the test may be at the next field before the page has put its reader into one
    page.complaints[:] = [c for c in page.complaints if "Autofocus" not in c]


def test_the_file_is_edited_and_kept(laptop, bench):
    _open(laptop, bench, "/wiring?example=yes")
    assert _heading(laptop).startswith("No go.")
    laptop.get_by_role("button", name="They are swapped").click()
    assert _heading(laptop).startswith("Cannot tell yet.")
    with laptop.expect_download() as coming:
        laptop.get_by_role("button", name="Harness file, TOML").click()
    assert "invented = true" in Path(coming.value.path()).read_text(encoding="utf-8")
    laptop.locator("#file > summary").click()
    laptop.get_by_label("Board sockets, cables").fill("line = 3")
    laptop.get_by_role("button", name="Judge it").click()
    laptop.get_by_role("alert").wait_for()
    laptop.complaints[:] = [c for c in laptop.complaints if "422" not in c]


def test_a_step_is_entered_left_and_taken_up(page, bench):
    _with_a_set(page, bench)
    before = _heading(page)
    page.get_by_label("In a word or two").fill("kept in before.csv")
    page.keyboard.press("Enter")
    page.wait_for_function("was => document.querySelector('h1').innerText !== was", arg=before)
    page.goto(f"{bench.address}/m/1")
    more = page.get_by_role("link", name="All answers")
    if more.is_visible():
        more.click()
    page.locator("#answers").get_by_role("link", name="Build").click()
    page.wait_for_url(f"**{BUILD}")
    assert _heading(page) != before
    page.goto(f"{bench.address}{BUILD}?step=blocks-left")
    page.get_by_role("link", name="the way back").click()
    assert page.get_by_text("Nothing has been opened").is_visible()


def test_power_waits_for_the_wiring(laptop, bench):
    _with_a_set(laptop, bench)
    laptop.goto(f"{bench.address}{BUILD}?step=wiring-go")
    assert laptop.get_by_role("heading", name="Power stays shut").is_visible()
    laptop.get_by_role("link", name="To the wiring sheet").first.click()
    laptop.wait_for_url(f"**{WIRING}")
    with laptop.expect_download() as coming:
        laptop.goto(f"{bench.address}{BUILD}")
        laptop.get_by_role("link", name="Work order, HTML").click()
    assert "<!doctype" in Path(coming.value.path()).read_text(encoding="utf-8")


@pytest.mark.parametrize("width", [360, 683])
def test_no_sheet_runs_over_sideways(width, laptop, bench, over_sideways):
    _with_a_set(laptop, bench)
    assert over_sideways(laptop, bench, SHEETS, width) == []


@pytest.mark.parametrize(("size", "scheme"), [((1366, 850), "dark"), ((390, 844), "light")])
def test_everybody_can_use_every_sheet(page, size, scheme, bench):
    page.emulate_media(color_scheme=scheme)
    _with_a_set(page, bench)
    told = {}
    for path in SHEETS[1:]:
        page.goto(bench.address + path)
        page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true; })")
        page.evaluate(AXE.read_text(encoding="utf-8"))
        found = page.evaluate("axe.run()")["violations"]
        if found:
            told[path] = [(one["id"], [n["target"] for n in one["nodes"]][:3]) for one in found]
    assert told == {}, json.dumps(told, indent=1)


def test_the_invented_example_goes_on_with_what_was_read_after_the_work(laptop, bench):
    """Last of its file: what it sets going to explain the second session ends with the bench."""
    _open(laptop, bench, "/")
    laptop.get_by_role("button", name="Open the invented example").click()
    laptop.wait_for_url("**/m/*")
    laptop.locator("#answers").get_by_role("link", name="Prove").click()
    laptop.get_by_role("button", name="Bring in the readings after the work").click()
    laptop.get_by_role("heading", name="Every figure that was judged").wait_for()
    assert "it now loses" in _heading(laptop)
    assert laptop.get_by_role("link", name="The story, one page to publish").is_visible()
