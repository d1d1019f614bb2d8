"""What no text of the project may hold."""

import re
import subprocess

import pytest

TEXT = {".py", ".md", ".toml", ".html", ".css", ".js", ".csv", ".typ", ".svg", ".json", ""}


@pytest.fixture
def texts(repository):
    if not (repository / ".git").exists():
        pytest.skip("not a checkout: there is no list of the project's files")
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=repository, capture_output=True, text=True, check=True
    ).stdout.split("\0")
    files = [repository / name for name in listed if name and "/vendor/" not in name]
    return {
        str(file.relative_to(repository)): file.read_text(encoding="utf-8")
        for file in files
        if file.suffix in TEXT and file.is_file()
    }


def test_no_text_names_a_folder_of_the_machine_it_was_written_on(texts):
    folder = re.compile(r"(?<![\w.~)}\]-])/(?:work|root|home|Users)/\w")
    assert [name for name, text in texts.items() if folder.search(text)] == []


def test_the_program_loads_nothing_from_elsewhere(texts):
    loads = re.compile(r"""(?:src|href)=["']?https?://|@import\s+url|url\(["']?https?://""")
    found = [name for name, text in texts.items() if name.startswith("src/") and loads.search(text)]
    assert found == []


def test_lines_end_alike_everywhere(texts):
    assert [name for name, text in texts.items() if "\r" in text] == []
