"""Before against after in the report: on the page and on paper what is said of it, and no less."""

import re
import shutil
import subprocess
from dataclasses import replace
from html import unescape

import pytest

from plumbrise.api import prove, stage
from plumbrise.explain import Interval
from plumbrise.report import html_report, pdf_report
from plumbrise.report.pictures import Pictures
from plumbrise.report.proof_section import proof_section

TEXTS = {
    "when": "2026-11-26",
    "version": "9.8.7",
    "machine_text": "format = 1\n",
    "readings_text": "run,test\na,b\n",
}
HOSTILE = "<script>alert(1)</script>"
PROMISED = {
    "lost-motion": {
        "gantry-left": Interval(0.05, 0.01, 0.2),
        "motor-shaft-right": Interval(1, 0, 2),
    }
}


@pytest.fixture(scope="module")
def proved(session, after_the_work, answer):
    machine, readings, _ = session
    before = stage("before", machine, readings, explanation=answer)
    return prove(before, stage(HOSTILE, *after_the_work), promised=PROMISED).proved


@pytest.fixture(scope="module")
def section(proved):
    return proof_section(proved, Pictures())


def _words(page: str) -> str:
    bare = re.sub(r"<style.*?</style>|<svg.*?</svg>|<[^>]*>", " ", page, flags=re.DOTALL)
    return " ".join(unescape(bare).replace("\xa0", " ").split())


def test_every_judged_figure_stands_on_the_page_with_its_verdict(session, answer, proved, section):
    page = html_report(*session, answer, proved=proved, **TEXTS)
    assert HOSTILE not in page
    words = _words(page)
    assert words.index(section.fairness) < words.index(section.lead)
    for one in section.judged:
        assert f"{one.name} {one.before} {one.after} {one.verdict} {one.why}" in words
    for said in (section.title, section.kept, section.left, section.scale):
        assert said in words


def test_paper_says_the_same_and_what_least_would_have_shown(
    session, answer, proved, section, tmp_path
):
    content = pdf_report(*session, answer, proved=proved, **TEXTS)
    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not here: install poppler-utils")
    path = tmp_path / "report.pdf"
    path.write_bytes(content)
    text = subprocess.run(
        ["pdftotext", str(path), "-"], capture_output=True, text=True, check=True
    ).stdout
    words = " ".join(text.replace("\xa0", " ").split())
    for said in (section.title, section.fairness, section.left, section.least_said):
        assert said in words
    assert "mm/N" in words
    assert "mm/ N" not in words
    assert len(section.figures.rows) == len(section.judged)
    assert all(one.least for one in section.judged)


def test_what_was_promised_and_not_read_is_no_broken_promise(section):
    assert {row[-1] for row in section.promises.rows} == {"kept", "not read"}


def test_a_report_without_a_session_before_proves_nothing(session, answer):
    assert 'id="proof"' not in html_report(*session, answer, **TEXTS)


def test_where_there_is_nothing_in_common_that_is_said(session, proved):
    machine, readings, _ = session
    one, two = (
        stage(run.name, machine, replace(readings, runs=(run,))) for run in readings.runs[1:3]
    )
    found = proof_section(prove(one, two).proved, Pictures())
    assert found.fairness.startswith("No test was done both times")
    assert (found.chart, found.judged, found.least_said) == (None, (), "")
