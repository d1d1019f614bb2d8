"""The reference pages say what the program's own tables say."""

import sys
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path

import pytest

SCRIPTS = Path(__file__).resolve().parents[2] / "scripts"


def _script(name):
    spec = spec_from_file_location(f"scripts_{name}", SCRIPTS / f"{name}.py")
    module = module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


REFERENCE = _script("reference")


@pytest.mark.parametrize("name", REFERENCE.PAGES)
def test_a_reference_page_is_what_the_script_makes_of_the_tables(name):
    written = (REFERENCE.REFERENCE / name).read_text(encoding="utf-8")
    assert written == REFERENCE.PAGES[name](), "run .venv/bin/python scripts/reference.py"


def test_the_page_of_published_checks_is_what_the_script_makes_of_the_tests():
    script = _script("how_we_know")
    written = script.PAGE.read_text(encoding="utf-8")
    assert written == script.page(), "run .venv/bin/python scripts/how_we_know.py"


def test_the_glossary_stands_in_the_order_of_the_alphabet(repository):
    lines = (repository / "docs/reference/words.md").read_text(encoding="utf-8").splitlines()
    words = [line.split("|")[1].strip() for line in lines if line.startswith("| ")][1:]
    assert len(words) > 30
    assert words == sorted(words, key=str.lower)
