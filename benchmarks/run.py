"""All benchmarks with one command: python benchmarks/run.py [name ...].

Each file is run by itself, one after the other, so that none disturbs the next.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent
BENCHMARKS = (
    "start",
    "axis",
    "speed",
    "sampler",
    "explain",
    "calibrate",
    "sbc",
    "left_over",
    "advice",
    "foresee",
    "hardware",
)


def main(names: list[str]) -> int:
    worst = 0
    for name in names or BENCHMARKS:
        file = HERE / f"{name}.py"
        print(f"\n== {name}", flush=True)
        if not file.exists():
            print("not there yet")
            continue
        one_thread = os.environ | {"OMP_NUM_THREADS": "1"}
        worst = max(worst, subprocess.run([sys.executable, file], env=one_thread).returncode)
    return worst


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
