"""A pack comes out as it went in, and another person's is opened safely or not at all."""

import hashlib
import subprocess
import zipfile
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from packs import HOSTILE, MACHINE, READINGS, TABLE, WHOLE, members, pack, stage, zipped

from plumbrise.files import PackNotWhole, read_pack, write_pack
from plumbrise.files.pack import READERS
from plumbrise.files.pack_again import (
    analysed_again,
    differences,
    explained_again,
    explained_anew,
    session_in,
)
from plumbrise.files.pack_beside import beside_again
from plumbrise.files.pack_names import FORMAT, MOST

GOLDEN = Path(__file__).parents[1] / "golden" / "packs"


def test_a_pack_comes_out_as_it_went_in():
    assert read_pack(WHOLE) == pack("before", "after-1")


def test_the_same_story_gives_the_same_bytes():
    assert write_pack(pack("before", "after-1")) == WHOLE


def test_a_pack_names_its_files_and_nothing_else():
    assert set(members()) == {
        "before/machine.toml", "before/readings.csv", "before/results.json",
        "after-1/machine.toml", "after-1/readings.csv", "after-1/results.json",
        "figures/before.svg", "figures/after-1.svg", "report/before.html", "report/after-1.html",
        "versions.json", "checksums.sha256",
    }  # fmt: skip
    assert set(members()) <= set(MOST)


def test_the_checksums_are_what_sha256sum_reads(tmp_path):
    for name, data in members().items():
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(data)
    for line in members()["checksums.sha256"].decode().splitlines():
        said, name = line.split("  ")
        assert hashlib.sha256((tmp_path / name).read_bytes()).hexdigest() == said
    try:
        checked = subprocess.run(
            ["sha256sum", "-c", "--strict", "checksums.sha256"], cwd=tmp_path, capture_output=True
        )
    except FileNotFoundError:
        pytest.skip("no sha256sum here")
    assert checked.returncode == 0


def test_stages_are_packed_in_their_order_or_not_at_all():
    for names in ((), ("after-1",), ("before", "after-2"), ("before", "before")):
        with pytest.raises(ValueError, match="before, after-1"):
            write_pack(replace(pack(), stages=tuple(stage(name) for name in names)))


def test_a_pack_that_was_unpacked_and_zipped_anew_is_the_same_pack():
    folders = [(name, b"") for name in ("before/", "after-1/", "figures/", "report/")]
    anew = zipped([*folders, *sorted(members().items(), reverse=True)], summed=False)
    assert read_pack(anew) == read_pack(WHOLE)
    stored = zipped(members(), summed=False, level=zipfile.ZIP_STORED)
    assert read_pack(stored) == read_pack(WHOLE)


def test_a_pack_written_in_one_go_to_a_pipe_is_the_same_pack():
    class Pipe(BytesIO):  # sizes then stand behind the data
        def seekable(self) -> bool:
            return False

        def seek(self, *_):
            raise OSError

    pipe = Pipe()
    with zipfile.ZipFile(pipe, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members().items():
            archive.writestr(name, data)
    assert read_pack(pipe.getvalue()) == read_pack(WHOLE)


def sessions_in(data):
    return [session_in(one) for one in read_pack(data).stages]


@pytest.mark.parametrize("hostile", HOSTILE, ids=lambda hostile: hostile.title)
def test_a_hostile_pack_is_refused_in_words(hostile):
    with pytest.raises(PackNotWhole) as told:
        sessions_in(hostile.made())
    said = str(told.value)
    assert hostile.told in said
    assert said.isascii()
    assert all(letter.isprintable() or letter == "\n" for letter in said)
    assert all(problem.remedy.endswith(".") for problem in told.value.problems)


def test_all_faults_of_a_pack_are_told_at_once():
    spoiled = members() | {READINGS: b"x", "before/machine.toml": b"y"}
    with pytest.raises(PackNotWhole) as told:
        read_pack(zipped(spoiled, summed=False))
    assert {p.place for p in told.value.problems} == {READINGS, "before/machine.toml"}


def test_a_pack_of_thousands_of_faults_does_not_fill_the_screen():
    odd = "".join(f"odd_{i} = 1\n" for i in range(3000))
    spoiled = members() | {"before/machine.toml": (odd + MACHINE).encode()}
    with pytest.raises(PackNotWhole, match="2950 more faults") as told:
        sessions_in(zipped(spoiled))
    assert len(told.value.problems) == 51


@given(at=st.integers(0, len(WHOLE) - 1), value=st.integers(0, 255))
def test_a_pack_with_one_byte_changed_is_whole_or_refused(at, value):
    spoiled = WHOLE[:at] + bytes([value]) + WHOLE[at + 1 :]
    try:
        found = read_pack(spoiled)
    except PackNotWhole:
        return
    assert found == read_pack(WHOLE)


@given(st.binary(max_size=300))
def test_bytes_of_any_kind_are_no_pack(data):
    for tried in (data, b"PK\3\4" + data, WHOLE[:-22] + data, WHOLE[: len(data) * 9] + data):
        with pytest.raises(PackNotWhole):
            read_pack(tried)


def test_numbers_worked_out_again_are_those_of_the_pack():
    packed = read_pack(WHOLE).stages[0]
    assert analysed_again(packed, *session_in(packed)).verdict == "same"
    assert explained_anew(packed, *session_in(packed)) is None


def test_numbers_that_do_not_come_from_the_readings_are_told():
    claimed = replace(stage(), readings=TABLE.replace("5.60", "5.80"))
    found = analysed_again(claimed, *session_in(claimed))
    assert found.verdict == "other"
    assert all("in the pack" in line for line in found.told)


def test_a_machine_that_nobody_can_read_makes_the_pack_not_whole():
    with pytest.raises(PackNotWhole, match=r"before/machine\.toml"):
        session_in(replace(stage(), machine="arrangement = 3\n"))
    with pytest.raises(PackNotWhole, match=r"before/readings\.csv, row 2"):
        session_in(replace(stage(), readings=TABLE.replace("0,0,0.00", "0,x,0.00")))


@pytest.mark.parametrize(
    "claimed",
    [
        {"analysis": {"runs": 3, "\x1b[2J": 1}},
        {"analysis": {"runs": [{"readings": [[[]]]}], "between": {}}},
        {"analysis": {"runs": [10**400], "oddities": None}},
        {"analysis": {"runs": [{"figures": [{"value": 1e999}]}]}},
    ],
)
def test_results_of_any_shape_are_compared(claimed):
    odd = replace(stage(), results=claimed)
    found = analysed_again(odd, *session_in(odd))
    assert found.verdict == "other"
    assert all(line.isprintable() for line in found.told)


@pytest.mark.parametrize(
    "claimed", [{"causes": 3}, {"causes": [[], {"cause": []}, {"cause": "x", "loss_mm": 3}]}]
)
def test_explanations_of_any_shape_are_compared(claimed):
    odd = replace(stage(), results={"explanation": claimed})
    anew = explained_anew(odd, *session_in(odd))
    found = explained_again(odd, anew)
    assert found.verdict == "other"


@given(st.recursive(st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
                    lambda of: st.lists(of) | st.dictionaries(st.text(), of)))  # fmt: skip
def test_a_value_agrees_with_itself(value):
    if value == value and "nan" not in repr(value):
        assert list(differences(value, value)) == []


@pytest.mark.parametrize("golden", sorted(GOLDEN.glob("*.zip")), ids=lambda path: path.stem)
def test_a_pack_of_every_format_ever_released_opens(golden):
    packed = read_pack(golden.read_bytes())
    assert golden.stem == f"format-{packed.format}"
    assert [one.name for one in packed.stages] == ["before", "after-1"]
    for one in packed.stages:
        machine, readings = session_in(one)
        assert readings.count >= 7
        assert analysed_again(one, machine, readings).verdict == "same"
    beside = beside_again(packed, [session_in(one) for one in packed.stages])
    assert beside.proof.verdict == "same"
    assert beside.build is not None
    assert (beside.changes, beside.harness) == (("New plain nut",), "cannot tell")


def test_no_format_that_was_released_has_lost_its_reader_or_its_golden_pack():
    assert set(READERS) == set(range(1, FORMAT + 1))
    assert {path.stem for path in GOLDEN.glob("*.zip")} == {f"format-{n}" for n in READERS}
