"""The page of scores is what the stored results make it."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_the_page_of_scores_is_made_from_the_stored_results():
    script = ROOT / "scripts" / "scores.py"
    done = subprocess.run([sys.executable, script, "--check"], capture_output=True, text=True)
    assert done.returncode == 0, "run .venv/bin/python scripts/scores.py"
