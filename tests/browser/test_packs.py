"""A story kept as a pack and opened again, in a real browser."""

from pathlib import Path

STEPS = "told\tread\n0\t0\n1\t0.62\n2\t1.58\n3\t2.57\n4\t3.58\n5\t4.57\n"


def _open(page, bench, file: Path) -> None:
    page.goto(bench.address)
    page.get_by_text("I have a pack").click()
    page.get_by_label("Its file, ending in .zip").set_input_files(file)
    page.get_by_role("button", name="Open this pack").click()


def test_a_story_is_kept_as_a_pack_and_opened_again(page, bench, breaches, tmp_path):
    bench.enter(page)
    page.get_by_label("Paste a table").fill(STEPS)
    page.locator("#paste").get_by_label("Lead").fill("8")
    page.get_by_role("button", name="Read this table").click()
    page.wait_for_url("**/m/*")
    page.locator("[data-run]").wait_for(state="detached", timeout=60_000)
    page.goto(f"{page.url}/report")
    with page.expect_download() as coming:
        page.get_by_role("button", name="Keep the pack").click()
    kept = tmp_path / "story.zip"
    coming.value.save_as(kept)
    _open(page, bench, kept)
    page.get_by_role("heading", level=1, name="The pack is whole").wait_for()
    assert page.get_by_text("analysed again, the same numbers").is_visible()
    assert breaches(page) == []
    page.get_by_role("link", name="See the answer").click()
    page.get_by_role("heading", level=1, name="The left side loses 0.4").wait_for(timeout=60_000)


def test_a_pack_that_is_cut_is_told_where_one_looks(page, bench, breaches, tmp_path):
    golden = Path(__file__).parents[1] / "golden" / "packs" / "format-1.zip"
    cut = tmp_path / "cut.zip"
    cut.write_bytes(golden.read_bytes()[:-40])
    bench.enter(page)
    _open(page, bench, cut)
    alert = page.get_by_role("alert")
    alert.wait_for()
    assert "not whole" in alert.inner_text()
    page.wait_for_function("() => document.activeElement.name === 'pack'")
    assert alert.evaluate("e => e.getBoundingClientRect().bottom <= innerHeight")
    assert breaches(page) == []
    page.complaints[:] = [c for c in page.complaints if "422" not in c]


def test_a_plan_that_takes_its_time_comes_by_itself(laptop, bench):
    bench.enter(laptop)
    laptop.locator("#describe").get_by_text("Two screws tied").click()
    laptop.get_by_role("button", name="Draw it and plan").click()
    laptop.get_by_role("heading", name="The walk").wait_for(timeout=60_000)
    assert laptop.get_by_role("link", name="Describe the machine part by part").is_visible()
