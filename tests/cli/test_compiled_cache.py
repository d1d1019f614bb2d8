"""Compiled code is kept where it may be, and left out where it may not."""

import os
import subprocess
import sys

SOLVE = """
from plumbrise.cli.compiled_cache import use_compiled_cache
folder = use_compiled_cache()
from plumbrise.axis import follow_path, sound
from plumbrise.machine import blank
from plumbrise.readings import Move
path = follow_path(sound(blank("one-screw")), [Move(target_mm=1.0), Move(target_mm=2.0)])
print(folder is not None, path.unconverged, len(list(folder.rglob("*.nbc"))) if folder else 0)
"""


def solved(cache_home):
    environment = {k: v for k, v in os.environ.items() if k != "NUMBA_CACHE_DIR"}
    environment |= {"XDG_CACHE_HOME": str(cache_home), "HOME": str(cache_home)}
    environment["LOCALAPPDATA"] = str(cache_home)
    made = subprocess.run(
        [sys.executable, "-c", SOLVE], env=environment, capture_output=True, text=True, check=True
    )
    return made.stdout.split()


def test_compiled_code_lies_in_a_folder_of_its_version(tmp_path):
    kept, unconverged, files = solved(tmp_path)
    assert (kept, unconverged) == ("True", "0")
    assert int(files) > 0


def test_the_solver_works_where_nothing_can_be_kept(tmp_path):
    not_a_folder = tmp_path / "file"
    not_a_folder.write_text("in the way")
    assert solved(not_a_folder)[:2] == ["False", "0"]
