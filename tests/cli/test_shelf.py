"""The shelf from the command line."""

import json
from datetime import UTC, datetime

import pytest
from click.testing import CliRunner
from jsonschema import ValidationError, validate

from plumbrise.cli import main
from plumbrise.demo import scenario
from plumbrise.files import schema, write_machine, write_readings
from plumbrise.machine import STATIONS
from plumbrise.readings import Reading
from plumbrise.readings.kinds import HOLD
from plumbrise.store import Shelf


@pytest.fixture
def path(tmp_path, monkeypatch):
    """A shelf of the test's own, named as a person may name it for all commands."""
    path = tmp_path / "my shelf.sqlite3"
    monkeypatch.setenv("PLUMBRISE_SHELF", str(path))
    return path


@pytest.fixture
def files(tmp_path):
    invented = scenario()
    machine, readings = tmp_path / "machine.toml", tmp_path / "readings.csv"
    machine.write_text(write_machine(invented.machine), encoding="utf-8")
    readings.write_text(write_readings(invented.readings), encoding="utf-8")
    return machine, readings


def ran(*words):
    return CliRunner().invoke(main, ["shelf", *map(str, words)])


def told(*words):
    """What it prints as JSON, which meets its schema."""
    done = ran(*words, "--json")
    assert done.exit_code == 0, done.output
    found = json.loads(done.stdout)
    validate(found, schema(f"shelf-{words[0]}"))
    return found


def test_an_empty_shelf_says_so_and_is_not_made(path):
    done = ran("list")
    assert done.exit_code == 0
    assert "Nothing is on the shelf yet" in done.stdout
    assert told("list") == {"version": 1, "shelf": str(path), "machines": []}
    assert not path.exists()


def test_files_go_in_and_come_out_as_they_were(path, files, tmp_path):
    done = ran("import", *files, "--name", "Shed")
    assert done.exit_code == 0
    assert "Kept as machine 1, Shed: 427 readings in 22 runs." in done.stdout
    assert ran("export", "Shed", tmp_path / "out").exit_code == 0
    for file in files:
        assert (tmp_path / "out" / file.name).read_bytes() == file.read_bytes()


def test_the_list_shows_each_machine_and_the_runs_of_one(path, files):
    ran("import", *files)
    ran("import", files[0], "--name", "Loft")
    machines = ran("list").stdout.splitlines()
    assert [line.split()[0] for line in machines[:3]] == ["no.", "1", "2"]
    assert "427" in machines[1]
    assert "Loft" in machines[2]
    shown = ran("list", 1).stdout
    assert "fine-steps gantry-left" in shown
    assert "UTC" in shown
    assert "0 readings in 0 runs" in ran("list", "Loft").stdout


def test_the_list_shows_what_was_taken_back_skipped_and_not_ended(path, files):
    ran("import", files[0])
    with Shelf.open(path, now=lambda: datetime.now(UTC)) as shelf:
        run_id = shelf.begin_run(1, kind=HOLD, station=STATIONS["nut"], who="A. N.")
        for seq in range(3):
            shelf.keep(run_id, Reading(seq=seq, target_mm=1, reading_mm=0, approach="up"))
        shelf.take_back(run_id)
        shelf.skip(run_id, Reading(seq=2, target_mm=1, reading_mm=None, approach="up"))
        shelf.mark(run_id, "alarm", "stopped at 3 mm")
    line = ran("list", 1).stdout.splitlines()[3].split()
    assert line[:6] == ["nut", "hold", "nut", "2", "1", "1"]
    assert line[-2:] == ["not", "ended"]
    run = told("list", 1)["machines"][0]["runs"][0]
    assert (run["readings"], run["taken_back"], run["skipped"], run["ended_at"]) == (2, 1, 1, None)
    assert run["who"] == "A. N."
    assert run["marks"][0]["words"] == "stopped at 3 mm"


def test_a_short_table_is_taken_with_its_station_and_what_was_assumed_is_said(path, tmp_path):
    (tmp_path / "m.toml").write_text('arrangement = "one-screw"\n', encoding="utf-8")
    (tmp_path / "r.csv").write_text("told;read\n0;0\n1;0,8\n2;1,8\n3;2,8\n", encoding="utf-8")
    done = ran("import", tmp_path / "m.toml", tmp_path / "r.csv", "--station", "gantry-left")
    assert "Decimal commas were read as points." in done.stdout
    assert told("list")["machines"][0]["runs"][0]["test"] == "coarse-steps"


def test_a_table_with_faults_is_told_row_by_row_and_nothing_is_kept(path, files):
    files[1].write_text("run,test,station,seq,target_mm,reading_mm\na,x,nut,0,1,y\n")
    done = ran("import", *files)
    assert done.exit_code == 2
    assert "readings.csv, row 2, test" in done.stderr
    assert "readings.csv, row 2, reading_mm" in done.stderr
    assert told("list")["machines"] == []


def test_an_export_writes_over_nothing_unless_forced(path, files, tmp_path):
    ran("import", *files)
    out = tmp_path / "out"
    out.mkdir()
    (out / "readings.csv").write_text("precious", encoding="utf-8")
    done = ran("export", 1, out)
    assert done.exit_code == 2
    assert "--force" in done.stderr
    assert [file.name for file in out.iterdir()] == ["readings.csv"]
    assert ran("export", 1, out, "--force").exit_code == 0
    assert (out / "readings.csv").read_bytes() == files[1].read_bytes()


def test_a_machine_is_found_by_number_or_by_a_name_that_only_it_has(path, files, tmp_path):
    for name in ("Shed", "Shed", "Loft"):
        ran("import", files[0], "--name", name)
    assert told("list", "Loft")["machines"][0]["id"] == 3
    for given, words in (("Shed", "say the number"), ("Attic", "Name one of these")):
        done = ran("export", given, tmp_path / "out")
        assert done.exit_code == 2
        assert words in done.stderr


def test_a_backup_is_counted_and_opens_as_a_shelf(path, files, tmp_path):
    ran("import", *files)
    made = told("backup", tmp_path / "copy.sqlite3")
    assert (made["whole"], made["machines"], made["readings"]) == (True, 1, 427)
    assert made["bytes"] == (tmp_path / "copy.sqlite3").stat().st_size
    listed = told("list", "--shelf", tmp_path / "copy.sqlite3")
    assert listed["machines"] == told("list")["machines"]


def test_a_damaged_shelf_ends_its_backup_with_1_and_leaves_no_copy(path, files, tmp_path):
    for _ in range(40):
        ran("import", files[0])
    data = bytearray(path.read_bytes())
    middle = len(data) // 4096 // 2 * 4096
    data[middle : middle + 2000] = bytes(2000)
    path.write_bytes(data)
    done = ran("backup", tmp_path / "copy.sqlite3", "--json")
    assert done.exit_code == 1
    damaged = json.loads(done.stdout)
    validate(damaged, schema("shelf-backup"))
    assert damaged["whole"] is False
    assert "does not pass its check" in done.stderr
    assert not (tmp_path / "copy.sqlite3").exists()


@pytest.mark.parametrize("words", [["export", "1", "out"], ["backup"], ["list", "1"]])
def test_where_there_is_no_shelf_nothing_is_made(path, words, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    done = ran(*words)
    assert done.exit_code == 2
    assert "no shelf here yet" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_another_file_is_not_taken_for_a_shelf(files):
    done = ran("list", "--shelf", files[1])
    assert done.exit_code == 2
    assert "this is not a shelf" in done.stderr
    assert "Traceback" not in done.output


def test_export_and_import_meet_their_schemas_too(path, files, tmp_path):
    assert told("import", *files)["blanks"] == 0
    made = told("export", 1, tmp_path / "out")
    assert [name.rpartition("/")[2] for name in made["files"]] == ["machine.toml", "readings.csv"]


@pytest.mark.parametrize(
    "wrong",
    [
        {"version": 1, "whole": True},
        {"version": 1, "whole": False},
        {"version": 2, "whole": False, "wrong": "torn"},
    ],
)
def test_the_schema_of_a_backup_asks_for_the_copy_or_for_what_is_wrong(wrong):
    with pytest.raises(ValidationError):
        validate(wrong, schema("shelf-backup"))


def test_the_same_files_are_not_kept_twice_without_a_word(path, files):
    ran("import", *files)
    done = ran("import", *files)
    assert done.exit_code == 0
    assert "On the shelf already as machine 1" in done.stdout
    assert len(told("list")["machines"]) == 1
    assert "Nothing was done" in told("import", *files)["remarks"][0]
    assert "Kept as machine 2" in ran("import", *files, "--again").stdout


def test_another_table_of_the_same_machine_is_kept_and_said(path, files):
    ran("import", *files)
    done = ran("import", files[0])
    assert "Kept as machine 2" in done.stdout
    assert "The same machine file is there as machine 1" in done.stdout


def test_a_whole_shelf_is_no_machine_file_and_how_to_use_it_is_said(path, files, tmp_path):
    ran("import", *files)
    ran("backup", tmp_path / "copy.sqlite3")
    done = ran("import", tmp_path / "copy.sqlite3")
    assert done.exit_code == 2
    assert "This is a whole shelf" in done.output
    assert "shelf export 1 FOLDER" in done.output
