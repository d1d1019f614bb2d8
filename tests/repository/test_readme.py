"""The first page keeps its promises."""

import re

import pytest

COMMANDS = (
    "python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/plumbrise demo",
    "python3 -m venv .venv && .venv/bin/pip install '.[test]' && .venv/bin/python -m pytest",
)


def test_the_first_two_commands_are_the_whole_way_in(repository):
    text = (repository / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"^    (\S.*)$", text, re.MULTILINE)
    assert tuple(blocks[:2]) == COMMANDS


def test_ci_runs_the_second_command_word_for_word(repository):
    script = (repository / ".ci" / "run").read_text(encoding="utf-8")
    assert "grep -F \"pip install '.[test]'\" README.md" in script
    assert 'eval "$command"' in script
    text = (repository / "README.md").read_text(encoding="utf-8")
    assert [line.strip() for line in text.splitlines() if "pip install '.[test]'" in line] == [
        COMMANDS[1]
    ]


def test_the_first_page_is_a_screen_and_a_half(repository):
    assert len((repository / "README.md").read_text(encoding="utf-8").splitlines()) <= 100


def _pages(repository):
    pages = [*repository.glob("*.md"), *(repository / "docs").rglob("*.md")]
    return [page for page in pages if "_build" not in page.parts]


def test_no_page_links_to_a_file_that_is_not_there(repository):
    missing = []
    for page in _pages(repository):
        text = re.sub(r"```.*?```", "", page.read_text(encoding="utf-8"), flags=re.DOTALL)
        for link in re.findall(r"\]\(([^)\s#]+)(?:#[^)]*)?\)", text):
            if "://" not in link and not (page.parent / link).exists():
                missing.append(f"{page.relative_to(repository)}: {link}")
    assert missing == []


@pytest.mark.parametrize("script", ["check", "test", "docs"])
def test_contributing_names_every_script(script, repository):
    assert (repository / "scripts" / script).stat().st_mode & 0o100
    assert f"scripts/{script}" in (repository / "CONTRIBUTING.md").read_text(encoding="utf-8")
