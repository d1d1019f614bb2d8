"""The report on paper: tagged for screen readers, fonts inside, the same every time."""

import shutil
import subprocess
from dataclasses import replace

import pytest

from plumbrise.errors import InputError
from plumbrise.report import headline, pdf_report

TEXTS = {
    "when": "2026-11-25",
    "version": "9.8.7",
    "machine_text": "format = 1\n",
    "readings_text": "run,test\na,b\n",
}


@pytest.fixture(scope="module")
def made(session, answer) -> bytes:
    return pdf_report(*session, answer, **TEXTS)


def told(tool: str, content: bytes, tmp_path, *options: str) -> str:
    if shutil.which(tool) is None:
        pytest.skip(f"{tool} is not here: install poppler-utils")
    path = tmp_path / "report.pdf"
    path.write_bytes(content)
    tail = ("-",) if tool == "pdftotext" else ()
    return subprocess.run(
        [tool, *options, str(path), *tail], capture_output=True, text=True, check=True
    ).stdout


def test_the_title_and_every_set_up_can_be_read(made, session, answer, tmp_path):
    words = " ".join(told("pdftotext", made, tmp_path).replace("\xa0", " ").split())
    assert headline(*session, answer) in words
    assert all(f"{run.run.name}: " in words for run in session[2].runs)


def test_every_font_is_inside(made, tmp_path):
    rows = told("pdffonts", made, tmp_path).splitlines()[2:]
    assert any("AtkinsonHyperlegibleNext" in row for row in rows)
    assert all(row.split()[-5] == "yes" for row in rows)


@pytest.mark.parametrize(("paper", "size"), [("a4", "595.276 x 841.89"), ("letter", "612 x 792")])
def test_each_paper_has_its_size_and_more_than_one_page(session, answer, paper, size, tmp_path):
    facts = told("pdfinfo", pdf_report(*session, answer, paper=paper, **TEXTS), tmp_path)
    assert size in facts
    pages = next(line for line in facts.splitlines() if line.startswith("Pages:"))
    assert int(pages.split()[1]) > 3
    assert "Tagged:          yes" in facts


def test_it_claims_to_serve_screen_readers(made):
    assert b"pdfuaid:part" in made


def test_the_same_answer_gives_the_same_bytes(made, session, answer):
    assert pdf_report(*session, answer, **TEXTS) == made


def test_both_files_travel_inside(made):
    assert b"readings.csv" in made
    assert b"machine.toml" in made


def test_signs_that_no_shipped_font_has_do_not_stop_it(session, answer):
    machine, readings, analysis = session
    odd = replace(machine, name="升降机 \U0001f5a8 Žižka \u202e #strong[$x$] \\ \" ' Прин")
    assert pdf_report(odd, readings, analysis, answer, **TEXTS).startswith(b"%PDF")


def test_an_answer_that_knows_nothing_still_gives_paper(session, answer):
    bare = replace(
        answer, causes=(), links=(), sides=(), sets=(), groups=(), next_tests=(), doubts=()
    )
    assert pdf_report(*session, bare, **TEXTS).startswith(b"%PDF")


def test_another_paper_is_refused_with_what_is_allowed(session, answer):
    with pytest.raises(InputError, match="a4 or letter"):
        pdf_report(*session, answer, paper="a3", **TEXTS)


def test_what_to_change_is_set_on_paper_with_its_sums(session, answer, proposal, tmp_path):
    content = pdf_report(*session, answer, proposal=proposal, **TEXTS)
    words = " ".join(told("pdftotext", content, tmp_path).replace("\xa0", " ").split())
    assert "What to change" in words
    assert "The sums behind it" in words
    assert all(line.part.name in words for line in proposal.chosen.parts)
    assert b"pdfuaid:part" in content


def test_signs_of_equations_have_their_shapes(session, answer, proposal, tmp_path):
    named = replace(session[0], name="k = √(d⁴ / 32) ≈ ∞")
    content = pdf_report(named, *session[1:], answer, proposal=proposal, **TEXTS)
    words = told("pdftotext", content, tmp_path)
    assert "□" not in words
    assert "√(d⁴ / 32)" in words


def test_a_change_of_nothing_can_be_set_too(session, answer, proposal):
    bare = replace(proposal, chosen=None, limited_by="Cannot tell.")
    assert pdf_report(*session, answer, proposal=bare, **TEXTS).startswith(b"%PDF")
