"""Readings taken on the page in a real browser, against the real server, which is killed meanwhile."""

import random
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from time import monotonic, sleep

import pytest

from plumbrise.files import read_readings
from plumbrise.machine import blank
from plumbrise.measure.dial import heard
from plumbrise.measure.expecting import expected
from plumbrise.measure.session import Session
from plumbrise.readings import scale_of
from plumbrise.store import Shelf
from plumbrise.web.captures import Captures

MACHINE = blank("one-screw")


def worksheet(*, readings: int = 6) -> str:
    """Two staircases, nothing read."""
    rows = ["run,test,station,seq,target_mm,reading_mm,approach"]
    rows += [
        f"{name},coarse-steps,{station},{i},{i},,{'up' if i else 'down'}"
        for name, station in (("left", "gantry-left"), ("right", "gantry-right"))
        for i in range(readings)
    ]
    return "\n".join(rows) + "\n"


SHOWN = ("0", "57", "58", "56", "57", "55")
"""What the hand shows at each whole millimetre of the first staircase."""
READ = (0.0, 0.57, 1.58, 2.56, 3.57, 4.55)


class Plan:
    """A plan of which nothing is read, the bench that has it, and what came to be on disk."""

    def __init__(self, shelf: Path, bench, readings: int = 6) -> None:
        self.shelf, self.bench = shelf, bench
        with Shelf.open(self.shelf, now=lambda: datetime.now(UTC)) as opened:
            self.machine = opened.add_machine(MACHINE, "Heron")
            self.number = opened.add_plan(self.machine, worksheet(readings=readings))
        self.path = f"/m/{self.machine}/measure/{self.number}"

    def open(self, page) -> None:
        self.page = page
        self.bench.enter(page)
        self.see(page)

    def see(self, page) -> None:
        page.goto(self.bench.address + self.path)
        page.locator("#cap").wait_for()
        ready(page)

    def found(self, what: str, of: str) -> list[tuple]:
        """What the file holds of this plan, in the order kept."""
        one = f"SELECT {what} FROM {of} JOIN runs ON runs.id = run_id WHERE plan_id = ?"
        with closing(sqlite3.connect(self.shelf)) as file:
            return list(file.execute(f"{one} ORDER BY {of}.id", (self.number,)))

    def rows(self, *, all_of_it: bool = False) -> list[tuple[int, float | None]]:
        """Number and value of what stands, or of all that was ever kept."""
        found = self.found("seq, reading_mm, taken_back_at", "readings")
        return [(seq, mm) for seq, mm, back in found if all_of_it or back is None]

    def values(self) -> list[float | None]:
        return [value for _, value in self.rows()]

    def wait_for(self, count: int, within_s: float = 15.0) -> None:
        until = monotonic() + within_s
        while len(self.rows()) != count and monotonic() < until:
            self.page.wait_for_timeout(50)  # what is routed goes on meanwhile
        assert len(self.rows()) == count


class Killed:
    """A bench that is killed and started again on the same shelf and port."""

    def __init__(self, shelf: Path, start_bench) -> None:
        self.shelf, self.start_bench = shelf, start_bench
        self.running = start_bench(shelf)

    def kill(self) -> None:
        self.running.kill()

    def start_again(self) -> None:
        self.running = self.start_bench(self.shelf, "--port", str(self.running.port))

    def enter(self, page) -> None:
        self.running.enter(page)

    @property
    def address(self) -> str:
        return self.running.address


@pytest.fixture
def plan(bench):
    return Plan(bench.shelf, bench)


@pytest.fixture(scope="module")
def killed(tmp_path_factory, start_bench):
    made = Killed(tmp_path_factory.mktemp("killed") / "shelf.sqlite3", start_bench)
    yield made
    made.kill()


def ready(page) -> None:
    """Say that the gauge stands, where that is asked."""
    page.locator("#typed, #card .go").locator("visible=true").first.wait_for()
    stands = page.get_by_role("button", name="The gauge stands")
    if stands.is_visible():
        stands.click()


def type_in(page, shown: str) -> None:
    page.locator("#typed").focus()
    page.keyboard.type(shown)
    page.keyboard.press("Enter")


def holding(page) -> Callable[[], None]:
    """Hold what the page sends on its way, until what is handed out is called."""
    on_its_way, free = [], []

    def hold(route) -> None:
        route.continue_() if free else on_its_way.append(route)

    def let_go() -> None:
        free.append(True)
        for route in on_its_way:
            route.continue_()

    page.route("**/acts", hold)
    return let_go


def told(page) -> str:
    return page.locator("#target").inner_text()


def marks(page, kind: str = "mark") -> int:
    return page.locator(f".growing svg:visible circle.{kind}").count()


def test_enter_begins_a_set_up_also_after_news_from_the_bench(plan, laptop):
    plan.bench.enter(laptop)
    laptop.goto(plan.bench.address + plan.path)
    laptop.get_by_role("button", name="The gauge stands").wait_for()
    laptop.wait_for_timeout(1500)  # the first news is there and has drawn the card anew
    laptop.keyboard.press("Enter")
    assert laptop.evaluate("document.activeElement.id") == "typed"


def test_a_whole_capture_with_the_thumb(plan, phone):
    plan.open(phone)
    for figures in SHOWN:
        for figure in figures:
            phone.locator("#pad").get_by_role("button", name=figure, exact=True).click()
        phone.locator("#keep").click()
    plan.wait_for(6)
    assert plan.values() == list(READ)
    ready(phone)
    for figures in SHOWN:
        type_in(phone, figures)
    plan.wait_for(12)
    phone.get_by_role("heading", name="All is read").wait_for()
    assert phone.get_by_role("link", name="See what they say").is_visible()


def test_nothing_scrolls_on_a_phone_and_keys_are_large(plan, phone):
    plan.open(phone)
    type_in(phone, "0")
    assert phone.evaluate("document.documentElement.scrollHeight <= innerHeight")
    assert phone.evaluate("document.documentElement.scrollWidth <= innerWidth")
    for key in phone.locator("#pad button").all():
        assert key.bounding_box()["height"] >= 62
    assert phone.locator("#keep").bounding_box()["width"] > 120


def test_cautions_come_before_the_first_reading(plan, phone):
    plan.bench.enter(phone)
    phone.goto(plan.bench.address + plan.path)
    phone.get_by_role("button", name="The gauge stands").wait_for()
    assert phone.get_by_text("Fingers, hair and sleeves").is_visible()
    assert not phone.locator("#typed").is_visible()


def test_a_set_up_that_cannot_be_read_is_left_out_before_its_gauge_stands(plan, laptop):
    plan.bench.enter(laptop)
    laptop.goto(plan.bench.address + plan.path)
    laptop.locator("#title", has_text="Left end").wait_for()
    laptop.get_by_role("button", name="Leave this set-up out").click()
    assert laptop.locator("#title", has_text="Left end").is_visible()  # one press only asks
    laptop.get_by_role("button", name="Yes, leave it out: 6 readings").click()
    laptop.locator("#title", has_text="Right end").wait_for()
    plan.page = laptop
    ready(laptop)
    type_in(laptop, "0")
    plan.wait_for(1)


def test_what_two_figures_are_taken_for_stands_there_before_they_are_kept(plan, page):
    plan.open(page)
    type_in(page, "0")
    type_in(page, "57")
    page.keyboard.type("58")
    assert page.locator("#value").inner_text() == "1.58 mm"
    assert page.locator("#keep").inner_text().startswith("Keep 1.58")
    plan.wait_for(2)


def test_a_suspicious_value_is_asked_once_and_then_kept(plan, page):
    plan.open(page)
    type_in(page, "0")
    type_in(page, "2.9")
    assert "outside what was expected" in page.locator("#asks").inner_text()
    plan.wait_for(1)
    page.keyboard.press("Enter")
    plan.wait_for(2)
    assert plan.values() == [0.0, 2.9]


def test_figures_after_a_question_are_another_value(plan, page):
    plan.open(page)
    type_in(page, "0")
    type_in(page, "2.9")
    page.locator("#asks").wait_for()
    type_in(page, "57")
    plan.wait_for(2)
    assert plan.values() == [0.0, 0.57]


def test_keys_pass_over_take_back_note_leave_and_do_again(plan, laptop):
    plan.open(laptop)
    type_in(laptop, "0")
    laptop.keyboard.press("x")
    plan.wait_for(2)
    laptop.keyboard.press("u")
    plan.wait_for(1)
    laptop.keyboard.press("n")
    laptop.keyboard.type("a lorry")
    laptop.keyboard.press("Enter")
    laptop.get_by_text("noted", exact=True).wait_for()
    assert plan.found("seq, note", "readings")[0] == (0, "a lorry")
    laptop.keyboard.press("r")
    assert "Do this set-up again" in laptop.locator("#asks").inner_text()
    laptop.keyboard.press("Enter")
    laptop.get_by_text("left again 1").or_(
        laptop.locator("#count", has_text="0 of 6")
    ).first.wait_for()
    ready(laptop)
    type_in(laptop, "1")
    plan.wait_for(2)
    laptop.keyboard.press("s")
    laptop.keyboard.press("Enter")
    laptop.locator("#title", has_text="Right end").wait_for()


def test_walking_back_mends_a_reading(plan, laptop):
    plan.open(laptop)
    for figures in SHOWN[:3]:
        type_in(laptop, figures)
    plan.wait_for(3)
    laptop.keyboard.press("ArrowUp")
    laptop.keyboard.press("ArrowUp")
    assert told(laptop).startswith("1.00")
    type_in(laptop, "61")
    laptop.locator("#target", has_text="3.00").wait_for()
    until = monotonic() + 5
    while (1, 0.61) not in plan.rows() and monotonic() < until:
        laptop.wait_for_timeout(50)
    assert sorted(plan.rows()) == [(0, 0.0), (1, 0.61), (2, 1.58)]


def test_taking_back_into_an_earlier_set_up_asks_whether_its_gauge_still_stands(plan, laptop):
    plan.open(laptop)
    for figures in SHOWN:
        type_in(laptop, figures)
    plan.wait_for(6)
    ready(laptop)  # the gauge was moved to the right
    laptop.keyboard.press("u")
    laptop.locator("#card", has_text="touched or moved since").wait_for()
    plan.wait_for(5)
    laptop.get_by_role("button", name="No, go on").click()
    type_in(laptop, "54")
    plan.wait_for(6)
    assert plan.values() == [*READ[:5], 4.54]


def test_an_indicator_that_types_at_once_is_understood(plan, laptop):
    plan.open(laptop)
    laptop.locator("#typed").focus()
    for value in READ:
        laptop.keyboard.insert_text(f"{value:.3f}")
        laptop.keyboard.press("Enter")
    plan.wait_for(6)
    assert plan.values() == list(READ)


def test_two_tabs_on_one_run_go_on_with_each_other(plan, browser):
    context = browser.new_context(viewport={"width": 390, "height": 844})
    one, other = context.new_page(), context.new_page()
    plan.open(one)
    type_in(one, "0")
    plan.see(other)
    type_in(other, "57")
    one.locator("#target", has_text="2.00").wait_for()
    type_in(one, "58")
    other.locator("#target", has_text="3.00").wait_for()
    plan.wait_for(3)
    assert plan.rows() == [(0, 0.0), (1, 0.57), (2, 1.58)]
    context.close()


def test_one_reading_taken_twice_stands_once_and_the_other_is_noted(plan, browser):
    here = browser.new_context(viewport={"width": 390, "height": 844})
    there = browser.new_context(viewport={"width": 390, "height": 844})
    one, other = here.new_page(), there.new_page()
    plan.open(one)
    type_in(one, "0")
    plan.wait_for(1)
    plan.bench.enter(other)
    plan.see(other)
    there.set_offline(True)
    type_in(other, "59")
    other.get_by_text("1 wait in this browser").wait_for()
    type_in(one, "57")
    plan.wait_for(2)
    there.set_offline(False)
    other.locator("#said", has_text="from another page").wait_for()
    assert plan.rows(all_of_it=True) == [(0, 0.0), (1, 0.57)]
    assert plan.found("what, words", "marks") == [("read twice", "reading 2: 0.59 mm")]
    here.close()
    there.close()


def test_figures_typed_for_a_reading_that_another_page_took_are_asked_about(plan, browser):
    context = browser.new_context(viewport={"width": 390, "height": 844})
    one, other = context.new_page(), context.new_page()
    plan.open(one)
    type_in(one, "0")
    plan.see(other)
    other.locator("#typed").press_sequentially("59")
    type_in(one, "57")
    other.locator("#target", has_text="2.00").wait_for()
    type_in(other, "")
    assert "while you typed" in other.locator("#asks").inner_text()
    assert plan.rows() == [(0, 0.0), (1, 0.57)]
    context.close()


def test_what_waits_in_a_tab_and_in_its_double_is_kept_from_both(plan, browser):
    """A tab that the browser doubles begins with all that the first one remembers of itself."""
    context = browser.new_context(viewport={"width": 390, "height": 844})
    one = context.new_page()
    plan.open(one)
    with context.expect_page() as opened:
        one.evaluate("window.open(location.href)")
    other = opened.value
    other.locator("#typed").wait_for()
    me = "sessionStorage.getItem('plumbrise-tab')"
    assert one.evaluate(me) == other.evaluate(me)
    context.set_offline(True)
    type_in(one, "0")
    type_in(other, "57")
    context.set_offline(False)
    plan.wait_for(2)
    assert plan.values() == [0.0, 0.57]
    context.close()


def test_a_bench_killed_in_mid_capture_loses_and_doubles_nothing(killed, browser):
    plan = Plan(killed.shelf, killed)
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    plan.open(page)
    type_in(page, SHOWN[0])
    type_in(page, SHOWN[1])
    plan.wait_for(2)
    killed.kill()
    type_in(page, SHOWN[2])
    type_in(page, SHOWN[3])
    page.get_by_text("The bench is not answering").wait_for()
    assert "2 wait in this browser" in page.locator("#trouble").inner_text()
    assert told(page).startswith("4.00")
    assert marks(page) == 4
    assert marks(page, "waits") == 2
    killed.start_again()
    plan.wait_for(4)
    page.locator("#trouble").wait_for(state="hidden")
    type_in(page, SHOWN[4])
    plan.wait_for(5)
    assert plan.rows(all_of_it=True) == list(enumerate(READ[:5]))
    context.close()


def test_what_waits_outlives_the_tab(killed, browser):
    plan = Plan(killed.shelf, killed)
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    plan.open(page)
    type_in(page, SHOWN[0])
    page.locator("#said", has_text="kept").wait_for()
    killed.kill()
    type_in(page, SHOWN[1])
    page.get_by_text("1 wait in this browser").wait_for()
    page.close()
    killed.start_again()
    plan.page = later = context.new_page()
    later.clock.install(time=datetime.now(UTC).timestamp() + 60)  # a minute later
    plan.see(later)
    plan.wait_for(2)
    assert plan.values() == [0.0, 0.57]
    context.close()


def test_a_bench_killed_again_and_again_at_random_keeps_every_reading_once(killed, browser):
    plan = Plan(killed.shelf, killed, readings=15)
    rng = random.Random(7)
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    plan.open(page)
    for i in range(15):
        type_in(page, f"{max(i - 0.4, 0):.2f}")
        if i % 5 == 4:
            sleep(rng.random() * 0.02)  # on its way, on disk, or answered: any of them
            killed.kill()
            sleep(0.3 * rng.random())
            killed.start_again()
    plan.wait_for(15)
    assert plan.rows(all_of_it=True) == [(i, round(max(i - 0.4, 0), 2)) for i in range(15)]
    context.close()


def test_on_a_slow_network_typing_goes_on(plan, browser):
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    plan.open(page)
    slow = {"offline": False, "latency": 700, "downloadThroughput": 6000, "uploadThroughput": 6000}
    context.new_cdp_session(page).send("Network.emulateNetworkConditions", slow)
    let_go = holding(page)
    for figures in SHOWN:
        type_in(page, figures)
    page.locator("#title", has_text="Right end").wait_for()
    assert plan.rows() == []
    let_go()
    plan.wait_for(6)
    assert plan.rows(all_of_it=True) == list(enumerate(READ))
    context.close()


def test_an_answer_that_got_lost_is_asked_for_again_and_nothing_is_kept_twice(plan, browser):
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    plan.open(page)
    lost = []

    def lose_first(route) -> None:
        if len(lost) < 2:
            lost.append(route.fetch())
            route.abort()
        else:
            route.continue_()

    page.route("**/acts", lose_first)
    type_in(page, "0")
    type_in(page, "57")
    plan.wait_for(2)
    page.locator("#trouble").wait_for(state="hidden")
    assert len(lost) == 2
    assert plan.rows(all_of_it=True) == [(0, 0.0), (1, 0.57)]
    context.close()


def test_what_waits_behind_a_question_is_sent_once_that_is_answered(plan, browser):
    context = browser.new_context(viewport={"width": 390, "height": 844})
    page = context.new_page()
    plan.open(page)
    type_in(page, "0")
    plan.wait_for(1)
    let_go = holding(page)
    type_in(page, "57")
    page.keyboard.press("x")
    page.locator("#target", has_text="3.00").wait_for()
    with Shelf.open(plan.shelf, now=lambda: datetime.now(UTC)) as shelf:
        other = Captures(lambda: datetime.now(UTC)).of(shelf, plan.machine, plan.number)
        mend = {"do": "mend", "at": ["left", 0], "text": "5.00", "token": "mended-elsewhere"}
        assert other.do(mend | {"sure": True}).said == "done"  # 57 stands for another value now
    let_go()
    page.locator("#asks").wait_for()
    page.keyboard.press("Escape")
    plan.wait_for(2)
    assert plan.rows() == [(0, 5.0), (2, None)]
    context.close()


def test_the_page_takes_figures_for_what_the_bench_takes_them_for(plan, laptop):
    plan.open(laptop)
    rng = random.Random(3)
    sheet = read_readings(worksheet().encode(), name="sheet", scale=scale_of(MACHINE))
    cases = []
    for _ in range(400):
        session, values = Session(sheet.runs), []
        for i in range(rng.randrange(0, 5)):
            value = rng.choice([None, round(i + rng.uniform(-1, 1), 2)])
            session = session.cannot_read() if value is None else session.keep_value(value)
            values.append("x" if value is None else value)
        text = rng.choice(
            [
                "64",
                "7",
                "-12",
                "+5",
                "1.58",
                "1,5",
                ".5",
                "158",
                "99",
                "100",
                "ab",
                "",
                "−3",
                "2 mm",
                "301",
                "1e3",
                str(rng.randrange(100)),
            ]
        )
        about = expected(session.runs[0], len(values))
        try:
            value = heard(text, expected=about).value_mm
        except ValueError:
            value = None
        cases.append(
            (
                values + [None] * (6 - len(values)),
                len(values),
                text,
                value,
                about and about.middle_mm,
                about and about.span_mm,
            )
        )
    found = laptop.evaluate(
        """async (cases) => {
            const { expected, heard } = await import("/static/capture_hearing.js");
            const told = JSON.parse(document.getElementById("told").textContent);
            return cases.map(([values, at, text]) => {
                const about = expected(told.runs[0], values, at, told.spans);
                return [heard(text, about, told), about?.middle ?? null, about?.span ?? null];
            });
        }""",
        cases,
    )
    for case, (value, middle, span) in zip(cases, found, strict=True):
        assert (value, middle, span) == pytest.approx(case[3:], abs=1e-6), case


def test_hostile_names_and_notes_stay_words(plan, laptop):
    plan.open(laptop)
    type_in(laptop, "0")
    laptop.keyboard.press("n")
    laptop.keyboard.type("</script><img src=x onerror=alert(1)>")
    laptop.keyboard.press("Enter")
    laptop.get_by_text("noted", exact=True).wait_for()
    plan.see(laptop)
    assert laptop.locator("img").count() == 0


def test_an_accessibility_engine_finds_nothing_in_any_state(plan, page, breaches):
    """One way through all states: an engine run costs less than a bench."""
    plan.bench.enter(page)
    page.goto(plan.bench.address + plan.path)
    page.locator("#card .go").wait_for()
    told = {"card": breaches(page, both_schemes=True)}
    ready(page)
    type_in(page, "0")
    told["taking"] = breaches(page, both_schemes=True)
    type_in(page, "9.9")
    page.locator("#asks").wait_for()
    told["asking"] = breaches(page, both_schemes=True)
    page.keyboard.press("Escape")
    page.keyboard.press("ArrowUp")
    page.locator("#said", has_text="Mending").wait_for()
    told["mending"] = breaches(page)
    page.keyboard.press("Escape")
    page.keyboard.press("n")
    page.locator("#words").wait_for()
    told["noting"] = breaches(page)
    page.keyboard.press("Escape")
    page.keyboard.press("s")
    page.keyboard.press("Enter")
    page.locator("#card .go").wait_for()
    page.get_by_role("button", name="The gauge stands").click()
    page.keyboard.press("s")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="All is read").wait_for()
    told["done"] = breaches(page)
    assert told == {state: [] for state in told}


def test_a_narrow_window_shows_it_all(browser, plan):
    context = browser.new_context(viewport={"width": 360, "height": 640})
    page = context.new_page()
    plan.open(page)
    type_in(page, "0")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    box = page.locator("#keep").bounding_box()
    assert box["y"] + box["height"] <= 640
    context.close()
