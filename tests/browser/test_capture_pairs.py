"""Two indicators read at once on the measure sheet, and a set-up left half read, in a real browser."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import monotonic

import pytest

from plumbrise.files import read_readings
from plumbrise.machine import blank
from plumbrise.readings import scale_of
from plumbrise.store import Shelf
from plumbrise.store.sitting import Sitting

MACHINE = blank("two-screw")
SHEET = "run,test,station,seq,target_mm,reading_mm,approach\n" + "".join(
    f"{end},coarse-steps,gantry-{end},{i},{i},,{'up' if i else 'down'}\n"
    for end in ("left", "right")
    for i in range(4)
)
AN_HOUR_AGO = datetime.now(UTC) - timedelta(hours=1)


class TwoGauges:
    """A bench with two indicators: one plan of which nothing is read, one left half read."""

    def __init__(self, folder: Path, start_bench, stand_ins) -> None:
        self.far = [stand_ins.StandInIndicator(show=0.0) for _ in range(2)]
        self.shelf = folder / "shelf.sqlite3"
        with Shelf.open(self.shelf, now=lambda: AN_HOUR_AGO) as shelf:
            machine = shelf.add_machine(MACHINE, "Heron")
            self.plan = shelf.add_plan(machine, SHEET)
            half = shelf.add_plan(machine, SHEET.replace(",coarse-steps", " side,coarse-steps"))
            sitting = _begun(shelf, machine, half)
            sitting.keep(0.0)
            sitting.keep(0.0, at=(1, 0))
        self.at = {
            "new": f"/m/{machine}/measure/{self.plan}",
            "half": f"/m/{machine}/measure/{half}",
        }
        ports = [word for one in self.far for word in ("--indicator", one.name)]
        self.bench = start_bench(self.shelf, *ports, "--line", "{value:3} {unit}")

    def open(self, page, which: str) -> None:
        self.bench.enter(page)
        page.goto(self.bench.address + self.at[which])
        page.locator("#card .go").wait_for()

    def standing(self) -> list[tuple[str, int, float]]:
        with closing(sqlite3.connect(self.shelf)) as file:
            return list(
                file.execute(
                    "SELECT runs.name, seq, reading_mm FROM readings JOIN runs ON runs.id = run_id"
                    " WHERE taken_back_at IS NULL AND plan_id = ? ORDER BY readings.id",
                    (self.plan,),
                )
            )

    def wait_for(self, count: int, page) -> list[tuple[str, int, float]]:
        until = monotonic() + 15
        while len(self.standing()) != count and monotonic() < until:
            page.wait_for_timeout(50)
        return self.standing()

    def marks(self) -> list[str]:
        with closing(sqlite3.connect(self.shelf)) as file:
            return [what for (what,) in file.execute("SELECT what FROM marks")]


def _begun(shelf: Shelf, machine: int, plan: int) -> Sitting:
    text = shelf.plans(machine)[-1].text.encode()
    runs = read_readings(text, name="plan", scale=scale_of(MACHINE)).runs
    return Sitting.on(
        shelf, machine, plan, runs, since_s=lambda: 0.0, label=AN_HOUR_AGO.isoformat()
    )


@pytest.fixture(scope="module")
def there(tmp_path_factory, start_bench, stand_ins):
    made = TwoGauges(tmp_path_factory.mktemp("two"), start_bench, stand_ins)
    yield made
    made.bench.kill()
    for one in made.far:
        one.close()


def test_two_stations_are_read_at_each_target_and_taken_back_together(there, laptop, breaches):
    there.open(laptop, "new")
    card = laptop.locator("#card").inner_text()
    assert "left end" in card
    assert "right end" in card
    assert breaches(laptop) == []
    laptop.get_by_role("button", name="The gauge stands").click()
    laptop.locator("#keep", has_text="Keep 0.00 and 0.00").click()
    there.wait_for(2, laptop)
    there.far[0].show, there.far[1].show = 0.62, 0.55
    laptop.locator("#keep", has_text="Keep 0.62 and 0.55").wait_for()
    laptop.locator("#typed").press_sequentially("61")  # the dial of the left is read by eye
    laptop.keyboard.press("Enter")
    laptop.locator("#whose", has_text="Left end of the gantry 0.61; now right end").wait_for()
    assert breaches(laptop) == []
    assert len(there.standing()) == 2  # neither is kept until both are said
    laptop.locator("#keep", has_text="Keep 0.55").wait_for()
    laptop.keyboard.press("Enter")
    assert there.wait_for(4, laptop)[2:] == [("left", 1, 0.61), ("right", 1, 0.55)]
    laptop.locator("#undo", has_text="Undo 0.61 and 0.55").click()
    assert there.wait_for(2, laptop) == [("left", 0, 0.0), ("right", 0, 0.0)]
    laptop.keyboard.press("d")  # its figure falls as the part rises
    laptop.locator("#about", has_text="its gauge counts down").wait_for()
    there.far[0].show = -0.62
    laptop.locator("#keep", has_text="Keep 0.62 and 0.55").wait_for()
    laptop.keyboard.press("Enter")
    assert there.wait_for(4, laptop)[2:] == [("left", 1, 0.62), ("right", 1, 0.55)]


def test_a_set_up_left_half_read_is_asked_about_before_it_is_gone_on_with(there, phone, breaches):
    there.open(phone, "half")
    assert "touched or moved since" in phone.locator("#card").inner_text()
    assert phone.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert breaches(phone) == []
    phone.get_by_role("button", name="No, go on").click()
    phone.locator("#typed").wait_for()
    until = monotonic() + 10
    while there.marks().count("gone on") < 2 and monotonic() < until:
        phone.wait_for_timeout(50)
    assert there.marks().count("gone on") == 2
    phone.reload()
    phone.locator("#typed").wait_for()  # said once
