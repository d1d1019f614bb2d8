"""Every example in the manual does what it shows.

A page is run from top to bottom in an empty folder. A block marked `console` holds commands after
"$ " and what they print, where "..." stands for anything. A block marked `python` is an interpreter session. A block
under a line `<!-- file: NAME -->` is written to that file.
"""

import doctest
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

DOCS = Path(__file__).resolve().parents[2] / "docs"
PAGES = sorted(
    page
    for page in DOCS.rglob("*.md")
    if "_build" not in page.parts
    and re.search(r"^```(console|python)$", page.read_text(encoding="utf-8"), re.MULTILINE)
)
BLOCK = re.compile(
    r"(?:^<!-- file: (?P<file>\S+) -->\n)?^```(?P<kind>[\w-]*)\n(?P<text>.*?)^```$",
    re.MULTILINE | re.DOTALL,
)
PLACES = {
    **os.environ,
    "PATH": f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}",
    "COLUMNS": "80",
    "NO_COLOR": "1",
    "PYTHONIOENCODING": "utf-8",
}


@pytest.mark.skipif(os.name == "nt", reason="the manual's commands are written for a POSIX shell")
@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_page_of_the_manual_does_what_it_shows(page, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    names: dict[str, object] = {}
    for block in BLOCK.finditer(page.read_text(encoding="utf-8")):
        if block["file"]:
            Path(block["file"]).write_text(block["text"], encoding="utf-8")
        elif block["kind"] == "console":
            _run_commands(block["text"])
        elif block["kind"] == "python":
            _run_session(block["text"], names)


def _run_commands(text: str) -> None:
    for command, wanted in re.findall(r"^\$ (.*)\n((?:(?!\$ ).*\n)*)", text, re.MULTILINE):
        done = subprocess.run(
            command, shell=True, env=PLACES, capture_output=True, text=True, check=False
        )
        printed = "\n".join(line.rstrip() for line in (done.stdout + done.stderr).splitlines())
        same = doctest.OutputChecker().check_output(
            wanted, printed + "\n" if printed else "", doctest.ELLIPSIS
        )
        assert same, f"$ {command}\n--- the page shows\n{wanted}\n--- it printed\n{printed}"


def _run_session(text: str, names: dict[str, object]) -> None:
    session = doctest.DocTestParser().get_doctest(text, names, "manual", None, 0)
    runner = doctest.DocTestRunner(optionflags=doctest.ELLIPSIS)
    said: list[str] = []
    runner.run(session, out=said.append, clear_globs=False)
    names.update(session.globs)
    assert said == [], "".join(said)


def test_the_tutorial_and_most_tasks_are_run():
    assert {page.parent.name for page in PAGES} >= {"tutorial", "how-to"}
    assert len(PAGES) >= 5
