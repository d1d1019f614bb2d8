"""The report that the demo leaves behind, as a person opens it in a browser."""

import json

import pytest


@pytest.fixture(scope="session")
def report(chromium, request) -> str:
    """Where the report lies. Asks for the browser first: without one nothing is computed."""
    return (request.getfixturevalue("demo") / "report.html").as_uri()


@pytest.fixture
def opened(page, report):
    page.goto(report)
    return page


def _runs_over(page) -> bool:
    return page.evaluate("document.documentElement.scrollWidth > window.innerWidth")


def test_the_answer_is_the_title(opened):
    title = opened.get_by_role("heading", level=1)
    assert title.count() == 1
    words = title.inner_text()
    assert "mm" in words
    assert any(letter.isdigit() for letter in words)
    assert title.bounding_box()["y"] < opened.viewport_size["height"]


def test_the_page_never_scrolls_sideways(opened):
    assert not _runs_over(opened)


def test_the_page_fits_the_narrowest_phone(phone, report):
    phone.set_viewport_size({"width": 360, "height": 640})
    phone.goto(report)
    assert not _runs_over(phone)


def test_the_load_path_can_be_seen_and_has_words_for_who_cannot(opened):
    drawings = opened.locator("svg[role=img]:visible, svg[role=group]:visible, img[alt]:visible")
    assert drawings.count() >= 1
    box = drawings.first.bounding_box()
    assert box["width"] > 250
    assert box["height"] > 150
    spoken = drawings.first.evaluate(
        "e => (e.getAttribute('aria-label') || e.getAttribute('alt')"
        " || (e.querySelector('title') || {}).textContent"
        " || (document.getElementById(e.getAttribute('aria-labelledby')) || {}).textContent || '')"
    )
    assert len(spoken) > 20


def test_words_are_large_enough_to_read(opened):
    small = opened.evaluate(
        """() => [...document.querySelectorAll('body *')]
            .filter(e => [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()))
            .filter(e => e.getClientRects().length && !e.closest('svg'))
            .filter(e => parseFloat(getComputedStyle(e).fontSize) < 12)
            .map(e => e.textContent.trim().slice(0, 40))"""
    )
    assert small == []


def test_everybody_can_use_the_page(page, report, breaches):
    page.goto(report)
    told = breaches(page, both_schemes=True)
    assert told == [], json.dumps(told, indent=2)


def test_light_and_dark_are_two_looks_of_one_page(laptop, report):
    looks = []
    for scheme in ("light", "dark"):
        laptop.emulate_media(color_scheme=scheme)
        laptop.goto(report)
        looks.append(
            laptop.evaluate(
                "[getComputedStyle(document.body).backgroundColor,"
                " getComputedStyle(document.body).color]"
            )
        )
    (light_ground, light_ink), (dark_ground, dark_ink) = looks
    assert light_ground != dark_ground
    assert light_ink != dark_ink


def test_the_page_reads_alike_on_paper(laptop, report):
    laptop.goto(report)
    on_screen = laptop.get_by_role("heading", level=1).inner_text()
    laptop.emulate_media(media="print")
    assert laptop.get_by_role("heading", level=1).inner_text() == on_screen
    assert not _runs_over(laptop)
