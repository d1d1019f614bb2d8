"""Style, types and rooms: the whole project is judged, not what a commit touched."""

import subprocess
import sys
from pathlib import Path

import pytest

PYTHON = sys.executable
BESIDE = Path(PYTHON).parent
RULES = {
    "style": [PYTHON, "-m", "ruff", "check", "--no-cache", "."],
    "format": [PYTHON, "-m", "ruff", "format", "--check", "--no-cache", "."],
    "types": [PYTHON, "-m", "mypy", "--no-error-summary"],
    "rooms": [str(BESIDE / "lint-imports"), "--no-cache"],
}


@pytest.mark.parametrize("rule", RULES)
def test_the_project_keeps_the_rule_of(rule, repository):
    done = subprocess.run(
        RULES[rule], cwd=repository, capture_output=True, text=True, encoding="utf-8", check=False
    )
    assert done.returncode == 0, f"{done.stdout}\n{done.stderr}"
