"""A forecast in the report: on the page and on paper what the text says, and no less."""

import re
import shutil
import subprocess
from dataclasses import replace
from html import unescape

import pytest

from plumbrise.cautions import DEFER
from plumbrise.report import html_report, pdf_report
from plumbrise.report.foresee import forecast_text
from plumbrise.report.foresee_section import RUNNING_LINES, foresee_section
from plumbrise.report.foresee_words import NO_REMEDY
from plumbrise.report.pictures import Pictures

TEXTS = {
    "when": "2026-11-25",
    "version": "9.8.7",
    "machine_text": "format = 1\n",
    "readings_text": "run,test\na,b\n",
}
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
