"""How a stored result was made: the command, the sources it ran on, the computer."""

from __future__ import annotations

import hashlib
import json
import os
import platform
import re
from datetime import date
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1] / "src" / "plumbrise"
WORDS_ONLY = ("calibration.py", "calibration_maps.py", "joint.py", "why.py", "doubts.py")
"""Files that say what was computed, but do not change it."""


def sources(*rooms: str, without: tuple[str, ...] = WORDS_ONLY) -> str:
    """A short name of the sources of these rooms: the same as long as no line changes."""
    import plumbrise

    root = Path(plumbrise.__file__).parent
    digest = hashlib.sha256()
    for room in rooms:
        for file in sorted((root / room).rglob("*.py")):
            if file.name not in without:
                digest.update(file.name.encode() + file.read_bytes())
    return digest.hexdigest()[:12]


def origin() -> str:
    """A short name of the code that the sessions of every simulator and their labels come from:
    the demo, and here the labels and true figures."""
    here = Path(__file__).parent
    own = ("true_figures.py", "simulators/figures.py", "simulators/labels.py")
    digest = hashlib.sha256(sources("demo", without=()).encode())
    for name in own:
        digest.update((here / name).read_bytes())
    return digest.hexdigest()[:12]


def how(command: str, seed: int | None = None) -> dict[str, Any]:
    """What to keep beside every stored result."""
    import numpy
    import scipy

    import plumbrise

    return {
        "command": command,
        "seed": seed,
        "date": date.today().isoformat(),
        "version": plumbrise.__version__,
        "sources_of_explain_and_axis": sources("explain", "axis", without=()),
        "python": platform.python_version(),
        "numpy": numpy.__version__,
        "scipy": scipy.__version__,
        "cores": os.cpu_count(),
        "threads_of_linear_algebra": os.environ.get("OPENBLAS_NUM_THREADS"),
    }


def compact(results: Any) -> str:
    """JSON with short lists on one line each."""
    text = json.dumps(results, indent=1, ensure_ascii=False)
    return re.sub(r"\[[^\[\]{}]*\]", lambda m: re.sub(r"\s+", " ", m.group()), text) + "\n"
