"""`plumbrise pack` from the files on disk and back."""

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from plumbrise.cli import main
from plumbrise.files import read_pack, write_pack

MACHINE = 'format = 1\narrangement = "one-screw"\nscrew = { lead_mm = 8.0 }  # from the shop\n'
BEFORE = "told,read\n" + "".join(f"{i},{max(0, i - 0.4):.2f}\n" for i in range(8))
AFTER = "told,read\n" + "".join(f"{i},{max(0, i - 0.1):.2f}\n" for i in range(8))
PROPOSAL = {"version": 1, "chosen": {"changes": ["new-nut"], "predicted": {
    "lost-motion": {"gantry-left": {"estimate": 0.1, "low": 0.05, "high": 0.2, "level": 0.95}}}}}  # fmt: skip
FILES = {
    "machine.toml": MACHINE,
    "a.csv": BEFORE,
    "b.csv": AFTER,
    "proposal.json": json.dumps(PROPOSAL),
    "harness.toml": '[[line]]\nname = "left"\nmotor = { coil_ohm = 2.6 }\n',
    "p.csv": "what,place,told_mm,read_mm\n" + "layer 1,left,0.2,0.1\n" * 3,
    "q.csv": "what,place,told_mm,read_mm\n" + "layer 1,left,0.2,0.19\n" * 3,
}
GOLDEN = Path(__file__).parents[1] / "golden" / "packs" / "format-1.zip"


def ran(*words: object) -> tuple[int, str, str]:
    result = CliRunner().invoke(main, [str(word) for word in words])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


@pytest.fixture(scope="session")
def story(tmp_path_factory) -> Path:
    """A pack of a story, beside the files that it was made of."""
    folder = tmp_path_factory.mktemp("story")
    for name, text in FILES.items():
        (folder / name).write_text(text, encoding="utf-8")
    work = ("--progress", folder / "work.json", "--done", "read-before=done")
    ran("build", folder / "machine.toml", folder / "proposal.json", *work)
    status, shown, _ = _made(folder, folder / "story.zip")
    assert status == 0
    assert "2 stages" in shown
    return folder / "story.zip"


def _made(folder: Path, out: Path, *words: object) -> tuple[int, str, str]:
    machine = folder / "machine.toml"
    stages = ("--before", machine, folder / "a.csv", "--after", machine, folder / "b.csv")
    options = {"proposal": "proposal.json", "build": "work.json", "harness": "harness.toml",
               "prints-before": "p.csv", "prints-after": "q.csv"}  # fmt: skip
    beside = [one for name, file in options.items() for one in (f"--{name}", folder / file)]
    return ran("pack", "make", out, *stages, *beside, "--station", "gantry-left", *words)


def test_a_pack_made_twice_is_the_same(story, tmp_path, anew):
    status, shown, _ = _made(story.parent, tmp_path / "again.zip", "--json")
    assert status == 0
    assert (tmp_path / "again.zip").read_bytes() == story.read_bytes()
    assert json.loads(shown)["stages"] == 2


def test_comments_of_the_machine_file_stay_at_home(story):
    packed = read_pack(story.read_bytes())
    assert "from the shop" not in packed.stages[0].machine
    assert "lead_mm = 8.0" in packed.stages[0].machine


def test_the_same_numbers_come_out_again(story, tmp_path, anew):
    status, shown, _ = ran("pack", "open", story, "--recompute", "--into", tmp_path / "o", "--json")
    assert status == 0
    told = json.loads(shown)
    assert told["whole"]
    for stage in told["stages"]:
        assert stage["analysis"] == {"verdict": "same", "differences": []}
        assert stage["explanation"] == {"verdict": "same", "differences": []}
    for name in ("proof", "build"):
        assert told[name] == {"verdict": "same", "differences": []}
    assert (told["promised"], told["harness"]) == (["New plain nut"], "cannot tell")
    files = {str(p.relative_to(tmp_path / "o")) for p in (tmp_path / "o").rglob("*.*")}
    parts = ("machine.toml", "readings.csv", "results.json", "print.csv")
    beside = {"proof.json", "proposal.json", "build.json", "harness.toml"}
    assert files == beside | {f"{s}/{part}" for s in ("before", "after-1") for part in parts}


def test_proof_and_story_of_a_pack_hold_promise_and_prints(story):
    packed = read_pack(story.read_bytes())
    (proof,) = packed.proof["proofs"]
    assert [one["kept"] for one in proof["promises"]] == [True]
    assert {one["test"] for one in proof["figures"]} >= {"coarse-steps", "print"}
    assert proof["links"]
    assert "Did it go as foretold?" in packed.story


def test_a_proof_that_was_changed_ends_with_one(story, tmp_path):
    from dataclasses import replace

    packed = read_pack(story.read_bytes())
    proof = json.loads(json.dumps(packed.proof))
    proof["proofs"][0]["figures"][0]["verdict"] = "worse"
    lies = tmp_path / "lies.zip"
    lies.write_bytes(write_pack(replace(packed, proof=proof)))
    status, shown, _ = ran("pack", "open", lies)
    assert status == 1
    assert "The proof, made again: other numbers." in shown


def test_what_was_opened_can_be_analysed(tmp_path):
    _, shown, _ = ran("pack", "open", GOLDEN, "--into", tmp_path / "o")
    assert "The pack is whole" in shown  # whatever a later version makes of its work order
    before = tmp_path / "o" / "before"
    status, shown, _ = ran("analyse", before / "machine.toml", before / "readings.csv")
    assert status == 0
    assert "Lost motion" in shown


def test_a_pack_that_is_not_whole_ends_with_one_and_writes_nothing(tmp_path):
    broken = tmp_path / "broken.zip"
    broken.write_bytes(GOLDEN.read_bytes()[:-9])
    status, shown, _ = ran("pack", "open", broken, "--into", tmp_path / "o")
    assert status == 1
    assert "not whole" in shown
    assert "no zip archive, or a cut one" in shown
    assert not (tmp_path / "o").exists()
    status, shown, _ = ran("pack", "open", broken, "--json")
    assert status == 1
    assert json.loads(shown)["whole"] is False


def test_numbers_of_other_readings_end_with_one(tmp_path):
    from dataclasses import replace

    packed = read_pack(GOLDEN.read_bytes())
    before, after = packed.stages
    claimed = replace(before, results=after.results)
    lies = tmp_path / "lies.zip"
    lies.write_bytes(write_pack(replace(packed, stages=(claimed, after))))
    status, shown, _ = ran("pack", "open", lies)
    assert status == 1
    assert "The pack is whole" in shown
    assert "Analysed again: other numbers" in shown


def test_a_huge_file_is_refused_before_it_is_read(tmp_path):
    huge = tmp_path / "huge.zip"
    with huge.open("wb") as file:
        file.truncate(10**11)  # a hole, no bytes
    status, shown, _ = ran("pack", "open", huge)
    assert status == 1
    assert "100000000000 bytes" in shown


def test_a_folder_of_other_things_is_left_alone(tmp_path):
    (tmp_path / "letter.txt").write_text("dear aunt", encoding="utf-8")
    status, _, complaint = ran("pack", "open", GOLDEN, "--into", tmp_path)
    assert status == 2
    assert "--into" in complaint
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


def test_a_stage_that_cannot_be_read_is_told_as_anywhere(story, tmp_path):
    shutil.copy(story.parent / "machine.toml", tmp_path)
    (tmp_path / "a.csv").write_text("told,read\n0,zero\n", encoding="utf-8")
    machine, table = tmp_path / "machine.toml", tmp_path / "a.csv"
    status, _, complaint = ran("pack", "make", tmp_path / "s.zip", "--before", machine, table)
    assert status == 2
    assert "a.csv, row 2" in complaint
    assert not (tmp_path / "s.zip").exists()
