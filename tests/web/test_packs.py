"""A pack kept from the page, and another person's put on the shelf."""

import re
import sys
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest

from plumbrise.files import read_pack, write_pack
from plumbrise.store import Shelf, ShelfError

sys.path.insert(0, str(Path(__file__).parents[1] / "files"))
from packs import HOSTILE, READINGS, changed

GOLDEN = (Path(__file__).parents[1] / "golden" / "packs" / "format-1.zip").read_bytes()


def _words(answer) -> str:
    return unescape(re.sub(r"<[^>]+>", " ", answer.text)).replace("\xa0", " ")


def _sent(client, data: bytes, name: str = "story.zip"):
    return client.post("/packs", files={"pack": (name, data)})


def test_a_pack_becomes_a_machine_on_the_shelf_for_each_stage(known, shelf):
    answer = _sent(known, GOLDEN)
    assert answer.status_code == 303
    assert [one.name for one in shelf.machines()] == ["Heron, before", "Heron, after-1"]
    words = _words(known.get(answer.headers["location"]))
    assert "The pack is whole" in words
    assert words.count("analysed again, the same numbers") == 2
    assert "Heron, after-1" in _words(known.get("/m/2"))
    assert re.search(r"The proof\s+made again, the same numbers", words)
    assert re.search(r"The harness, judged here\s+cannot tell", words)


def test_what_a_pack_promised_and_measured_on_prints_joins_its_proof_on_the_page(known):
    _sent(known, GOLDEN)
    words = _words(known.get("/m/1/prove"))
    assert "Did it go as foretold?" in words
    assert "Layer 1 of the print, off, left" in words
    assert _words(known.get("/m/2/prove")).count("Did it go as foretold?") == 1


def test_a_pack_of_numbers_that_are_not_its_readings_says_so(known):
    packed = read_pack(GOLDEN)
    before, after = packed.stages
    lies = write_pack(replace(packed, stages=(replace(before, results=after.results), after)))
    words = _words(known.get(_sent(known, lies).headers["location"]))
    assert "analysed again, other numbers" in words
    assert "in the pack" in words


def test_a_story_kept_as_a_pack_opens_again(known, shelf):
    _sent(known, GOLDEN)
    kept = known.get("/m/1/files/pack.zip?after=2")
    assert kept.status_code == 200
    assert kept.headers["content-disposition"] == 'attachment; filename="heron-before-pack.zip"'
    packed = read_pack(kept.content)
    assert [stage.name for stage in packed.stages] == ["before", "after-1"]
    assert [one.readings for one in packed.stages] == [
        one.readings for one in read_pack(GOLDEN).stages
    ]


def test_a_machine_without_an_answer_has_no_pack(known):
    known.post("/machines", data={"arrangement": "one-screw"})
    answer = known.get("/m/1/files/pack.zip")
    assert answer.status_code == 404
    assert "no whole answer yet" in _words(answer)


@pytest.mark.parametrize("after", ["99", "x", "-1", "१", "9" * 30, "1"])
def test_an_after_that_is_none_is_refused_or_passed_over(after, known, pasted):
    assert known.get(f"{pasted}/files/pack.zip", params={"after": after}).status_code in (200, 404)


@pytest.mark.parametrize("hostile", HOSTILE, ids=lambda hostile: hostile.title)
def test_a_hostile_pack_leaves_nothing_on_the_shelf(hostile, known, shelf):
    data = hostile.made()
    answer = _sent(known, data)
    assert answer.status_code == (422 if len(data) < 199_000 else 413)
    if answer.status_code == 422:
        assert hostile.told in _words(answer)
    assert shelf.machines() == ()


def test_a_machine_of_a_pack_that_cannot_be_read_keeps_all_stages_out(known, shelf):
    answer = _sent(known, changed("after-1/readings.csv", b"told,read\n0,x\n"))
    assert answer.status_code == 422
    assert "after-1/readings.csv, row 2" in _words(answer)
    assert shelf.machines() == ()


def test_a_disk_that_is_full_before_all_of_a_pack_is_kept_keeps_all_of_it_out(
    known, shelf, monkeypatch
):
    def full(*_, **__):
        raise ShelfError(place="shelf", wrong="the disk is full", remedy="Make room.")

    with monkeypatch.context() as meanwhile:
        meanwhile.setattr(Shelf, "add_result", full)
        assert "the disk is full" in _words(_sent(known, GOLDEN))
    assert shelf.machines() == ()
    assert _sent(known, GOLDEN).status_code == 303


def test_script_in_a_pack_is_text_on_every_page(known):
    script = "<script>alert(1)</script>"
    table = f"run,test,station,seq,target_mm,reading_mm,note\n{script},coarse-steps,nut,0,0,0,{script}\n"
    table += "".join(f"{script},coarse-steps,nut,{i},{i},{i - 0.2},\n" for i in range(1, 6))
    packed = read_pack(changed(READINGS, table.encode()))
    named = packed.stages[0].machine.replace("Heron", script)
    spoiled = write_pack(replace(packed, stages=(replace(packed.stages[0], machine=named),)))
    answer = _sent(known, spoiled, name=script + ".zip")
    for address in (answer.headers["location"], "/m/1", "/m/1/readings", "/m/1/report", "/shelf"):
        assert "<script>alert" not in known.get(address).text


def test_no_file_is_said_to_be_none(known):
    assert known.post("/packs").status_code == 422
    assert known.get("/m/1/pack").status_code == 404
