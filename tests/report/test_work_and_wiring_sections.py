"""A work order and a harness in the report: on the page and on paper what their own texts say."""

import re
import shutil
import subprocess
from html import unescape
from importlib.resources import files

import pytest

from plumbrise.build import Progress, build_steps, entered
from plumbrise.files.harness_file import read_harness
from plumbrise.report import html_report, pdf_report
from plumbrise.report.wiring import wiring_said
from plumbrise.report.wiring_section import Wired
from plumbrise.report.work_order import setting_words, work_order_text
from plumbrise.report.work_order_section import WorkDone, work_section
from plumbrise.wiring import judge

TEXTS = {
    "when": "2026-11-25",
    "version": "9.8.7",
    "machine_text": "format = 1\n",
    "readings_text": "run,test\na,b\n",
}
HOSTILE = "<script>alert(1)</script>"
DEMO = (files("plumbrise.demo") / "harness.toml").read_text(encoding="utf-8")


def _words(page: str) -> str:
    bare = re.sub(r"<style.*?</style>|<svg.*?</svg>|<[^>]*>", " ", page, flags=re.DOTALL)
    return " ".join(unescape(bare).replace("\xa0", " ").split())


@pytest.fixture(scope="module")
def wired():
    harness = read_harness(DEMO.replace('"violet"', f'"{HOSTILE}"'), name="h.toml")
    return Wired(harness, judge(harness))


@pytest.fixture(scope="module")
def work(session):
    order = build_steps(session[0], ["short-lead-screw", "second-screw-tied"])
    progress = Progress(changes=order.changes)
    return WorkDone(order, entered(order, progress, "read-before", HOSTILE, when="2026-01-05"))


@pytest.fixture(scope="module")
def page(session, answer, work, wired) -> str:
    return html_report(*session, answer, work=work, wired=wired, **TEXTS)


def test_the_verdict_stands_in_the_page_line_by_line_with_its_drawing(page, wired):
    words = _words(page)
    said = wiring_said(wired.harness, wired.answer)
    assert said.head in words
    for head, lines in said.parts:
        assert head in words
        for line in lines:
            assert " ".join(line.split()) in words
    assert page.count("Plugs as seen from the wire side") == 2  # for wide and narrow windows


def test_every_step_has_its_line_with_limit_value_and_state(page, work):
    words = _words(page)
    section = work_section(work)
    rows = [row for _, table in section.stages for row in table.rows]
    assert [row[0].partition(". ")[2] for row in rows] == [task.title for task in work.order.tasks]
    assert rows[0][2:] == (HOSTILE, "done")
    assert {row[3] for row in rows[1:]} == {"open"}
    text = " ".join(work_order_text(work.order, work.progress).split())
    for row in rows:
        assert row[1] in text
        assert row[0] in words
    assert len(section.settings)
    for one in work.order.settings:
        assert setting_words(one) in words
        assert one.verify in words


def test_what_was_typed_is_text(page):
    assert HOSTILE not in page
    assert unescape(page).count(HOSTILE) >= 2


def test_nothing_of_either_stands_where_there_is_none(session, answer):
    words = _words(html_report(*session, answer, **TEXTS))
    assert "The wiring" not in words
    assert "The work " not in words


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="no pdftotext to read the PDF with")
def test_the_pdf_says_it_too(session, answer, work, wired, tmp_path):
    made = tmp_path / "report.pdf"
    made.write_bytes(pdf_report(*session, answer, work=work, wired=wired, **TEXTS))
    read = subprocess.run(["pdftotext", "-layout", made, "-"], capture_output=True, check=True)
    words = " ".join(read.stdout.decode().replace("\xa0", " ").split())
    assert "No go. Leave the power off." in words
    assert "Take the readings before" in words
    assert "Settings of the controller that change" in words
