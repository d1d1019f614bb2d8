"""How long a person waits: `plumbrise --help`, the demo's first answer, and the memory it takes.

python benchmarks/start.py
"""

from __future__ import annotations

import resource
import subprocess
import sys
from statistics import median
from time import perf_counter

FIRST_ANSWER = (
    "import numpy as np; from plumbrise.demo import scenario;"
    "from plumbrise.explain import explain;"
    "s = scenario(); explain(s.machine, s.readings, rng=np.random.default_rng(0))"
)


def seconds(*arguments: str, times: int = 5) -> float:
    """Median wall time of a fresh interpreter with these arguments."""
    taken = []
    for _ in range(times):
        start = perf_counter()
        subprocess.run([sys.executable, *arguments], check=True, capture_output=True)
        taken.append(perf_counter() - start)
    return median(taken)


def main() -> None:
    print(f"plumbrise --help              {seconds('-m', 'plumbrise', '--help'):6.2f} s")
    print(f"python, nothing else          {seconds('-c', 'pass'):6.2f} s")
    print(f"demo explained, from start    {seconds('-c', FIRST_ANSWER, times=3):6.2f} s")
    most_mb = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"most memory of these          {most_mb:6.0f} MB")


if __name__ == "__main__":
    main()
