"""The pages as a browser without script gets them."""

import csv
import io
import re
from html import unescape

import pytest

from plumbrise.files.machine_fields import PARTS
from plumbrise.machine import ARRANGEMENTS

STEPS = "told,read\n0,0\n1,0.62\n2,1.58\n3,2.57\n4,3.58\n5,4.57\n"


def _words(answer) -> str:
    return unescape(re.sub(r"<[^>]+>", " ", answer.text)).replace("\xa0", " ")


def _explained(client, address: str) -> str:
    """The words of a machine's sheet once it is wholly explained."""
    import time

    for _ in range(200):
        state = client.get(f"{address}/run.json").json()["state"]
        if state in ("done", "failed"):
            break
        client.get(address)
        time.sleep(0.05)
    assert state == "done"
    return _words(client.get(address))


def test_a_pasted_table_has_an_answer(known, pasted):
    words = _explained(known, pasted)
    assert "The left side loses 0.4" in words
    assert "± 0.0" in words
    assert "cannot tell yet" in words
    assert "Next:" in words
    assert "What is left over" in words


def test_a_table_that_cannot_be_used_comes_back_with_all_its_faults(known, shelf):
    answer = known.post("/tables", data={"lead": "8", "table": "told,read\n0,0\n1,x\n2,y\n"})
    assert answer.status_code == 422
    words = _words(answer)
    assert "row 3" in words
    assert "row 4" in words
    assert "1,x" in answer.text
    assert shelf.machines() == ()


def test_what_was_assumed_of_one_table_is_not_said_of_another(known):
    marked = STEPS.replace(",", ";").replace(".", ",")
    for table in (STEPS.partition("\n")[2], marked):  # the same readings, written in two ways
        address = known.post("/tables", data={"lead": "8", "table": table}).headers["location"]
        words = _explained(known, address)
    assert "Decimal commas were read as points" in words
    assert "has no header" not in words


def test_a_table_that_does_not_say_its_test_unfolds_the_field_for_it(known):
    answer = known.post("/tables", data={"lead": "8", "table": "told,read\n0,0\n1,0.6\n"})
    assert answer.status_code == 422
    assert re.search(r"<details open><summary>A file, another place", answer.text)


def test_a_lead_in_inches_is_taken_in_mm(known, shelf):
    known.post("/tables", data={"lead": "0.5 in", "table": STEPS})
    assert shelf.machine(1).screw.common.lead_mm == pytest.approx(12.7)


def test_a_file_counts_as_much_as_a_pasted_table(known, shelf):
    known.post("/tables", data={"lead": "8"}, files={"file": ("evening.csv", STEPS.encode())})
    assert shelf.runs(1)[0].readings == 6
    assert shelf.runs(1)[0].source == "evening.csv"


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_every_arrangement_is_drawn_and_planned_before_anything_is_read(arrangement, known):
    made = known.post(
        "/machines", data={"arrangement": arrangement, "lead": "", "symptom": "bands"}
    )
    address = made.headers["location"]
    assert address == "/m/1/plan?symptom=bands"
    assert known.post("/m/1/plan", data={"symptom": "bands"}).status_code == 303  # waits for it
    words = _words(known.get(address))
    assert "The walk" in words
    assert "set-ups" in words
    assert "<svg" in known.get("/m/1").text


def test_the_example_is_put_on_the_shelf_once(known, shelf):
    for _ in range(2):
        assert known.post("/example").headers["location"] == "/m/1"
    assert len(shelf.machines()) == 1
    assert "invented" in _words(known.get("/m/1"))


def test_each_link_of_the_drawing_leads_to_its_notes(known, pasted):
    text = known.get("/m/1").text
    addresses = set(re.findall(r'href="(/m/1/(?:link|station)/[^"]+)"', text))
    assert len(addresses) > 8
    for address in addresses:
        answer = known.get(address)
        assert answer.status_code == 200
        assert "<h1>" in answer.text


def test_each_cause_says_what_speaks_for_and_against_it(known, pasted):
    _explained(known, "/m/1")
    causes = re.findall(r'href="(/m/1/cause/[^"]+)"', known.get("/m/1").text)
    assert causes
    words = _words(known.get(causes[0]))
    assert "For it" in words
    assert "What to do about it" in words


@pytest.mark.parametrize("part", PARTS)
def test_not_knowing_is_an_answer_for_every_field(part, known, shelf, pasted):
    page = known.get(f"{pasted}/machine/{part}")
    names = set(
        re.findall(r'<input name="([a-z_]+)"|<input type="radio" name="([a-z_]+)"', page.text)
    )
    data = dict.fromkeys((a or b for a, b in names), "don't know")
    before = shelf.machine(1)
    kept = known.post(f"{pasted}/machine/{part}", data=data)
    assert kept.status_code == 303
    if part != "screw":
        assert shelf.machine(1) == before
    else:
        assert shelf.machine(1).screw.common.lead_mm is None


def test_a_described_part_is_kept_and_can_be_undone(known, shelf, pasted):
    known.post(f"{pasted}/machine/nut", data={"kind": "split", "play_mm": "40 um"})
    assert shelf.machine(1).nut.common.kind == "split"
    assert shelf.machine(1).nut.common.play_mm == pytest.approx(0.04)
    known.post(f"{pasted}/machine", data={"do": "undo"})
    assert shelf.machine(1).nut.common.kind is None


def test_one_screw_of_two_can_differ(known, shelf):
    known.post("/machines", data={"arrangement": "two-screw", "lead": "8"})
    known.post("/m/1/machine/coupling", data={"kind": "helical"})
    known.post("/m/1/machine/coupling/right", data={"kind": "jaw"})
    coupling = shelf.machine(1).coupling
    assert (coupling.at("left").kind, coupling.at("right").kind) == ("helical", "jaw")
    known.post("/m/1/machine/coupling/right", data={"kind": ""})
    assert shelf.machine(1).coupling.at("right").kind == "helical"


def test_a_value_that_cannot_be_is_told_beside_its_field(known, shelf, pasted):
    answer = known.post(f"{pasted}/machine/guide", data={"span_mm": "wide", "drag_n": "2"})
    assert answer.status_code == 422
    assert 'value="wide"' in answer.text
    assert 'id="span_mm-wrong"' in answer.text
    assert shelf.machine(1).guide.drag_n is None


def test_a_reading_is_mended_and_the_mending_undone(known, shelf, pasted):
    token = re.search(
        r'name="token" value="([^"]+)"', known.get(f"{pasted}/readings/1?mend=2").text
    )
    data = {"seq": "2", "value": "1,60", "note": "read again", "token": token[1]}
    for _ in range(2):  # sent twice is stored once
        assert known.post(f"{pasted}/readings/1/mend", data=data).status_code == 303
    kept = shelf.kept(1)
    assert [k.reading.reading_mm for k in kept if k.reading.seq == 2] == [1.6]
    assert len(shelf.kept(1, all_of_it=True)) == 7
    last = re.search(r'name="last" value="(\d+)"', known.get(f"{pasted}/readings/1").text)[1]
    for _ in range(2):  # so is an undo
        known.post(f"{pasted}/readings/1/undo", data={"last": last})
    assert [k.reading.reading_mm for k in shelf.kept(1) if k.reading.seq == 2] == [1.58]
    assert shelf.runs(1)[0].ended_at is not None


def test_a_reading_can_be_struck_out(known, shelf, pasted):
    known.post(f"{pasted}/readings/1/mend", data={"seq": "3", "value": "", "do": "strike"})
    assert next(k for k in shelf.kept(1) if k.reading.seq == 3).reading.reading_mm is None
    assert known.get(f"{pasted}/readings/1").status_code == 200


@pytest.mark.parametrize("value", ["", "0,3,5", "1e400", "nan", "5000", "<b>"])
def test_what_is_no_reading_is_asked_again(value, known, shelf, pasted):
    answer = known.post(f"{pasted}/readings/1/mend", data={"seq": "3", "value": value})
    assert answer.status_code == 422
    assert len(shelf.kept(1, all_of_it=True)) == 6


def test_more_readings_join_a_machine(known, shelf, pasted):
    known.post(f"{pasted}/readings", data={"table": STEPS, "station": "gantry-right"})
    assert [run.station.id for run in shelf.runs(1)] == ["gantry-left", "gantry-right"]


def _planned(browser, address):
    """The page once its plan is there: until then it asks to be looked at again."""
    for _ in range(30):
        answer = browser.get(address)
        if 'http-equiv="refresh"' not in answer.text:
            break
    return answer


def test_a_plan_becomes_a_worksheet_on_the_shelf(known, shelf, pasted):
    data = {"minutes": "40", "symptom": "bands", "stated": "no"}
    begun = known.post(f"{pasted}/plan", data=data)
    again = known.post(f"{pasted}/plan", data=data)
    assert begun.headers["location"] == again.headers["location"] == "/m/1/measure/1"
    assert shelf.plans(1)[0].text.startswith("run,test,station")


def test_the_plan_that_is_kept_is_the_one_that_was_seen(known, shelf, pasted):
    page = _planned(known, f"{pasted}/plan?minutes=40&stated=no")
    seen = known.get(f"{pasted}/plan/files/worksheet.csv?minutes=40&stated=no").text
    _explained(known, pasted)  # more is known by now
    assert 'name="stated" value="no"' in page.text
    known.post(f"{pasted}/plan", data={"minutes": "40", "stated": "no"})
    assert shelf.plans(1)[0].text == seen
    assert known.get(f"{pasted}/measure/1/worksheet.csv").text == seen


def test_a_plan_left_half_read_is_offered_until_it_is_read_to_its_end(known, shelf, pasted):
    sheet = "run,test,station,seq,target_mm,reading_mm,approach\n" + "".join(
        f"{end},coarse-steps,gantry-{end},{i},{i},,up\n"
        for end in ("left", "right")
        for i in (0, 1)
    )
    at = f"{pasted}/measure/{shelf.add_plan(1, sheet)}"
    offered = f'href="{at}">Go on reading</a>'
    assert offered not in known.get(pasted).text
    assert known.get(f"{at}/set-ups/1").headers["location"] == at
    key = known.get(f"{at}/state.json").json()["key"]

    def keep(end, readings):
        acts = [
            {"do": "keep", "token": f"token-{end}-{i}", "at": [end, i], "text": f"{i}.0"}
            for i in readings
        ]
        answer = known.post(f"{at}/acts", json={"key": key, "acts": acts}).json()
        assert [one["said"] for one in answer["outcomes"]] == ["done"] * len(readings), answer

    keep("left", (0, 1))
    page = known.get(pasted)
    assert offered in page.text
    assert offered in known.get(f"{pasted}/plan?minutes=5").text
    assert re.search(r"Coarse steps, right end of the gantry\s+2 of 4 readings", _words(page))
    run = known.get(f"{at}/set-ups/1").headers["location"]
    assert "Coarse steps, left end of the gantry (left)" in known.get(run).text
    keep("right", (0, 1))
    assert offered not in known.get(pasted).text


def test_the_test_that_is_named_next_can_be_taken_alone(known, shelf, pasted):
    _explained(known, pasted)
    page = known.get(pasted).text
    asked = dict(re.findall(r'name="(test|station)" value="([^"]+)"', page))
    begun = known.post(f"{pasted}/plan/one", data=asked)
    assert begun.headers["location"] == f"{pasted}/measure/1"
    rows = csv.DictReader(io.StringIO(shelf.plans(1)[0].text))
    assert {(row["test"], row["station"]) for row in rows} == {(asked["test"], asked["station"])}
    assert known.post(f"{pasted}/plan/one", data={"test": "x", "station": "y"}).status_code == 404


def test_a_worksheet_left_blank_is_not_taken_for_readings(known, shelf, pasted):
    blank = "run,test,station,target_mm,reading_mm\na,hold,nut,1,\na,hold,nut,1,\na,hold,nut,1,\n"
    refused = known.post(f"{pasted}/readings", data={"table": blank})
    assert refused.status_code == 422
    assert "Write what the gauge showed" in _words(refused)
    assert len(shelf.runs(1)) == 1


def test_how_far_a_plan_is_can_be_asked(known, pasted):
    asked = "minutes=35&gauges=1&balance=yes&stated=no"
    assert known.get(f"{pasted}/plan/run.json?{asked}").json()["state"] == "none"
    known.get(f"{pasted}/plan/files/worksheet.csv?{asked}")  # waits for it
    assert known.get(f"{pasted}/plan/run.json?{asked}").json()["state"] == "done"


def test_minutes_that_are_none_are_asked_again(known, pasted):
    for said in ("none", "0", "1e9", "-4", ""):
        answer = known.get(f"{pasted}/plan", params={"minutes": said})
        assert answer.status_code == 422
        assert "5 to 600" in answer.text


FILES = {
    "files/report.pdf": b"%PDF",
    "files/report.html": b"<!doctype html>",
    "files/load-path.svg": b"<svg",
    "files/machine.toml": b"format = 1",
    "files/readings.csv": b"run,test,station",
    "plan/files/plan.pdf": b"%PDF",
    "plan/files/worksheet.csv": b"run,test,station",
    "plan/files/worksheet.xlsx": b"PK",
}


@pytest.mark.parametrize("file", FILES)
def test_each_document_can_be_kept(file, known, pasted):
    answer = known.get(f"{pasted}/{file}")
    assert answer.status_code == 200
    assert answer.content.lstrip()[: len(FILES[file])].lower() == FILES[file].lower()
    assert answer.headers["content-disposition"].startswith("attachment")


def test_a_motion_program_is_given_only_within_a_travel_that_was_given(known, pasted):
    words = _words(_planned(known, f"{pasted}/plan"))
    assert "No lines that move the axis" in words
    known.post(f"{pasted}/machine/travel", data={"height_mm": "250"})
    text = _planned(known, f"{pasted}/plan").text
    programs = re.findall(r'href="([^"]*/plan/programs/[^"]+)"', text)
    assert programs
    assert b"G1" in known.get(unescape(programs[0])).content


def test_the_start_leads_back_to_where_one_left_off(known, pasted):
    known.get(f"{pasted}/link/seat")
    assert f'href="{pasted}/link/seat"' in known.get("/").text


def test_the_shelf_shows_the_last_answer_of_each_machine(known):
    import time

    table = STEPS + "6,5.57\n"
    pasted = known.post("/tables", data={"lead": "8", "table": table}).headers["location"]
    _explained(known, pasted)
    for _ in range(100):
        words = _words(known.get("/shelf"))
        if "loses" in words:
            break
        time.sleep(0.05)
    assert "The left side loses 0.4" in words


def test_light_and_dark_are_chosen_and_kept(known):
    known.post("/scheme", data={"scheme": "dark", "back": "/shelf"})
    assert 'data-theme="dark"' in known.get("/shelf").text


def test_a_machine_that_is_not_there_is_said_to_be_so(known):
    answer = known.get("/m/7")
    assert answer.status_code == 404
    assert "There is nothing at this address" in _words(answer)


BEYOND = "told,read\n0,0\n1,10.6\n2,21.6\n3,32.5\n4,43.6\n5,54.5\n"
"""Read by a dial whose figures were written down in another unit."""


def test_where_most_readings_cannot_be_right_no_page_states_a_cause(known, bench):
    made = known.post("/tables", data={"arrangement": "one-screw", "lead": "8", "table": BEYOND})
    address = made.headers["location"]
    words = _explained(known, address)
    assert "Nothing is computed from these readings" in words
    story = bench.story(1)
    assert story.explanation.causes
    assert story.said.causes == ()
    for one in story.explanation.causes:
        assert known.get(f"{address}/cause/{one.cause}").status_code == 404
        assert f"/cause/{one.cause}" not in known.get(address).text
    assert "%" not in _words(known.get(f"{address}/link/seat"))


def test_a_plan_says_at_its_head_which_gauges_it_is_for(known, shelf, pasted):
    data = {"minutes": "40", "gauges": "2", "resolution": "0,001", "stroke": "5"}
    assert known.post(f"{pasted}/plan", data=data).status_code == 303
    head = "gauge at hand,resolution_mm=0.001,stroke_mm=5,at_once=2"
    assert shelf.plans(1)[0].text.splitlines()[0] == head
    asked = "minutes=40&gauges=2&resolution=0.001&stroke=5"
    page = known.get(f"{pasted}/plan?{asked}")
    assert 'name="resolution" inputmode="decimal" value="0.001"' in page.text
    assert known.get(f"{pasted}/plan/files/worksheet.csv?{asked}").text.startswith(head)
    assert known.get(f"{pasted}/plan?resolution=5").status_code == 422
