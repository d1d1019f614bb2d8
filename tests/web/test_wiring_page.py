"""The wiring sheet: the harness file in its form, judged with every reading; kept for a machine."""

import json
import re
from html import unescape

import pytest

from plumbrise.files.harness_file import read_harness
from plumbrise.report.wiring import HEADS, finding_words, wiring_said
from plumbrise.web.wiring_page import example
from plumbrise.wiring import Verdict, judge

SCRIPT = "<script>alert(1)</script>"
ONE = """
[[line]]
name = "left"
board = { phases = [[1, 2], [3, 4]] }
motor = { coil_ohm = 2.6 }
"""
READINGS = (("1", "2", "2.9"), ("3", "4", "2,9 ohm"), ("1", "3", ""), ("1", "frame", ""), ("3", "frame", ""))  # fmt: skip


def words(answer) -> str:
    said = re.sub(r"<[^>]+>", " ", re.sub(r"<svg.*?</svg>", " ", answer.text, flags=re.DOTALL))
    return re.sub(r"\s+", " ", unescape(said).replace("\xa0", " "))


def file_in(answer) -> str:
    """The harness file that stands in the sheet's form."""
    return unescape(re.search(r"<textarea[^>]*>(.*?)</textarea>", answer.text, re.DOTALL)[1])


def entry(one, other, ohm, at="board", line="left"):
    do = "ohm" if ohm else "open"
    return {"do": do, "line": line, "at": at, "one": one, "other": other, "ohm": ohm}


def test_a_sheet_with_nothing_on_it_offers_what_can_be_done(known):
    answer = known.get("/wiring")
    assert answer.status_code == 200
    assert "Prove the wiring before power" in words(answer)
    for title in ("Plugging under power", "Mains voltage", "Falling gantry or bed"):
        assert title in words(answer)
    begun = known.get("/wiring?begin=yes")
    assert HEADS[Verdict.CANNOT_TELL] in words(begun)


@pytest.mark.parametrize("asked", ["", "?begin=yes", "?example=yes"])
def test_switched_off_and_held_up_comes_before_anything_is_unplugged(known, asked):
    said = words(known.get(f"/wiring{asked}"))
    first = said.index("blocks under every end, then switch off, pull the mains plug")
    assert first < said.lower().index("unplug")


def test_the_example_is_a_no_go_and_says_all_that_the_terminal_says(known):
    said = words(known.get("/wiring?example=yes"))
    harness = read_harness(example(), name="h")
    told = wiring_said(harness, judge(harness))
    assert HEADS[Verdict.NO_GO] in said
    assert len(told.parts) > 3
    for head, lines in told.parts:
        assert head in said
        for line in lines:
            assert line in said


def test_five_readings_entered_one_by_one_make_a_go_and_nothing_less_does(known):
    text = ONE
    for number, (one, other, ohm) in enumerate(READINGS, 1):
        answer = known.post("/wiring", data={"harness": text} | entry(one, other, ohm))
        assert answer.status_code == 200
        text = file_in(answer)
        assert len(read_harness(text, name="h").lines[0].measured) == number
        assert (HEADS[Verdict.GO] in words(answer)) == (number == len(READINGS))


def test_the_form_asks_for_the_reading_that_settles_most(known):
    asked = judge(read_harness(ONE, name="h")).next_reading
    page = known.post("/wiring", data={"harness": ONE}).text
    for name, contact in zip(("one", "other"), asked.between, strict=True):
        chosen = re.search(rf'name="{name}">.*?value="(\w+)" selected', page, re.DOTALL)[1]
        assert chosen == str(contact)


def test_what_crosses_is_swapped_and_then_measured_anew(known):
    answer = known.post("/wiring", data={"harness": example(), "do": "swapped"})
    after = read_harness(file_in(answer), name="h")
    assert after.line("carriage").cable.joins == ((1, 1), (2, 3), (3, 4), (4, 6))
    assert after.line("carriage").measured == ()
    assert HEADS[Verdict.CANNOT_TELL] in words(answer)


def test_a_reading_is_struck_out_at_its_button(known):
    page = known.post("/wiring", data={"harness": example()})
    assert page.text.count('name="strike"') == 8
    answer = known.post("/wiring", data={"harness": example(), "strike": "0 carriage"})
    assert len(read_harness(file_in(answer), name="h").line("carriage").measured) == 2


def test_the_pairs_of_the_board_and_the_leads_of_the_meter_are_asked_in_the_form(known):
    bare = '[[line]]\nname = "left"\n[[line]]\nname = "right"\n'
    answer = known.post("/wiring", data={"harness": bare, "do": "pairs", "pairs": "1-3"})
    after = read_harness(file_in(answer), name="h")
    assert {line.board.phases for line in after.lines} == {((1, 3), (2, 4))}
    answer = known.post("/wiring", data={"harness": bare, "do": "leads", "leads": "0,2"})
    assert read_harness(file_in(answer), name="h").meter.leads_ohm == 0.2


def test_a_note_of_the_file_outlives_what_is_entered(known):
    noted = 'note = "evening of the 3rd"\n' + ONE
    answer = known.post("/wiring", data={"harness": noted} | entry("1", "2", "2.9"))
    assert read_harness(file_in(answer), name="h").note == "evening of the 3rd"


def test_a_file_that_was_only_judged_stays_as_it_was_typed(known):
    typed = "# mine\n" + ONE
    assert file_in(known.post("/wiring", data={"harness": typed})).strip() == typed.strip()


@pytest.mark.parametrize(
    "wrong",
    [
        {"ohm": "x", "do": "ohm"},
        {"ohm": "-1"},
        {"ohm": "1e300"},
        {"ohm": "3 kg"},
        {"one": "7"},
        {"one": "1", "other": "1"},
        {"one": "6"},
        {"line": SCRIPT},
        {"at": "moon"},
        {"other": SCRIPT},
    ],
    ids=str,
)
def test_a_reading_that_cannot_be_is_said_and_not_entered(wrong, known):
    answer = known.post("/wiring", data={"harness": ONE} | entry("1", "2", "2.9") | wrong)
    assert answer.status_code == 422
    assert 'id="entry-wrong"' in answer.text
    assert file_in(answer).strip() == ONE.strip()
    assert SCRIPT not in answer.text


def test_all_that_is_wrong_with_a_file_is_said_and_the_file_comes_back(known):
    broken = ONE + "motors = 2\n[[line]]\nboard = { phases = 3 }\n"
    answer = known.post("/wiring", data={"harness": broken})
    assert answer.status_code == 422
    assert "board.phases" in words(answer)
    assert "line 2, name" in words(answer)
    assert file_in(answer).strip() == broken.strip()


def test_a_file_is_taken_as_a_file_and_given_back_as_one(known):
    sent = known.post("/wiring", files={"file": ("h.toml", b"\xef\xbb\xbf" + ONE.encode())})
    assert HEADS[Verdict.CANNOT_TELL] in words(sent)
    kept = known.post("/wiring/files/harness.toml", data={"harness": ONE})
    assert kept.headers["content-disposition"].startswith("attachment")
    assert kept.text.strip() == ONE.strip()
    drawn = known.post("/wiring/files/harness.svg", data={"harness": example()})
    assert drawn.text.startswith("<svg")
    verdict = known.post("/wiring/files/verdict.json", data={"harness": example()})
    assert json.loads(verdict.text)["verdict"] == "no-go"
    assert known.post("/wiring/files/other", data={"harness": ONE}).status_code == 404


def test_a_machine_keeps_its_harness_without_becoming_another_machine(known, pasted, shelf):
    before = shelf.fingerprint(1)
    assert "Begin with" in words(known.get(f"{pasted}/wiring"))
    begun = known.get(f"{pasted}/wiring?begin=yes")
    answer = known.post(f"{pasted}/wiring", data={"harness": file_in(begun), "do": "pairs", "pairs": "1-2"})  # fmt: skip
    assert answer.status_code == 303
    again = known.get(answer.headers["location"])
    assert read_harness(file_in(again), name="h").lines[0].board.phases == ((1, 2), (3, 4))
    assert shelf.fingerprint(1) == before
    assert "wiring: cannot tell" in words(known.get(pasted))


def test_a_harness_of_no_machine_is_taken_to_one(known, pasted):
    data = {"harness": example(), "do": "take", "machine": pasted.rpartition("/")[2]}
    assert known.post("/wiring", data=data).headers["location"].startswith(f"{pasted}/wiring")
    assert HEADS[Verdict.NO_GO] in words(known.get(f"{pasted}/wiring"))
    data["machine"] = "99"
    assert known.post("/wiring", data=data).status_code in (404, 422)


def test_script_in_names_and_colours_is_text_on_sheet_and_drawing(known):
    hostile = (
        example().replace('"lift"', json.dumps(SCRIPT)).replace('"violet"', json.dumps(SCRIPT))
    )
    hostile = hostile.replace('"Bramble, rebuilt (invented example)"', json.dumps(SCRIPT))
    answer = known.post("/wiring", data={"harness": hostile})
    assert answer.status_code == 200
    assert SCRIPT not in answer.text
    assert "alert(1)" in words(answer)
    assert SCRIPT not in known.post("/wiring/files/harness.svg", data={"harness": hostile}).text


def test_a_finding_is_worded_as_everywhere(known):
    harness = read_harness(example(), name="h")
    first = next(f for f in judge(harness).findings if f.kind.refuses)
    assert finding_words(first) in words(known.get("/wiring?example=yes"))
