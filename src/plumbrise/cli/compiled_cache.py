"""Where compiled code is kept from one start to the next.

The folder is named by what the compiled code is made from, so that a new version never runs old
machine code. Numba reads its settings when it is first imported: call `use_compiled_cache`
before anything imports `plumbrise.axis`.
"""

from __future__ import annotations

import os
import sys
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryFile

from platformdirs import user_cache_path

SOURCES = ("kernel.py", "compiled.py")
"""Files of `plumbrise/axis` that are compiled or say how."""


def use_compiled_cache() -> Path | None:
    """Point numba to a folder of this version's own; None where nothing can be written.

    A folder that the person has set (NUMBA_CACHE_DIR) is left alone. Without a writable folder
    numba's own choice stands, and failing that the solver is compiled anew at each start.
    """
    if "NUMBA_CACHE_DIR" in os.environ or "numba" in sys.modules:
        return None
    folder = user_cache_path("plumbrise", appauthor=False) / f"compiled-{_version()}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with TemporaryFile(dir=folder):  # numba passes over an unusable folder without a word
            pass
    except OSError:
        return None
    os.environ["NUMBA_CACHE_DIR"] = str(folder)
    return folder


def _version() -> str:
    made_from = sha256(sys.version.encode())
    axis = Path(__file__).parents[1] / "axis"
    for name in SOURCES:
        made_from.update((axis / name).read_bytes())
    return made_from.hexdigest()[:16]
