"""The build sheet: a chosen set as ordered work, entered step by step, power last."""

import json
import re
from concurrent.futures import ThreadPoolExecutor
from html import unescape

import pytest
from click.testing import CliRunner

from plumbrise.build import (
    WIRING,
    Progress,
    State,
    build_steps,
    entered,
    standing,
    task_named,
    way_back,
)
from plumbrise.cli import main
from plumbrise.files import read_machine
from plumbrise.files.work_order import read_progress, work_order_dict
from plumbrise.report.wiring import HEADS
from plumbrise.report.work_order import accept_words, way_back_said
from plumbrise.wiring import Verdict

SCRIPT = "<script>alert(1)</script>"
MACHINE = """
name = "Heron"
arrangement = "one-screw"
travel = { height_mm = 250.0 }
screw = { diameter_mm = 8.0, lead_mm = 8.0, starts = 4, length_mm = 330.0 }
guide = { kind = "rollers", span_mm = 340.0 }
gantry = { mass_kg = 1.1 }
controller = { dwell_unit = "milliseconds", stop_waits = true, home = "down" }
"""
CHOSEN = {"version": 1, "chosen": {"changes": ["clean-screw", "new-nut"]}}
GO = """
[[line]]
name = "left"
board = { phases = [[1, 2], [3, 4]] }
measured = [
    { at = "board", between = [1, 2], ohm = 2.9 },
    { at = "board", between = [3, 4], ohm = 2.9 },
    { at = "board", between = [1, 3], open = true },
    { at = "board", between = [1, "frame"], open = true },
    { at = "board", between = [3, "frame"], open = true },
]
"""
OWN = "I measured every pair twice and it is mine to answer for"


def words(answer) -> str:
    said = re.sub(r"<[^>]+>", " ", re.sub(r"<svg.*?</svg>", " ", answer.text, flags=re.DOTALL))
    return re.sub(r"\s+", " ", unescape(said).replace("\xa0", " "))


def good(task) -> str:
    """What a person enters who has met the limit of a task."""
    if task.accept is None:
        return "done"
    bounds = task.accept.bounds
    if bounds.low is not None and bounds.high is not None:
        return f"{(bounds.low + bounds.high) / 2}"
    return f"{bounds.low if bounds.low is not None else bounds.high or 0.0}"


@pytest.fixture(scope="module")
def order():
    return build_steps(read_machine(MACHINE, name="m"), CHOSEN["chosen"]["changes"])


def kept_until(order, stop) -> bytes:
    """The file that the terminal keeps, worked through up to a step."""
    made = Progress(changes=order.changes)
    for task in order.tasks:
        if task.id == stop:
            break
        made = entered(order, made, task.id, good(task), when="2026-01-05T18:00")
    return json.dumps(work_order_dict(order, made)).encode()


@pytest.fixture
def sheet(known, shelf):
    """The address of a build sheet with an order of which nothing is done."""
    address = f"/m/{shelf.add_machine(MACHINE)}/build"
    assert take(known, address, json.dumps(CHOSEN).encode()).status_code == 303
    return address


@pytest.fixture
def at_wiring(known, sheet, order):
    """The same with all done that comes before the wiring."""
    assert take(known, sheet, kept_until(order, WIRING)).status_code == 303
    return sheet


def take(known, address, data, name="work.json"):
    return known.post(address, data={"do": "open"}, files={"file": (name, data)})


def enter(known, address, step, said, do="value"):
    return known.post(address, data={"do": do, "step": step, "said": said, "why": said})


def progress(known, address):
    return read_progress(known.get(f"{address}/files/work.json").text, name="w")


def test_without_a_set_the_sheet_says_what_it_waits_for(known):
    known.post("/machines", data={"arrangement": "one-screw"})
    answer = known.get("/m/1/build")
    assert answer.status_code == 200
    assert "Choose what to change" in words(answer)
    assert "Prove the wiring" in words(answer)
    assert known.get("/m/1/build/files/work.json").status_code == 404


def test_every_step_is_listed_and_the_first_is_open_in_full(known, sheet, order):
    said = words(known.get(sheet))
    for task in order.tasks:
        assert task.title in said
    first = order.tasks[0]
    assert first.step.words in said
    assert first.step.fails in said
    assert accept_words(first) in said
    assert re.search(r'class="here[^>]*aria-current="page"><b>Build</b>', known.get(sheet).text)


def test_a_step_is_done_when_its_value_is_entered_and_the_next_one_opens(known, sheet, order):
    first, second = order.tasks[:2]
    answer = enter(known, sheet, first.id, "kept in before.csv", do="done")
    assert answer.status_code == 303
    page = known.get(answer.headers["location"])
    assert re.search(rf"<h1>{second.title}</h1>", page.text)
    assert "1 of 34 steps" in words(known.get(sheet.removesuffix("/build")))


def test_what_two_tabs_enter_at_once_is_both_kept(known, sheet):
    enter(known, sheet, "read-before", "kept", do="done")
    steps = ("write-down", "photograph", "measure-first") * 3
    with ThreadPoolExecutor(len(steps)) as tabs:
        list(tabs.map(lambda step: enter(known, sheet, step, "done", do="done"), steps))
    assert len(progress(known, sheet).entries) == 1 + len(steps)


def test_nothing_is_entered_out_of_turn(known, sheet):
    answer = enter(known, sheet, "blocks-left", "0.5")
    assert answer.status_code == 422
    assert "nothing is entered out of turn" in words(answer)
    assert "Its turn comes after" in words(known.get(f"{sheet}?step=blocks-left"))


def test_a_value_outside_its_limit_says_what_to_do_and_can_be_taken_with_a_reason(
    known, sheet, order
):
    limited = next(
        t for t in order.tasks if t.accept and not t.step.firm and t.accept.bounds.high is not None
    )
    take(known, sheet, kept_until(order, limited.id))
    assert "It cannot be measured: go on without" in words(known.get(sheet))
    answer = enter(known, sheet, limited.id, f"{limited.accept.bounds.high + 5}")
    assert answer.headers["location"].endswith(f"?step={limited.id}")
    said = words(known.get(answer.headers["location"]))
    assert "outside its limit" in said
    assert limited.step.fails in said
    assert enter(known, sheet, limited.id, "so be it", do="accept").status_code == 422
    assert enter(known, sheet, limited.id, "the better one comes next week", do="accept").status_code == 303  # fmt: skip
    assert progress(known, sheet).last(limited.id).holds


def test_where_somebody_can_be_hurt_a_bad_value_is_never_taken(known, sheet, order):
    firm = next(t for t in order.tasks if t.accept and t.step.firm and t.accept.bounds.high is not None)  # fmt: skip
    take(known, sheet, kept_until(order, firm.id))
    enter(known, sheet, firm.id, f"{firm.accept.bounds.high + 5}")
    page = words(known.get(f"{sheet}?step={firm.id}"))
    assert "Somebody can be hurt here" in page
    assert "Take it as it is" not in page
    assert "go on without" not in page
    assert enter(known, sheet, firm.id, OWN, do="accept").status_code == 422


def test_power_is_shut_until_the_wiring_is_a_go_and_shut_again_when_it_is_none(
    known, at_wiring, order
):
    machine = at_wiring.removesuffix("/build")
    assert "Power stays shut" in words(known.get(at_wiring))
    assert enter(known, at_wiring, "first-power", "200").status_code == 422
    assert enter(known, at_wiring, WIRING, "", do="wiring").status_code == 422
    assert known.get(f"{at_wiring}/files/first-moves.gcode").status_code == 404
    known.post(f"{machine}/wiring", data={"harness": GO})
    assert HEADS[Verdict.GO] in words(known.get(at_wiring))
    assert enter(known, at_wiring, WIRING, "", do="wiring").status_code == 303
    assert progress(known, at_wiring).last(WIRING).holds
    moves = known.get(f"{at_wiring}/files/first-moves.gcode")
    assert moves.text == order.moves.text
    known.post(f"{machine}/wiring", data={"harness": GO.replace("open = true", "ohm = 3.0", 1)})
    assert not progress(known, at_wiring).last(WIRING).holds
    assert known.get(f"{at_wiring}/files/first-moves.gcode").status_code == 404
    assert "Power stays shut" in words(known.get(f"{at_wiring}?step={WIRING}"))


def test_the_wiring_is_taken_on_ones_own_word_only_in_a_sentence(known, at_wiring):
    assert enter(known, at_wiring, WIRING, "yes", do="own-word").status_code == 422
    assert enter(known, at_wiring, WIRING, OWN, do="own-word").status_code == 303
    assert progress(known, at_wiring).last(WIRING).accepted == OWN
    assert OWN in words(known.get(f"{at_wiring}?step={WIRING}"))


def test_the_file_goes_on_in_the_terminal_and_comes_back(known, sheet, order, tmp_path):
    enter(known, sheet, "read-before", "kept", do="done")
    (tmp_path / "m.toml").write_text(MACHINE, encoding="utf-8")
    (tmp_path / "p.json").write_text(json.dumps(CHOSEN), encoding="utf-8")
    (tmp_path / "w.json").write_bytes(known.get(f"{sheet}/files/work.json").content)
    paths = [str(tmp_path / name) for name in ("m.toml", "p.json")]
    done = CliRunner().invoke(
        main,
        [
            "build",
            *paths,
            "--progress",
            str(tmp_path / "w.json"),
            "--done",
            "write-down=in a book",
        ],
    )
    assert done.exit_code == 0, done.output
    assert take(known, sheet, (tmp_path / "w.json").read_bytes()).status_code == 303
    states = standing(order, progress(known, sheet)).states
    assert {one for one, state in states.items() if state is State.DONE} == {"read-before", "write-down"}  # fmt: skip


def test_a_change_of_mind_keeps_what_still_belongs_to_the_work(known, sheet):
    enter(known, sheet, "read-before", "kept", do="done")
    other = {"version": 1, "chosen": {"changes": ["clean-screw"]}}
    take(known, sheet, json.dumps(other).encode())
    assert "No longer wanted" in words(known.get(sheet))
    assert progress(known, sheet).last("read-before").holds


def test_a_machine_described_anew_does_not_move_the_limits_until_it_is_asked_to(
    known, sheet, shelf
):
    number = int(sheet.split("/")[2])
    before = known.get(f"{sheet}/files/work.json").json()["steps"]
    shelf.describe(number, MACHINE.replace("length_mm = 330.0", "length_mm = 400.0"))
    assert "description changed" in words(known.get(sheet))
    assert known.get(f"{sheet}/files/work.json").json()["steps"] == before
    known.post(sheet, data={"do": "machine"})
    assert "description changed" not in words(known.get(sheet))


def test_the_way_back_is_that_of_the_terminal(known, at_wiring, order):
    task = task_named(order, "fit-nut")
    made = way_back_said(task, way_back(order, progress(known, at_wiring), task))
    said = words(known.get(f"{at_wiring}?step=fit-nut&back=yes"))
    assert made.steps
    for line in (*made.now, *made.changes, *(line for _, lines in made.steps for line in lines)):
        assert line in said


@pytest.mark.parametrize(
    ("file", "begins"),
    [("work-order.html", b"<!doctype"), ("work-order.pdf?paper=letter", b"%PDF")],
)
def test_the_order_is_kept_on_paper(file, begins, known, sheet):
    answer = known.get(f"{sheet}/files/{file}")
    assert answer.content.startswith(begins)
    assert answer.headers["content-disposition"].startswith("attachment")


@pytest.mark.parametrize(
    "data",
    [b"", b"x", b"[]", b"{}", b'{"version": 1, "chosen": {"changes": ["fly"]}}',
     b'{"version": 1, "chosen": {"changes": []}}', b'{"version": 9, "chosen": {}}',
     b'{"version": 1, "entries": 3}', b'{"version": 1, "made_for": ["new-nut"], "changes": 3, "entries": []}',
     b'{"version": 1, "made_for": [], "changes": ["fly"], "entries": []}', b"[" * 90_000],
    ids=lambda data: data[:40],
)  # fmt: skip
def test_a_file_that_is_no_work_is_refused_and_nothing_is_lost(data, known, sheet):
    enter(known, sheet, "read-before", "kept", do="done")
    answer = take(known, sheet, data, name=f"{SCRIPT}.json")
    assert answer.status_code in (303, 422)
    assert SCRIPT not in answer.text
    assert "1 of " in words(known.get(sheet.removesuffix("/build")))


def test_script_that_is_entered_is_text(known, sheet):
    enter(known, sheet, "read-before", SCRIPT, do="done")
    for page in (sheet, f"{sheet}?step=read-before", f"{sheet}?step={SCRIPT}"):
        assert SCRIPT not in known.get(page).text
    assert SCRIPT not in known.get(f"{sheet}/files/work-order.html").text
