"""The story page that the invented example leaves behind, as a reader opens it."""

from importlib.resources import files
from pathlib import Path

import pytest

from plumbrise.api import prove, stage
from plumbrise.demo import scenario
from plumbrise.files import read_machine, read_readings
from plumbrise.readings import scale_of


@pytest.fixture(scope="session")
def story(chromium, tmp_path_factory) -> Path:
    """The page. Asks for the browser first: without one nothing is computed."""
    kept = files("plumbrise.demo").joinpath("session")
    example = scenario()
    machine = read_machine(
        kept.joinpath("after-machine.toml").read_text(encoding="utf-8"), name="machine"
    )
    readings = read_readings(
        kept.joinpath("after-readings.csv").read_bytes(),
        name="readings",
        scale=scale_of(machine),
        arrangement=machine.arrangement,
    )
    answer = prove(
        stage("before", example.machine, example.readings), stage("after", machine, readings)
    )
    page = tmp_path_factory.mktemp("story") / "story.html"
    page.write_text(answer.story(when="2026-01-31"), encoding="utf-8")
    return page


def _runs_over(page) -> bool:
    return page.evaluate("document.documentElement.scrollWidth > window.innerWidth")


def test_the_story_never_scrolls_sideways(page, story):
    page.goto(story.as_uri())
    assert not _runs_over(page)


def test_the_story_fits_the_narrowest_phone(phone, story):
    phone.set_viewport_size({"width": 360, "height": 640})
    phone.goto(story.as_uri())
    assert not _runs_over(phone)


def test_the_answer_and_whether_it_is_fair_stand_before_the_drawing(page, story):
    page.goto(story.as_uri())
    title = page.get_by_role("heading", level=1).bounding_box()
    fair = page.get_by_text("done both times").bounding_box()
    drawing = page.locator(".pair svg").first.bounding_box()
    assert title["y"] < fair["y"] < drawing["y"]


def test_both_drawings_stand_side_by_side_on_a_laptop(page, story):
    page.set_viewport_size({"width": 1366, "height": 850})
    page.goto(story.as_uri())
    before, after = (page.locator(".pair svg").nth(i).bounding_box() for i in (0, 1))
    assert before["x"] + before["width"] <= after["x"]


def test_the_data_can_be_kept_from_the_page(page, story, tmp_path):
    page.goto(story.as_uri())
    with page.expect_download() as kept:
        page.get_by_role("link", name="before-readings.csv").click()
    kept.value.save_as(tmp_path / "kept.csv")
    again = read_readings(
        (tmp_path / "kept.csv").read_bytes(), name="kept", scale=scale_of(scenario().machine)
    )
    assert again.count == scenario().readings.count


def test_the_story_passes_the_checks_of_access(page, story, breaches):
    page.goto(story.as_uri())
    assert breaches(page, both_schemes=True) == []
