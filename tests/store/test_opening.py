"""Which files are a shelf, and how an old one comes forward."""

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from contextlib import closing
from pathlib import Path

import pytest

from plumbrise.readings import Reading
from plumbrise.store import Shelf, ShelfDamaged, ShelfError
from plumbrise.store import opening as opening_room
from plumbrise.store.copying import faults
from plumbrise.store.opening import APPLICATION, STEPS, VERSION, statements

VERSION_1 = (Path(__file__).parent / "version_1.sql").read_text(encoding="utf-8")
V1_READINGS = (
    Reading(
        seq=0,
        target_mm=0,
        reading_mm=0,
        approach="down",
        time_s=0,
        temp_c=21.5,
        other=(("weather", "dry"),),
    ),
    Reading(seq=1, target_mm=1, reading_mm=0.81, approach="up", time_s=45, note="again,\nslower"),
    Reading(seq=2, target_mm=2, reading_mm=None, approach="up", time_s=60),
)


def made(path, script):
    with closing(sqlite3.connect(path)) as file:
        file.executescript(script)


def dump(path):
    with closing(sqlite3.connect(path)) as file:
        return list(file.iterdump())


def schema_of(path):
    with closing(sqlite3.connect(path)) as file:
        found = file.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL")
        return {name: " ".join(sql.split()) for name, sql in found}


@pytest.fixture
def old(path):
    made(path, VERSION_1)
    return path


def test_a_shelf_of_version_1_comes_forward_with_all_that_is_in_it(old, now):
    with Shelf.open(old, now=now) as shelf:
        assert shelf.readings(1).runs[0].readings == V1_READINGS
        assert shelf.readings(1).remarks == ("The clock was set by hand.",)
        assert shelf.readings(1).unknown_columns == ("weather",)
        assert shelf.readings(1).runs[1].stand_on == "bed"
        assert [one.reading.reading_mm for one in shelf.kept(1, all_of_it=True)] == [
            0,
            9.81,
            0.81,
            None,
        ]
        run = shelf.runs()[0]
        assert (run.who, run.gauge_serial, run.version) == ("A. N.", "no. 7", "0.0.1")
        assert (run.session, run.marks, run.taken_back) == ("", (), 1)
        assert shelf.plans(1)[0].text == '{"minutes": 30}'
        assert shelf.results(1)[0].text == '{"version": 1}'
        assert faults(shelf._connection) == ()


def test_a_shelf_brought_forward_is_made_as_a_new_one_is(old, tmp_path, now):
    for path in (old, tmp_path / "new.sqlite3"):
        Shelf.open(path, now=now).close()
    assert schema_of(old) == schema_of(tmp_path / "new.sqlite3")


def test_what_is_new_in_version_2_works_on_an_old_shelf(old, now):
    row = Reading(seq=1, target_mm=1, reading_mm=1, approach="up")
    with Shelf.open(old, now=now) as shelf:
        assert shelf.keep(2, row, token="1") == shelf.keep(2, row, token="1")
        shelf.mark(2, "alarm")
        shelf.skip(2, Reading(seq=2, target_mm=2, reading_mm=None, approach="up"))
        assert shelf.runs()[1].skipped == 1


def test_a_copy_of_the_old_shelf_is_left_beside_it(old, now):
    before = dump(old)
    Shelf.open(old, now=now).close()
    copies = list(old.parent.glob("shelf-version-1-*.sqlite3"))
    assert [copy.name for copy in copies] == ["shelf-version-1-20260301-180000.sqlite3"]
    assert dump(copies[0]) == before
    with closing(sqlite3.connect(copies[0])) as copy:
        assert copy.execute("PRAGMA user_version").fetchone()[0] == 1
    Shelf.open(old, now=now).close()
    assert len(list(old.parent.glob("*version*"))) == 1


def test_a_step_that_fails_leaves_the_old_shelf_as_it_was(old, now, monkeypatch):
    before = dump(old)
    with monkeypatch.context() as broken:
        broken.setattr(opening_room, "STEPS", (*STEPS[:1], STEPS[1] + "CREATE TABLE marks (a);"))
        with pytest.raises(sqlite3.OperationalError, match="marks"):
            Shelf.open(old, now=now)
    assert dump(old) == before
    with Shelf.open(old, now=lambda: now().replace(year=2027)) as shelf:
        assert shelf.readings(1).runs[0].readings == V1_READINGS


LIMITED = """
import resource, sys
from datetime import UTC, datetime
from plumbrise.store import Shelf, ShelfError
resource.setrlimit(resource.RLIMIT_FSIZE, (60_000, 60_000))
try:
    Shelf.open(sys.argv[1], now=lambda: datetime.now(UTC))
except ShelfError as told:
    print(told)
"""


@pytest.mark.skipif(os.name == "nt", reason="needs limits of POSIX")
def test_without_room_for_the_copy_nothing_is_changed(old, now):
    with closing(sqlite3.connect(old)) as file, file:
        file.execute("INSERT INTO plans VALUES (2, 1, ?, '', '')", ("x" * 100_000,))
    before = dump(old)
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, old], capture_output=True, text=True, check=False
    )
    assert "did not take or give the data" in done.stdout, done.stderr
    assert dump(old) == before
    assert [file.name for file in old.parent.iterdir() if "version" in file.name] == []


def test_a_copy_left_by_a_start_that_was_cut_short_is_not_in_the_way(old, now):
    left = old.with_name("shelf-version-1-20260301-180000.sqlite3")
    left.write_text("as it was", encoding="utf-8")
    Shelf.open(old, now=now).close()
    assert left.read_text(encoding="utf-8") == "as it was"
    assert old.with_name("shelf-version-1-20260301-180000-2.sqlite3").exists()


def test_version_1_stays_as_it_was_written(old, tmp_path):
    made(tmp_path / "first.sqlite3", STEPS[0])
    assert schema_of(tmp_path / "first.sqlite3") == schema_of(old)


def test_a_newer_shelf_is_refused_and_left_alone(path, now):
    made(path, f"PRAGMA application_id = {APPLICATION}; PRAGMA user_version = {VERSION + 1};")
    before = path.read_bytes()
    with pytest.raises(ShelfError, match="written by a newer Plumbrise") as told:
        Shelf.open(path, now=now)
    assert "Install the newer Plumbrise" in str(told.value)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "content",
    [
        b"x",
        b"run,test,station\n" * 400,
        bytes(range(256)) * 32,
        b"SQLite format 3\x00" + b"?" * 4096,
    ],
    ids=["a letter", "a table", "bytes", "a head without a body"],
)
def test_a_file_that_is_no_shelf_is_refused_and_left_alone(path, now, content):
    path.write_bytes(content)
    with pytest.raises(ShelfError, match=r"not a shelf|damaged") as told:
        Shelf.open(path, now=now)
    assert str(path) in str(told.value)
    assert path.read_bytes() == content


def test_another_programs_database_is_refused_and_left_alone(path, now):
    made(path, "CREATE TABLE songs (title TEXT);")
    before = path.read_bytes()
    with pytest.raises(ShelfError, match="another program's database"):
        Shelf.open(path, now=now)
    assert path.read_bytes() == before


def test_an_empty_file_becomes_a_shelf(path, now):
    path.touch()
    with Shelf.open(path, now=now) as shelf:
        assert shelf.machines() == ()


def test_a_folder_is_not_a_shelf(tmp_path, now):
    with pytest.raises(ShelfError, match="this is a folder"):
        Shelf.open(tmp_path, now=now)


def test_folders_on_the_way_are_made(tmp_path, now):
    Shelf.open(tmp_path / "a" / "b" / "shelf.sqlite3", now=now).close()
    assert (tmp_path / "a" / "b" / "shelf.sqlite3").exists()


def test_a_file_on_the_way_is_told(tmp_path, now):
    (tmp_path / "a").touch()
    with pytest.raises(ShelfError, match="its folder cannot be made"):
        Shelf.open(tmp_path / "a" / "shelf.sqlite3", now=now)


def test_a_shelf_that_must_be_there_is_not_made(path, now):
    with pytest.raises(ShelfError, match="no shelf here yet"):
        Shelf.open(path, now=now, make=False)
    assert not path.exists()


AS_NOBODY = """
import os, sys
from datetime import UTC, datetime
from plumbrise.store import Shelf, ShelfError
if os.geteuid() == 0:
    os.setgid(65534)
    os.setuid(65534)
try:
    Shelf.open(sys.argv[1], now=lambda: datetime.now(UTC))
except ShelfError as told:
    print(told)
"""


@pytest.mark.skipif(os.name == "nt", reason="needs the rights of POSIX files")
@pytest.mark.parametrize("what", ["file", "folder"])
def test_a_shelf_that_may_not_be_written_is_told(now, what):
    folder = Path(tempfile.mkdtemp())
    try:
        path = folder / "shelf.sqlite3"
        Shelf.open(path, now=now).close()
        path.chmod(0o444)
        folder.chmod(0o777 if what == "file" else 0o555)
        done = subprocess.run(
            [sys.executable, "-c", AS_NOBODY, path], capture_output=True, text=True, check=False
        )
    finally:
        folder.chmod(0o700)
        shutil.rmtree(folder)
    assert "shelf.sqlite3: the file" in done.stdout, done.stderr
    assert "--shelf FILE" in done.stdout


def test_a_backup_is_one_whole_file_that_opens_as_a_shelf(shelf, machine_id, run_id, tmp_path, now):
    for seq in range(50):
        shelf.keep(run_id, Reading(seq=seq, target_mm=seq, reading_mm=seq, approach="up"))
    made_at = shelf.backup(tmp_path / "kept.sqlite3")
    shelf.keep(run_id, Reading(seq=50, target_mm=0, reading_mm=0, approach="up"))
    assert sorted(file.name for file in tmp_path.iterdir() if "kept" in file.name) == [
        "kept.sqlite3"
    ]
    with Shelf.open(made_at, now=now) as copy:
        assert copy.readings(machine_id).count == 50
        assert copy.machines()[0].name == "Shed"


def test_a_backup_in_a_folder_is_named_by_the_date(shelf, tmp_path):
    (tmp_path / "backups").mkdir()
    assert shelf.backup(tmp_path / "backups").name.startswith("shelf-20260301-1800")


def test_a_backup_writes_over_nothing(shelf, tmp_path):
    there = tmp_path / "precious.txt"
    there.write_text("precious", encoding="utf-8")
    with pytest.raises(ShelfError, match="there already"):
        shelf.backup(there)
    with pytest.raises(ShelfError, match="no file can be made"):
        shelf.backup(tmp_path / "nowhere" / "copy.sqlite3")
    assert there.read_text(encoding="utf-8") == "precious"


def test_a_backup_of_a_damaged_shelf_is_not_left_as_if_it_were_whole(path, now, tmp_path):
    with Shelf.open(path, now=now) as shelf:
        for _ in range(200):
            shelf.add_machine('arrangement = "one-screw"\n# ' + "x" * 200)
    data = bytearray(path.read_bytes())
    page = data.rindex(b"x" * 200) // 4096 * 4096  # of the machines, not of what is there to open
    data[page : page + 2000] = bytes(2000)
    path.write_bytes(data)
    with Shelf.open(path, now=now) as shelf, pytest.raises(ShelfDamaged, match="check"):
        shelf.backup(tmp_path / "copy.sqlite3")
    assert [file.name for file in tmp_path.iterdir() if "copy" in file.name] == []


def test_a_script_is_cut_into_its_statements():
    for step in STEPS:
        whole = list(statements(step))
        assert "".join("".join(whole).split()) == "".join(step.split())
        assert all(sqlite3.complete_statement(one) for one in whole)
