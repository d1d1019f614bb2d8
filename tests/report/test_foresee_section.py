"""A forecast in the report: on the page and on paper what the text says, and no less."""

import json
import re
import shutil
import subprocess
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest

from plumbrise.cautions import DEFER
from plumbrise.explain import Interval
from plumbrise.foresee.foreseeing import STAIRCASE
from plumbrise.report import html_report, pdf_report
from plumbrise.report.foresee import forecast_text
from plumbrise.report.foresee_section import RUNNING_LINES, foresee_section
from plumbrise.report.foresee_words import (
    NO_REMEDY,
    STAIRCASE_HELD,
    headline,
    place_at,
    place_name,
    worst,
)
from plumbrise.report.pictures import Pictures

TEXTS = {
    "when": "2026-11-25",
    "version": "9.8.7",
    "machine_text": "format = 1\n",
    "readings_text": "run,test\na,b\n",
}
BENCHMARK = Path(__file__).parents[2] / "benchmarks" / "results" / "foresee.json"
HOSTILE = "<script>alert(1)</script>"


def _words(page: str) -> str:
    bare = re.sub(r"<style.*?</style>|<svg.*?</svg>|<[^>]*>", " ", page, flags=re.DOTALL)
    return " ".join(unescape(bare).replace("\xa0", " ").split())


@pytest.fixture(scope="module")
def section(session, forecast):
    return foresee_section(session[0], forecast, Pictures())


@pytest.fixture(scope="module")
def page(session, answer, forecast) -> str:
    return html_report(*session, answer, forecast=forecast, **TEXTS)


def test_the_section_says_each_sentence_that_the_text_says(session, forecast, section):
    text = forecast_text(session[0], forecast)
    said = [section.headline, section.job, *section.bands_said, *section.unsure]
    said += [place.whole for place in section.places]
    for one in section.remedies:
        said += [one.title, one.words, one.gives, one.risk]
    assert len(section.remedies)
    assert len(section.bands_said)
    assert all(words in text for words in said)


def test_an_end_not_read_leads_no_forecast_and_is_said_to_be_computed(session, forecast):
    """Whichever place is furthest off: where its end was not read, one that was read leads."""
    machine = session[0]
    _, furthest, _ = worst(forecast)
    unread = replace(forecast, computed=(furthest,))
    number, leads, _ = worst(unread)
    assert number
    assert leads != furthest
    said = headline(machine, unread)
    assert said.count("computed, not read") == 1
    assert said.index(place_at(machine, leads)) < said.index(place_at(machine, furthest))
    assert f"{place_name(machine, furthest)}, computed, not read" in forecast_text(machine, unread)
    assert "not read" not in forecast_text(machine, forecast).partition("Bands")[0]
    everywhere = replace(forecast, computed=forecast.places)
    assert worst(everywhere)[1] == furthest


def test_every_remedy_stands_in_the_page_with_its_risk_and_its_lines_as_they_are(page, forecast):
    words = _words(page)
    assert any(one.lines for one in forecast.remedies)
    for one in forecast.remedies:
        assert one.title in words
        assert f"Risk: {one.risk}" in words
        assert "\n".join(one.lines) in page


def test_lines_come_with_the_cautions_of_running_them(page, section):
    words = _words(page)
    assert section.hazards.last == DEFER
    after = words[words.index("Before any line is run") :]
    assert all(hazard.words in after for hazard in RUNNING_LINES)


def test_wall_layers_and_bands_are_drawn_with_their_words(section):
    drawn = (section.wall, section.layers, section.bands)
    assert all(one.svg.startswith("<svg") and one.spoken and one.caption for one in drawn)


def test_only_the_first_layers_are_listed_and_that_is_said(section, forecast):
    assert len(section.places[0].layers.rows) < len(forecast.layers)
    assert section.not_listed.endswith("layers of 14 are listed.")


def test_a_report_without_a_forecast_foresees_nothing(session, answer):
    page = html_report(*session, answer, **TEXTS)
    assert 'id="foresee"' not in page


def test_a_forecast_after_changes_says_which_and_what_comes_without_them(session, answer, forecast):
    after = replace(forecast, changes=("thrust-bearing", "new-nut"), before=forecast)
    section = foresee_section(session[0], after, Pictures())
    words = _words(html_report(*session, answer, forecast=after, **TEXTS))
    for said in section.changes:
        assert said in words
        assert said in forecast_text(session[0], after)
    assert section.changes[0] == "After: thrust bearing that carries the weight, new plain nut."
    assert section.headline[1:] in section.changes[1]


def test_without_remedies_and_bands_no_line_is_warned_of(session, forecast):
    bare = replace(forecast, remedies=(), bands=None)
    section = foresee_section(session[0], bare, Pictures())
    assert section.remedies_said == NO_REMEDY
    assert (section.bands, section.bands_said, section.alike) == (None, (), ())
    assert section.hazards is None


def test_markup_in_a_remedy_stays_text(session, answer, forecast):
    first = replace(forecast.remedies[0], words=HOSTILE, risk=HOSTILE, lines=(HOSTILE,))
    page = html_report(
        *session, answer, forecast=replace(forecast, remedies=(first,), assumed=(HOSTILE,)), **TEXTS
    )
    assert "<script" not in page


def test_paper_shows_the_same_with_all_its_fonts_inside(session, answer, forecast, tmp_path):
    content = pdf_report(*session, answer, forecast=forecast, **TEXTS)
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not here: install poppler-utils")
    path = tmp_path / "report.pdf"
    path.write_bytes(content)
    text = subprocess.run(
        ["pdftotext", str(path), "-"], capture_output=True, text=True, check=True
    ).stdout
    words = " ".join(text.replace("\xa0", " ").split())
    assert "What a print will show" in words
    assert all(" ".join(one.risk.split()) in words for one in forecast.remedies)
    fonts = subprocess.run(["pdffonts", str(path)], capture_output=True, text=True, check=True)
    assert "Serif" not in fonts.stdout
    other = replace(forecast, remedies=(), bands=None, changes=("thrust-bearing",), before=forecast)
    bare = pdf_report(*session, answer, forecast=other, **TEXTS)
    assert bare.startswith(b"%PDF")


def test_straight_from_a_staircase_brackets_are_said_to_hold_what_they_held(session, forecast):
    stored = json.loads(BENCHMARK.read_text(encoding="utf-8"))
    some = [of["straight_from_the_staircase"]["all"] for of in (stored, stored["other_machines"])]
    layers = sum(one["layers"] for one in some)
    held = sum(100 * one["interval_of_90_holds"] * one["layers"] for one in some) / layers
    assert held - 2 < STAIRCASE_HELD <= held
    stairs = replace(forecast, source=STAIRCASE)
    said = foresee_section(session[0], stairs, Pictures()).how_sure
    assert f" {STAIRCASE_HELD} %" in said
    assert said in forecast_text(session[0], stairs)
    assert said not in forecast_text(session[0], forecast)


def test_a_thick_first_layer_within_its_tenth_hides_no_other(session, forecast):
    def off(layer, by):
        at = {p: replace(a, gap_mm=Interval(layer.nominal_mm + by, 0, 1)) for p, a in
              layer.at.items()}  # fmt: skip
        return replace(layer, at=at)

    first, second, *rest = (off(layer, 0.0) for layer in forecast.layers)
    first = off(replace(first, nominal_mm=0.4), 0.035)
    found = replace(forecast, layers=(first, off(second, 0.03), *rest), settled=3)
    assert worst(found)[0] == 2
    assert headline(session[0], found).startswith("Layer 2 comes out thick")
    assert worst(replace(found, layers=(first, second, *rest)))[0] == 0
