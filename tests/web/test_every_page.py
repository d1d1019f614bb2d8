"""Every address of the bench, for machines in every state that a person can leave them in."""

import re
from dataclasses import replace

import pytest

from plumbrise.files.machine_fields import PARTS
from plumbrise.machine import ARRANGEMENTS, stations_of
from plumbrise.machine.arrangements import SIDES
from plumbrise.web.app import ROUTES
from plumbrise.web.links import links_of

PLAIN = "told,read\n0,0\n1,0.62\n2,1.58\n3,2.57\n4,3.58\n5,4.57\n"
UNREAD = "run,test,station,seq,target_mm,reading_mm\nw,coarse-steps,gantry-left,0,0,\n"
FEW = "told,read\n0,0\n"
HALF = 'arrangement = "two-screw"\n[screw.right]\nlead_mm = 8.0\n[nut]\nkind = "split"\n'


def addresses(machine, run: int = 1, plan: int = 1) -> list[str]:
    """Below a machine's own address, everything a page leads to or a person may type."""
    return [
        "", "/readings", f"/readings/{run}", f"/readings/{run}?mend=0", f"/readings/{run}?mend=99",
        "/report", "/run.json", "/plan", "/plan?minutes=15&gauges=2&balance=no&symptom=bands",
        "/plan?minutes=x", "/plan/run.json", "/plan/run.json?minutes=x", f"/measure/{plan}", f"/measure/{plan}/set-ups/1", f"/measure/{plan}/set-ups/99", f"/measure/{plan}/worksheet.csv", "/machine",
        *(f"/machine/{part}" for part in PARTS),
        *(f"/machine/{part}/{side}" for part in PARTS for side in SIDES),
        *(f"/link/{link}" for link in links_of(machine)),
        *(f"/station/{station.id}" for station in stations_of(machine.arrangement)),
        "/cause/motor-seat", "/cause/nut-play", "/files/machine.toml", "/files/readings.csv",
        "/files/load-path.svg", "/files/report.html", "/plan/files/worksheet.csv",
        "/plan/programs/1", "/plan/programs/99", "/pack", "/files/pack.zip",
        "/foresee", "/foresee?layer=x&spacing=1.6", "/foresee/part", "/foresee/part.csv", "/foresee/lines/dip",
        "/build", "/build?step=none&back=yes", "/build/files/work.json", "/build/files/work-order.pdf",
        "/wiring", "/wiring?begin=yes", "/redesign", "/redesign?asked=yes&aim=bands&bands=x", "/redesign/run.json",
        "/prove", "/prove?before=99&after=x&after=1", "/prove/run.json", "/prove/story.html", "/prove/pack.zip",
    ]  # fmt: skip


def _broken(client, base: str, paths) -> list[tuple[str, int]]:
    """The addresses that answered with a fault of the program."""
    got = [(path, client.get(base + path).status_code) for path in paths]
    return [(path, status) for path, status in got if status >= 500]


def _fresh(arrangement):
    return lambda shelf: shelf.add_machine(f'arrangement = "{arrangement}"\n')


def _with(machine: str, table: str):
    return lambda shelf: shelf.import_(machine, table, station="gantry-left", test="coarse-steps")


STATES = {f"nothing known of {one}": _fresh(one) for one in ARRANGEMENTS} | {
    "half described": lambda shelf: shelf.add_machine(HALF),
    "half described and read": _with(HALF, PLAIN),
    "no lead": _with('arrangement = "one-screw"\n', PLAIN),
    "two readings": _with('arrangement = "one-screw"\n', FEW + "1,0.5\n"),
    "a worksheet and no reading": lambda shelf: _planned(shelf, UNREAD),
}


def _planned(shelf, worksheet: str) -> int:
    made = shelf.add_machine('arrangement = "one-screw"\n')
    shelf.add_plan(made, worksheet)
    return made


@pytest.mark.parametrize("state", STATES)
def test_no_address_breaks(state, known, shelf):
    machine_id = STATES[state](shelf)
    run = max((one.id for one in shelf.runs(machine_id)), default=1)
    paths = addresses(shelf.machine(machine_id), run)
    assert _broken(known, f"/m/{machine_id}", paths) == []


def test_no_address_breaks_once_every_reading_was_struck_out(known, pasted, shelf):
    run = shelf.runs(1)[0].id
    for kept in shelf.kept(run):
        data = {"seq": str(kept.reading.seq), "do": "strike", "value": "", "note": ""}
        assert known.post(f"{pasted}/readings/{run}/mend", data=data).status_code == 303
    assert _broken(known, pasted, addresses(shelf.machine(1), run)) == []


WEIRD = ("0", "-1", "00", "7", "99999999999999999999", "1e3", "%00", "1%2F..", "ä", "१", "1.0", " ")


@pytest.mark.parametrize("weird", WEIRD)
def test_an_id_that_is_none_finds_nothing(weird, known, pasted):
    places = [
        re.sub(r"\{(\w+)(:number)?\}", weird, route.path)
        for route in ROUTES
        if getattr(route, "methods", None) and "{" in route.path
    ]
    assert len(places) > 20
    got = {place: known.get(place).status_code for place in places}
    assert {place: status for place, status in got.items() if status >= 500} == {}


@pytest.mark.parametrize("weird", WEIRD)
def test_nothing_can_be_done_to_an_id_that_is_none(weird, known, pasted, shelf):
    before = shelf.fingerprint(1)
    for route in ROUTES:
        if "POST" in (getattr(route, "methods", None) or ()) and "{" in route.path:
            place = re.sub(r"\{(\w+)(:number)?\}", weird, route.path)
            assert known.post(place, data={"do": "x", "seq": "0"}).status_code < 500, place
    assert shelf.fingerprint(1) == before


def test_a_page_keeps_to_one_answer_while_a_better_one_comes_in(known, pasted, bench):
    story = bench.story(1, wait_s=60)
    whole = story.explanation
    live = bench.work.find(f"explain-1-{story.fingerprint}")
    try:  # every test has the same working process, and asks it the same
        live.best, live.step = replace(whole, causes=()), live.step + 1
        assert story.explanation is whole
        assert bench.story(1).explanation.causes == ()
    finally:
        live.best, live.step = whole, live.step + 1


def test_every_moment_of_the_working_has_its_page(known, shelf):
    for told in range(3):
        table = PLAIN + f"{6 + told},{5.55 + told}\n"
        made = _with('arrangement = "one-screw"\nscrew = { lead_mm = 8.0 }\n', table)(shelf)
        state = ""
        while state not in ("done", "failed"):
            assert known.get(f"/m/{made}").status_code == 200
            state = known.get(f"/m/{made}/run.json").json()["state"]
        assert state == "done"
