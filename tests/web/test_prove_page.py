"""The prove sheet: what is compared, what is said of it, what is kept."""

import json
import re
from dataclasses import replace
from html import unescape

import pytest

from plumbrise.files import read_pack, read_readings, write_readings
from plumbrise.readings import Readings, Scale

SCRIPT = "<script>alert(1)</script>"
AFTER = "told,read\n0,0\n1,0.91\n2,1.90\n3,2.90\n4,3.90\n5,4.90\n"
MACHINE = 'arrangement = "one-screw"\nscrew = { lead_mm = 8.0 }\nname = "Wren"\n'
PRINT = "what,place,told_mm,read_mm\n" + "layer 1,right,0.2,{0}\n" * 3


def words(answer) -> str:
    said = re.sub(r"<[^>]+>", " ", re.sub(r"<svg.*?</svg>", " ", answer.text, flags=re.DOTALL))
    return re.sub(r"\s+", " ", unescape(said).replace("\xa0", " "))


def give(known, sheet: str, table: str, machine: str = ""):
    files = {"machine": ("machine.toml", machine.encode())} if machine else None
    return known.post(sheet, data={"table": table, "before": "1"}, files=files)


@pytest.fixture
def sheet(pasted):
    return f"{pasted}/prove"


@pytest.fixture
def proved(known, sheet):
    """The address of a sheet with one session after the work."""
    assert give(known, sheet, AFTER).status_code == 303
    return sheet


def test_without_readings_the_sheet_says_what_it_waits_for(known):
    known.post("/machines", data={"arrangement": "one-screw"})
    answer = known.get("/m/1/prove")
    assert answer.status_code == 200
    assert "A proof needs readings from before the work" in words(answer)


def test_before_anything_was_read_again_it_asks_for_it(known, sheet):
    assert "Read again what you read before" in words(known.get(sheet))


def test_what_was_read_before_is_read_again_set_up_by_set_up(known, pasted, sheet, shelf):
    """The worksheet holds the set-ups of the session before with nothing read in them; asked for
    twice it is one, and filled in it is the session after."""
    assert f'action="{sheet}/again"' in known.get(sheet).text
    (first,) = shelf.readings(1).runs
    ways = {known.post(f"{sheet}/again", data={"before": "1"}).headers["location"] for _ in "ab"}
    assert len(ways) == len(shelf.plans(1)) == 1
    assert known.get(ways.pop()).status_code == 200
    (run,) = read_readings(shelf.plans(1)[0].text.encode(), name="plan", scale=Scale()).runs
    assert (run.kind, run.station) == (first.kind, first.station)
    assert [r.target_mm for r in run.readings] == [r.target_mm for r in first.readings]
    assert not run.taken
    read = [replace(r, reading_mm=0.95 * r.target_mm) for r in run.readings]
    filled = write_readings(Readings((replace(run, readings=tuple(read)),)))
    known.post(f"{pasted}/readings", data={"table": filled})
    assert "1 test was done both times" in words(known.get(sheet))


def test_a_table_read_after_the_work_is_kept_and_compared(known, proved, shelf, pasted):
    said = words(known.get(proved))
    assert re.search(
        r"The left end lost 0\.\d+ ± 0\.\d+ mm; it now loses 0\.\d+ ± 0\.\d+ mm\.", said
    )
    assert "1 test was done both times, and alike in all that was written down." in said
    assert said.index("done both times") < said.index("Better by")
    assert re.search(r"better 0\.\d+ \(0\.\d+ to 0\.\d+\) 0\.\d+ mm", said)
    assert [one.readings for one in shelf.machines()] == [6, 6]
    cell = re.search(r'href="/m/1/prove"[^>]*><b>Prove</b>([^<]+)<', known.get(pasted).text)
    assert cell[1].split() == ["1", "better"]
    assert words(known.get("/m/2/prove")).count("it now loses 0.") >= 1


def test_the_invented_example_brings_in_what_was_read_after_the_work_once(known, shelf):
    known.post("/example")
    asked = known.get("/m/1/prove")
    assert 'action="/m/1/prove/example"' in asked.text
    assert "Invented too" in words(asked)
    for _ in range(2):
        assert known.post("/m/1/prove/example").headers["location"] == "/m/1/prove"
    assert [one.name for one in shelf.machines()] == [
        "Bramble (invented example)",
        "Bramble (invented example), after",
    ]
    shown = known.get("/m/1/prove")
    assert "it now loses" in words(shown)
    assert "/prove/example" not in shown.text


def test_no_other_machine_gets_the_invented_readings(known, sheet, shelf):
    assert "/prove/example" not in known.get(sheet).text
    assert known.post(f"{sheet}/example").status_code == 404
    assert len(shelf.machines()) == 1


def test_the_other_way_round_the_same_session_is_worse(known, proved):
    said = words(known.get(f"{proved}?before=2&after=1"))
    assert "it now loses more" in said
    assert "find out why before going on" in said


def test_a_machine_that_is_another_one_now_is_told_part_by_part(known, sheet):
    table = "run,test,station,seq,target_mm,reading_mm\n" + "".join(
        f"left,coarse-steps,gantry-left,{i},{i},{max(0, i - 0.1):.2f}\n" for i in range(6)
    )
    machine = 'arrangement = "two-screw"\nscrew = { lead_mm = 4.0 }\n'
    assert give(known, sheet, table, machine).status_code == 303
    said = words(known.get(sheet))
    assert "What is another part now" in said
    assert "arrangement One screw Two screws" in said


def test_several_sessions_after_are_judged_together_and_the_way_is_told(known, proved):
    give(known, proved, AFTER.replace("0.91", "0.95"))
    said = words(known.get(proved))
    assert "On the way" in said
    assert len(re.findall(r'name="after"[^>]*checked', known.get(proved).text)) == 2


def test_a_session_is_never_compared_with_itself(known, proved):
    assert "Read again what you read before" in words(known.get(f"{proved}?before=1&after=1"))


def test_two_sittings_at_one_machine_stand_before_and_after(known, pasted, sheet):
    known.post(f"{pasted}/readings", data={"table": AFTER, "station": "gantry-left",
                                           "test": "coarse-steps"})  # fmt: skip
    said = words(known.get(sheet))
    assert "it now loses 0." in said
    assert "all that was read" in said


def test_other_tests_read_for_the_answer_are_not_taken_for_the_ones_after_the_work(
    known, pasted, sheet
):
    known.post(f"{pasted}/readings", data={"table": AFTER, "station": "nut",
                                           "test": "coarse-steps"})  # fmt: skip
    assert "Read again what you read before" in words(known.get(sheet))
    said = {"table": AFTER, "repeats": ""}
    refused = known.post(sheet, data=said)
    assert (refused.status_code, AFTER.strip() in refused.text) == (422, True)
    assert "Coarse steps, left end of the gantry</option>" in refused.text
    known.post(sheet, data={**said, "repeats": "coarse-steps gantry-left"})
    assert "it now loses 0." in words(known.get(sheet))


@pytest.mark.parametrize(
    ("table", "machine", "told"),
    [("", "", "nothing"), ("told,read\n0,x\n", "", "row 2"), (AFTER, "screws = 2", "screws")],
)
def test_what_cannot_be_read_is_said_and_nothing_is_kept(table, machine, told, known, sheet, shelf):
    answer = give(known, sheet, table, machine)
    assert answer.status_code == 422
    assert told in words(answer)
    assert len(shelf.machines()) == 1


def test_what_was_measured_on_prints_joins_and_can_be_taken_off(known, proved):
    tables = {"prints-1": PRINT.format(0.09), "prints-2": PRINT.format(0.2)}
    assert known.post(f"{proved}/prints", data=tables).status_code == 303
    assert "Layer 1 of the print, off, right" in words(known.get(proved))
    known.post(f"{proved}/prints", data={"prints-1": "", "prints-2": ""})
    assert "Layer 1 of the print" not in words(known.get(proved))


def test_a_print_that_cannot_be_read_is_said(known, proved):
    answer = known.post(f"{proved}/prints", data={"prints-1": "what,place\nwall,left\n"})
    assert answer.status_code == 422
    assert "told_mm" in words(answer)


def promise(low: float, high: float) -> bytes:
    interval = {"estimate": (low + high) / 2, "low": low, "high": high, "level": 0.95}
    predicted = {"lost-motion": {"gantry-left": interval}}
    return json.dumps(
        {"version": 1, "chosen": {"changes": ["new-nut"], "predicted": predicted}}
    ).encode()


@pytest.mark.parametrize(("high", "said"), [(0.2, "kept"), (0.03, "not kept")])
def test_what_came_is_held_against_what_was_promised(high, said, known, proved):
    kept = known.post(f"{proved}/promise", files={"proposal": ("p.json", promise(0.01, high))})
    assert kept.status_code == 303
    told = words(known.get(proved))
    assert re.search(rf"0\.092 ± 0\.018 mm {said}", told)
    assert "new plain nut" in told
    known.post(f"{proved}/promise", data={"do": "off"})
    assert "Did it go as foretold" not in words(known.get(proved))


@pytest.mark.parametrize(
    "odd",
    [
        b"",
        b"{}",
        b"[1]",
        b"\xff",
        promise(0, 1).replace(b"new-nut", b"hammer"),
        b"x" * 99,
        promise(0, 1).replace(b"0.5", b'"nan"'),
        promise(0, 1).replace(b"gantry-left", rb"\ud800"),
        promise(0, 1).replace(b"gantry-left", SCRIPT.encode()),
        promise(0, 1e300),
        promise(1, 0),
        promise(0, 1).replace(b"0.95", b"9"),
    ],
)
def test_a_promise_that_is_none_is_not_kept(odd, known, proved):
    answer = known.post(f"{proved}/promise", files={"proposal": ("p.json", odd)})
    assert answer.status_code == 422
    assert known.get(proved).status_code == 200


def test_story_and_pack_hold_all_of_it_and_script_is_text(known, sheet):
    give(known, sheet, AFTER, MACHINE.replace("Wren", SCRIPT))
    known.post(f"{sheet}/promise", files={"proposal": ("p.json", promise(0.01, 0.2))})
    tables = {"prints-1": PRINT.format(0.09), "prints-2": PRINT.format(0.2)}
    known.post(f"{sheet}/prints", data={n: t.replace("right", SCRIPT) for n, t in tables.items()})
    story = known.get(f"{sheet}/story.html")
    assert story.headers["content-disposition"].startswith("attachment")
    assert "Where the loss went" in words(story)
    packed = read_pack(known.get(f"{sheet}/pack.zip").content)
    assert [one.name for one in packed.stages] == ["before", "after-1"]
    (proof,) = packed.proof["proofs"]
    assert proof["links"]
    assert proof["promises"][0]["kept"] is True
    assert packed.stages[0].prints.startswith("what,place")
    for page in (packed.story, story.text, known.get(sheet).text, known.get("/m/2/prove").text):
        assert "</html>" in page
        assert "<script>alert" not in page


@pytest.mark.parametrize(
    "query", ["before=99&after=98", "after=1-1", "before=x&after=%00", "after=-1"]
)
def test_sessions_that_are_not_there_are_passed_over(query, known, proved):
    assert known.get(f"{proved}?{query}").status_code == 200
    assert known.get(f"{proved}/run.json?{query}").status_code == 200
