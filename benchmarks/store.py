"""The shelf killed in the middle of writing, and the time from a reading to the disk.

    python benchmarks/store.py              into results/store.json, 200 kills

A child process writes readings and says each one that `keep` has returned for; it is killed with
SIGKILL at a random moment. Then every reading that it said must be in the file, the file must
open, and pass SQLite's check. A kill is no power cut: what the system has been given survives it.
That the log is synced before a reading is acknowledged is shown by a trace of system calls
(tests/store/test_on_disk.py).
"""

from __future__ import annotations

import os
import platform
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from statistics import median, quantiles
from time import perf_counter, sleep
from typing import Any

from plumbrise.machine import STATIONS, blank
from plumbrise.readings import KINDS, Reading
from plumbrise.store import Shelf
from plumbrise.store.copying import faults

RESULTS = Path(__file__).parent / "results" / "store.json"
VERSION_1 = Path(__file__).parents[1] / "tests" / "store" / "version_1.sql"
LONGEST_S = {"writing": 0.08, "making": 0.02, "migrating": 0.03}
"""When to kill -> within how long after its start, evenly: while readings are kept, while a new
file is made, while an old one is brought up to date."""
KEEPS = 2000


def now() -> datetime:
    return datetime.now(UTC)


def reading(seq: int) -> Reading:
    return Reading(seq=seq, target_mm=seq % 200, reading_mm=seq / 128, approach="up", time_s=seq)


def shelf_with_run(path: Path) -> int:
    """A new shelf with one run of a plan; the run."""
    with Shelf.open(path, now=now) as shelf:
        machine_id = shelf.add_machine(blank("one-screw"))
        return shelf.begin_run(
            machine_id,
            kind=KINDS["hold"],
            station=STATIONS["gantry-left"],
            plan_id=shelf.add_plan(machine_id, "a plan"),
        )


def version_1(path: Path) -> None:
    """A shelf as the first version wrote it."""
    with closing(sqlite3.connect(path)) as old:
        old.executescript(VERSION_1.read_text(encoding="utf-8"))
        old.execute("PRAGMA journal_mode = WAL")


def write(path: Path, run_id: int) -> None:
    """The child: keep until killed, take back every seventh, and say what has been done."""
    os.write(1, b"opens\n")
    with Shelf.open(path, now=now) as shelf:
        os.write(1, b"opened\n")
        held = [one.reading.seq for one in shelf.kept(run_id)] if run_id else []
        seq = max(held, default=-1) + 1
        while run_id:
            kept = shelf.keep(run_id, reading(seq), token=f"{os.getpid()}-{seq}")
            os.write(1, f"kept {kept.id} {seq}\n".encode())
            if seq % 7 == 0:
                shelf.take_back(run_id, reading_id=kept.id)
                os.write(1, f"back {kept.id} {seq}\n".encode())
            seq += 1


def killed(path: Path, run_id: int, when: str, chance: random.Random) -> list[str]:
    """Start the child, kill it at a random moment, give back what it said."""
    command = [sys.executable, __file__, "write", str(path), str(run_id)]
    child = subprocess.Popen(command, stdout=subprocess.PIPE)
    assert child.stdout is not None
    with child.stdout as said:
        start = b"opened\n" if when == "writing" else b"opens\n"
        lines = []
        for line in said:
            lines.append(line)
            if line == start:
                break
        sleep(chance.uniform(0, LONGEST_S[when]))
        child.send_signal(signal.SIGKILL)
        lines += said
        child.wait()
    return [line.decode().strip() for line in lines if line.endswith(b"\n")]


def judged(path: Path, said: list[str], before: int) -> dict[str, int]:
    """What the file holds of what was said.

    Returns:
        acknowledged, and of these lost; faults found by the check; rows kept and not said.
    """
    with Shelf.open(path, now=now), closing(sqlite3.connect(path)) as file:
        found = faults(file)
        rows = {
            row[0]: row
            for row in file.execute(
                "SELECT id, seq, target_mm, reading_mm, taken_back_at FROM readings"
            )
        }
    kept = [line.split() for line in said if line.startswith("kept")]
    back = [line.split() for line in said if line.startswith("back")]
    lost = 0
    for _, row_id, seq in kept:
        asked = reading(int(seq))
        lost += rows.get(int(row_id), ())[1:4] != (asked.seq, asked.target_mm, asked.reading_mm)
    for _, row_id, _ in back:
        lost += int(row_id) not in rows or rows[int(row_id)][4] is None
    return {
        "acknowledged": len(kept) + len(back),
        "lost": lost,
        "faults": len(found),
        "rows": len(rows),
        "not_said": len(rows) - before - len(kept),
    }


def trials(count: int, folder: Path, seed: int) -> Iterator[tuple[str, dict[str, int]]]:
    """Kills one after another; two in three while readings are kept, all in the same file."""
    chance = random.Random(seed)
    busy = folder / "busy.sqlite3"
    run_id = shelf_with_run(busy)
    rows = 0
    for number in range(count):
        when = ("writing", "writing", "making", "writing", "writing", "migrating")[number % 6]
        if when == "writing":
            found = judged(busy, killed(busy, run_id, when, chance), rows)
            rows = found["rows"]
        else:
            path = folder / f"{number}.sqlite3"
            if when == "migrating":
                version_1(path)
            found = judged(path, killed(path, 0, when, chance), 5 if when == "migrating" else 0)
        yield when, found


def seconds_to_disk(folder: Path, count: int = KEEPS) -> list[float]:
    """From the call of `keep` to its return, one after another."""
    path = folder / "timed.sqlite3"
    run_id = shelf_with_run(path)
    took = []
    with Shelf.open(path, now=now) as shelf:
        for seq in range(count):
            row = reading(seq)
            begun = perf_counter()
            shelf.keep(run_id, row, token=str(seq))
            took.append(perf_counter() - begun)
    return took


def measured(folder: Path, count: int, seed: int) -> dict[str, Any]:
    """All figures."""
    took = [1000 * s for s in seconds_to_disk(folder)]
    kills: Counter[str] = Counter()
    sums: Counter[str] = Counter()
    survived = 0
    for when, found in trials(count, folder, seed):
        kills[when] += 1
        sums.update({name: found[name] for name in ("acknowledged", "lost", "faults")})
        sums["kept_and_not_said"] += found["not_said"]
        survived += not (found["lost"] or found["faults"] or not 0 <= found["not_said"] <= 1)
    return {
        "keep_ms": {
            "keeps": len(took),
            "median": round(median(took), 3),
            "percentile_99": round(quantiles(took, n=100)[98], 3),
            "worst": round(max(took), 3),
        },
        "kills": {"tried": sum(kills.values()), "survived": survived, **kills},
        **sums,
    }


def _priority() -> str:
    """Whether other work on the computer is in the figures: `chrt -f 1` puts this before it."""
    ordinary = not hasattr(os, "sched_getscheduler") or os.sched_getscheduler(0) == os.SCHED_OTHER
    return "ordinary" if ordinary else "before other work"


def main() -> None:
    if sys.argv[1:2] == ["write"]:
        write(Path(sys.argv[2]), int(sys.argv[3]))
        return
    from made import compact, how, sources

    folder = Path(tempfile.mkdtemp(prefix="plumbrise-store-"))
    try:
        found = measured(folder, 200, seed=4)
    finally:
        shutil.rmtree(folder)
    said = found["keep_ms"]
    words = (
        f"{found['kills']['survived']} of {found['kills']['tried']} kills survived: "
        f"{found['acknowledged']} acknowledged changes, {found['lost']} lost. From keep to disk "
        f"{said['median']:.2f} ms (median of {said['keeps']}), 99 in a hundred within "
        f"{said['percentile_99']:.2f} ms."
    )
    made = how("python benchmarks/store.py", seed=4) | {
        "sources_of_store": sources("store", without=()),
        "sqlite": sqlite3.sqlite_version,
        "system": platform.system(),
        "disk": "a virtual one; a real one may be slower",
        "load": list(os.getloadavg()),
        "priority": _priority(),
    }
    RESULTS.write_text(compact({**found, "words": words, "how": made}), encoding="utf-8")
    print(words)


if __name__ == "__main__":
    main()
