"""Every example in the manual does what it shows."""

import doctest
import os
import re
import sys
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path

import pytest

SCRIPT = Path(__file__).resolve().parents[2] / "scripts" / "examples.py"
_spec = spec_from_file_location("scripts_examples", SCRIPT)
EXAMPLES = module_from_spec(_spec)
sys.modules[_spec.name] = EXAMPLES
_spec.loader.exec_module(EXAMPLES)

NUMBER = re.compile(r"(?<![\w.])-?\d+(?:\.\d+)?(?![\w])")
ROUNDING = 0.021
SHARE = 0.15
"""Figures drawn by chance move a little from processor to processor; words may not."""


@pytest.mark.skipif(os.name == "nt", reason="the manual's commands are written for a POSIX shell")
@pytest.mark.parametrize("page", EXAMPLES.pages(), ids=lambda page: page.stem)
def test_a_page_of_the_manual_does_what_it_shows(page, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    names: dict[str, object] = {}
    for block in EXAMPLES.blocks(page.read_text(encoding="utf-8"), tmp_path):
        if block["kind"] == "console":
            _compare(block["text"], EXAMPLES.printed(block["text"], tmp_path))
        else:
            _run_session(block["text"], names)


def _compare(shown: str, now: str) -> None:
    told = f"--- the page shows\n{shown}\n--- now\n{now}\nrun .venv/bin/python scripts/examples.py"
    assert _words(shown) == _words(now), told
    for one, other in zip(NUMBER.findall(shown), NUMBER.findall(now), strict=True):
        near = max(ROUNDING, SHARE * abs(float(one)))
        assert abs(float(one) - float(other)) <= near, told


def _words(text: str) -> list[str]:
    return NUMBER.sub("0", text).split()


def _run_session(text: str, names: dict[str, object]) -> None:
    session = doctest.DocTestParser().get_doctest(text, names, "manual", None, 0)
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS)
    said: list[str] = []
    runner.run(session, out=said.append, clear_globs=False)
    names.update(session.globs)
    assert said == [], "".join(said)


def test_the_tutorial_and_most_tasks_are_run():
    pages = EXAMPLES.pages()
    assert {page.parent.name for page in pages} >= {"tutorial", "how-to"}
    assert len(pages) >= 5


def test_a_changed_word_or_figure_is_seen():
    _compare("loses 0.39 mm\n", "loses 0.40 mm\n")
    for other in ("loses 0.49 mm\n", "gains 0.39 mm\n", "loses 0.39 mm at least\n"):
        with pytest.raises(AssertionError):
            _compare("loses 0.39 mm\n", other)
