"""An acknowledged reading is on disk, whatever then happens to the program."""

import os
import random
import re
import shutil
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from threading import Timer

import pytest

from plumbrise.readings import Reading
from plumbrise.store import Shelf, ShelfError
from plumbrise.store.copying import faults

sys.path.insert(0, str(Path(__file__).parents[2] / "benchmarks"))
import store as killing

posix = pytest.mark.skipif(os.name == "nt", reason="needs signals and limits of POSIX")


def row(seq):
    return Reading(seq=seq, target_mm=seq, reading_mm=seq / 4, approach="up")


def child(program, *arguments, **more):
    command = [sys.executable, "-c", program, *map(str, arguments)]
    return subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, **more
    )


@posix
@pytest.mark.parametrize("seed", [1, 2])
def test_a_killed_writer_loses_no_acknowledged_reading_and_leaves_a_sound_shelf(tmp_path, seed):
    """Twenty kills each: while readings are kept, a file is made, or an old one brought up."""
    acknowledged = 0
    for when, found in killing.trials(20, tmp_path, seed):
        assert found["lost"] == 0, when
        assert found["faults"] == 0, when
        assert 0 <= found["not_said"] <= 1, when
        acknowledged += found["acknowledged"]
    assert acknowledged > 20


def test_every_commit_waits_for_the_disk(shelf):
    settings = [
        shelf._connection.execute(f"PRAGMA {name}").fetchone()[0]
        for name in ("journal_mode", "synchronous", "foreign_keys", "fullfsync")
    ]
    assert settings == ["wal", 2, 1, 1]


TRACED = """
import os, sys
from datetime import UTC, datetime
from plumbrise.readings import Reading
from plumbrise.store import Shelf
with Shelf.open(sys.argv[1], now=lambda: datetime.now(UTC)) as shelf:
    for seq in range(3):
        os.write(2, b"gives")
        shelf.keep(1, Reading(seq=seq, target_mm=seq, reading_mm=0, approach="up"))
        os.write(2, b"kept")
"""


@pytest.mark.skipif(shutil.which("strace") is None, reason="strace is not installed")
def test_the_log_is_synced_after_its_last_write_and_before_the_reading_is_acknowledged(tmp_path):
    path = tmp_path / "traced.sqlite3"
    killing.shelf_with_run(path)
    calls = "trace=write,pwrite64,fsync,fdatasync"
    command = ["strace", "-y", "-e", calls, "-o", str(tmp_path / "trace")]
    done = subprocess.run(
        [*command, sys.executable, "-c", TRACED, str(path)], capture_output=True, check=False
    )
    if b"PTRACE" in done.stderr or b"ptrace" in done.stderr:
        pytest.skip("processes may not be traced here")
    assert done.returncode == 0, done.stderr
    trace = (tmp_path / "trace").read_text(encoding="utf-8", errors="replace")
    keeps = re.findall(r'"gives"(.*?)"kept"', trace, re.DOTALL)
    assert len(keeps) == 3
    for one in keeps:
        on_log = [line for line in one.splitlines() if "sqlite3-wal>" in line]
        assert "pwrite64" in on_log[0]
        assert re.match(r"f(data)?sync", on_log[-1])


@pytest.mark.skipif(shutil.which("strace") is None, reason="strace is not installed")
def test_the_names_of_new_folders_on_the_way_to_a_new_shelf_are_synced_too(tmp_path):
    trace = tmp_path / "trace"
    command = ["strace", "-y", "-e", "trace=fsync", "-o", str(trace), sys.executable, "-c"]
    path = tmp_path / "data" / "plumbrise" / "shelf.sqlite3"
    done = subprocess.run([*command, OPENER, str(path)], capture_output=True, check=False)
    if b"PTRACE" in done.stderr or b"ptrace" in done.stderr:
        pytest.skip("processes may not be traced here")
    assert done.returncode == 0, done.stderr
    synced = set(re.findall(r"fsync\(\d+<(.*?)>\)", trace.read_text(encoding="utf-8")))
    assert {str(tmp_path), str(tmp_path / "data"), str(path.parent)} <= synced


def test_a_page_half_written_at_the_end_of_the_log_costs_nothing_acknowledged(
    path, shelf, run_id, tmp_path, now
):
    for seq in range(5):
        shelf.keep(run_id, row(seq))
    copy = tmp_path / "after-the-stop.sqlite3"
    shutil.copy(path, copy)
    log = Path(f"{path}-wal").read_bytes()
    chance = random.Random(0)
    Path(f"{copy}-wal").write_bytes(log + chance.randbytes(3000))
    with Shelf.open(copy, now=now) as after:
        assert [one.reading for one in after.kept(run_id)] == [row(seq) for seq in range(5)]
        assert faults(after._connection) == ()


KEEPER = """
import signal
import sys
from datetime import UTC, datetime
from plumbrise.readings import Reading
from plumbrise.store import Shelf
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell's background job ignores it
path, run_id, first, step = sys.argv[1], *map(int, sys.argv[2:])
with Shelf.open(path, now=lambda: datetime.now(UTC)) as shelf:
    print("open", flush=True)
    sys.stdin.readline()
    for seq in range(first, first + 60 * step, step):
        shelf.keep(run_id, Reading(seq=seq, target_mm=1, reading_mm=seq, approach="up"))
"""


def test_two_programs_write_to_one_run_at_once_and_every_reading_stands(tmp_path, now):
    path = tmp_path / "shared.sqlite3"
    run_id = killing.shelf_with_run(path)
    writers = [child(KEEPER, path, run_id, first, 2, stdin=subprocess.PIPE) for first in (0, 1)]
    for writer in writers:
        assert writer.stdout.readline() == "open\n"
    for writer in writers:
        writer.stdin.write("go\n")
        writer.stdin.flush()
    for writer in writers:
        _, problem = writer.communicate(timeout=60)
        assert writer.returncode == 0, problem
    with Shelf.open(path, now=now) as shelf:
        assert [one.reading.seq for one in shelf.kept(run_id)] == list(range(120))
        assert faults(shelf._connection) == ()


OPENER = """
import sys
from datetime import UTC, datetime
from plumbrise.machine import blank
from plumbrise.store import Shelf
with Shelf.open(sys.argv[1], now=lambda: datetime.now(UTC)) as shelf:
    shelf.add_machine(blank("one-screw"))
"""


def test_programs_that_make_the_same_new_shelf_at_once_make_one(tmp_path, now):
    path = tmp_path / "new.sqlite3"
    openers = [child(OPENER, path) for _ in range(4)]
    for opener in openers:
        _, problem = opener.communicate(timeout=60)
        assert opener.returncode == 0, problem
    with Shelf.open(path, now=now) as shelf:
        assert len(shelf.machines()) == 4


def test_a_writer_waits_for_another_and_then_goes_on(path, shelf, run_id):
    with closing(sqlite3.connect(path, isolation_level=None, check_same_thread=False)) as other:
        other.execute("BEGIN IMMEDIATE")
        letting_go = Timer(0.3, lambda: other.execute("ROLLBACK"))
        letting_go.start()
        shelf.keep(run_id, row(0))
        letting_go.join()
    assert len(shelf.kept(run_id)) == 1


def test_a_program_that_never_lets_go_is_told_and_the_reading_can_be_given_again(path, now):
    run_id = killing.shelf_with_run(path)
    with Shelf.open(path, now=now, wait_s=0.05) as shelf:
        with closing(sqlite3.connect(path, isolation_level=None)) as other:
            other.execute("BEGIN IMMEDIATE")
            with pytest.raises(ShelfError, match="another program is writing"):
                shelf.keep(run_id, row(0), token="1")
            assert shelf.kept(run_id) == ()
        shelf.keep(run_id, row(0), token="1")
        assert len(shelf.kept(run_id)) == 1


def test_a_full_disk_is_told_and_after_room_is_made_the_same_reading_is_kept(shelf, run_id):
    connection = shelf._connection
    shelf.keep(run_id, row(0))
    pages = connection.execute("PRAGMA page_count").fetchone()[0]
    connection.execute(f"PRAGMA max_page_count = {pages}")
    acknowledged = 1
    with pytest.raises(ShelfError, match="the disk is full") as told:  # noqa: PT012
        for seq in range(1, 500):
            shelf.keep(run_id, row(seq), token=str(seq))
            acknowledged += 1
    assert "last is not kept" in str(told.value)
    assert len(shelf.kept(run_id)) == acknowledged
    connection.execute("PRAGMA max_page_count = 100000")
    shelf.keep(run_id, row(acknowledged), token=str(acknowledged))
    assert len(shelf.kept(run_id)) == acknowledged + 1
    assert faults(connection) == ()


LIMITED = """
import resource, sys
from datetime import UTC, datetime
from pathlib import Path
from plumbrise.readings import Reading
from plumbrise.store import Shelf, ShelfError
path = Path(sys.argv[1])
with Shelf.open(path, now=lambda: datetime.now(UTC)) as shelf:
    most = path.stat().st_size + 20_000
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
    kept = 0
    try:
        while True:
            shelf.keep(1, Reading(seq=kept, target_mm=1, reading_mm=kept / 8, approach="up"))
            kept += 1
    except ShelfError as told:
        print(kept, told)
"""


@posix
def test_a_file_that_may_grow_no_further_is_told_and_what_was_acknowledged_stands(tmp_path, now):
    path = tmp_path / "limited.sqlite3"
    run_id = killing.shelf_with_run(path)
    said, problem = child(LIMITED, path).communicate(timeout=60)
    kept, _, told = said.partition(" ")
    assert "the disk did not take or give the data" in told, problem
    with Shelf.open(path, now=now) as shelf:
        found = [one.reading.reading_mm for one in shelf.kept(run_id)]
        assert found[: int(kept)] == [n / 8 for n in range(int(kept))]
        assert len(found) - int(kept) in (0, 1)
        assert int(kept) > 0
        assert faults(shelf._connection) == ()


BACKING_UP = """
import resource, sys
from datetime import UTC, datetime
from pathlib import Path
from plumbrise.store import Shelf, ShelfError
path = Path(sys.argv[1])
with Shelf.open(path, now=lambda: datetime.now(UTC)) as shelf:
    resource.setrlimit(resource.RLIMIT_FSIZE, (8192, 8192))
    try:
        shelf.backup(path.with_name("copy.sqlite3"))
    except ShelfError as told:
        print(told)
"""


@posix
def test_a_backup_without_room_leaves_nothing_and_says_of_no_reading_that_it_is_lost(tmp_path):
    path = tmp_path / "limited.sqlite3"
    killing.shelf_with_run(path)
    said, problem = child(BACKING_UP, path).communicate(timeout=60)
    assert "No copy is left, and the shelf is as it was" in said, problem
    assert "not kept" not in said
    assert not list(tmp_path.glob("*copy*"))


ASKED_FOR_EACH = """
import signal
import sys
from datetime import UTC, datetime
from plumbrise.readings import Reading
from plumbrise.store import Shelf
signal.signal(signal.SIGINT, signal.default_int_handler)
with Shelf.open(sys.argv[1], now=lambda: datetime.now(UTC)) as shelf:
    for seq, _ in enumerate(sys.stdin):
        shelf.keep(int(sys.argv[2]), Reading(seq=seq, target_mm=1, reading_mm=seq, approach="up"))
        print("kept", flush=True)
"""


@posix
def test_ctrl_c_between_two_readings_leaves_the_first(tmp_path, now):
    path = tmp_path / "stopped.sqlite3"
    run_id = killing.shelf_with_run(path)
    writer = child(ASKED_FOR_EACH, path, run_id, stdin=subprocess.PIPE)
    writer.stdin.write("go\n")
    writer.stdin.flush()
    assert writer.stdout.readline() == "kept\n"
    writer.send_signal(signal.SIGINT)
    assert writer.wait(timeout=60)
    with Shelf.open(path, now=now) as shelf:
        shelf.keep(run_id, row(1))
        assert [one.reading.seq for one in shelf.kept(run_id)] == [0, 1]
