"""An indicator and a controller at the bench's own ports, over a real server: what pages are shown,
what moves, and that the stop waits for nothing."""

from __future__ import annotations

import json
import threading
import time
from contextlib import ExitStack
from dataclasses import replace

import httpx
import pytest
from starlette.testclient import TestClient

from plumbrise.hardware import Controller, Indicator, Timing, open_port
from plumbrise.machine import blank
from plumbrise.machine.description import Controller as ControllerFacts
from plumbrise.machine.description import Travel
from plumbrise.measure.indicator_line import from_template
from plumbrise.measure.stillness import StillnessRule
from plumbrise.web import capture_axis
from plumbrise.web.app import app
from plumbrise.web.capture import Capture
from plumbrise.web.capture_axis import Axis
from plumbrise.web.capture_devices import Devices
from plumbrise.web.capture_gauge import LiveGauge
from plumbrise.web.serving import LOOPBACK, bound, hosts_of, server_of

MACHINE = replace(
    blank("one-screw"),
    travel=Travel(height_mm=250.0),
    controller=ControllerFacts(dwell_unit="milliseconds", stop_waits=True, home="down"),
)
SHEET = "run,test,station,seq,target_mm,reading_mm,approach\n" + "".join(
    f"left,coarse-steps,gantry-left,{i},{i},,{'up' if i else 'down'}\n" for i in range(4)
)
QUICK = Timing(
    slack=0.0,
    margin_s=0.02,
    guard_s=0.01,
    quiet_s=0.03,
    silence_s=6.0,
    home_s=2.0,
    busy_s=5.0,
    home_at_once_s=0.04,
    home_mm_per_s=600.0,
    greet_s=0.1,
)
RULE = StillnessRule(within_mm=0.001, values=4, seconds=0.1)
LONG_S = 10.0


class AtTheMachine:
    """A bench on a socket with what is plugged in, and a page that looks on."""

    def __init__(self, bench, door, stand_ins):
        self.bench, self.door, self.stand_ins = bench, door, stand_ins
        self.open_while = ExitStack()
        self.axis = self.far = self.indicator = None
        self.gauges = []
        self.machine = bench.shelf.add_machine(MACHINE, "Heron")
        self.plan = bench.shelf.add_plan(self.machine, SHEET)
        self.at = f"/m/{self.machine}/measure/{self.plan}"

    def plug_indicator(self, **how):
        self.indicator = self._far(self.stand_ins.StandInIndicator(**how))
        pattern = from_template("{value:3} {unit}")

        def opened():
            return Indicator(open_port(self.indicator.name, baud=9600), pattern, silence_s=0.5)

        self.gauges.append(self.open_while.enter_context(LiveGauge(opened(), opened, rule=RULE)))

    def plug_controller(self, *, stop_bytes=b"", from_elsewhere=False, **how):
        how = {"slow": 0.02, **how}
        self.far = self._far(self.stand_ins.StandInController(**how))

        def opened():
            port = open_port(self.far.name, baud=115200)
            return Controller(port, timing=QUICK, stop_bytes=stop_bytes)

        axis = Axis(opened(), opened, from_elsewhere=from_elsewhere)
        self.axis = self.open_while.enter_context(axis)

    def _far(self, far):
        self.open_while.callback(far.close)
        return far

    def serve(self):
        sock = bound(LOOPBACK, None)
        self.bench.hosts = hosts_of([sock])
        made = app(self.bench, devices=Devices(tuple(self.gauges), self.axis))
        self.starlette = made.app.app
        server = server_of(made)
        thread = threading.Thread(target=lambda: server.run(sockets=[sock]), daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        host, port = sock.getsockname()
        self.here = f"http://{host}:{port}"

        def ended():
            server.should_exit = server.force_exit = True
            thread.join(10)
            sock.close()

        self.open_while.callback(ended)
        self.page = self.browser()
        self.page.get(f"/in/{self.door.new_code()}")
        self.looks = threading.Event()
        looking = threading.Thread(target=self._look_on, daemon=True)
        looking.start()
        self.open_while.callback(looking.join, 5)
        self.open_while.callback(self.looks.set)
        return self

    def browser(self, **headers):
        heads = {"origin": self.here, "accept": "application/json", **headers}
        made = httpx.Client(base_url=self.here, headers=heads, timeout=20)
        self.open_while.callback(made.close)
        return made

    def _look_on(self):
        while not self.looks.wait(0.3):
            if self.axis is not None:
                self.axis.seen()

    # --- what a person does

    @property
    def asks(self):
        live = self.page.get(f"{self.at}/state.json").json()["live"]
        return live["asks"]

    def said(self, do, run, reading):
        """What a page sends that has just heard how the axis stands."""
        now = self.axis.standing
        knew = {"stops": now.stops, "presses": now.presses, "at_s": self.axis.clock()}
        return {"do": do, "run": run, "reading": reading, **knew}

    def move(self, do, *, at=None, late_s=0.0, **knew):
        run, reading = at or self.asks or ("left", 3)
        said = self.said(do, run, reading) | knew
        said["at_s"] -= late_s
        return self.page.post(f"{self.at}/move", json=said)

    def capture(self):
        return self.starlette.state.captures.of(self.bench.shelf, self.machine, self.plan)

    def until(self, does, within_s=LONG_S):
        end = time.monotonic() + within_s
        while self.axis.standing.does.value != does and time.monotonic() < end:
            time.sleep(0.01)
        assert self.axis.standing.does.value == does, self.axis.standing
        return self.axis.standing

    def to_first(self):
        assert self.move("begin").status_code == 200
        self.until("waits")
        assert self.move("go").status_code == 200
        return self.until("stands")

    def keep(self, text):
        run, reading = self.asks
        act = {"do": "keep", "at": [run, reading], "token": f"{run}-{reading}-{text}", "text": text}
        key = self.page.get(f"{self.at}/state.json").json()["key"]
        answer = self.page.post(
            f"{self.at}/acts", json={"key": key, "acts": [act | {"sure": True}]}
        )
        return answer.json()["outcomes"][0]["said"]

    def shown(self, wanted, browser=None):
        """What the one indicator shows, up to the first that is wanted."""
        told = self.events("gauges", lambda all_of_it: wanted(all_of_it[0]), browser)
        return [all_of_it[0] for all_of_it in told]

    def events(self, kind, wanted, browser=None):
        """What a stream tells of a kind, up to the first that is wanted."""
        found = []
        with (browser or self.page).stream("GET", f"{self.at}/events") as stream:
            name = ""
            for line in stream.iter_lines():
                if line.startswith("event: "):
                    name = line[7:]
                elif line.startswith("data: ") and name == kind:
                    found.append(json.loads(line[6:]))
                    if wanted(found[-1]):
                        return found
        return found


@pytest.fixture
def there(bench, door, stand_ins):
    made = AtTheMachine(bench, door, stand_ins)
    with made.open_while:
        yield made


# --- an indicator


def test_every_page_sees_what_the_indicator_shows(there):
    there.plug_indicator(show=lambda s: 1.25 if s < 1.0 else 2.5)
    there.serve()
    other = there.browser()
    other.cookies = there.page.cookies
    for page in (there.page, other):
        assert there.shown(lambda it: it["still_mm"] == 2.5, page)[-1]["mm"] == 2.5


def test_only_what_stands_still_is_at_rest(there):
    there.plug_indicator(show=lambda s: 1.0 + s)
    there.serve()
    moving = []

    def enough(shown):
        moving.append(shown["mm"])
        return len(moving) - moving.count(None) > 5

    assert all(it["still_mm"] is None for it in there.shown(enough))


def test_an_unplugged_indicator_is_told_in_words_and_typing_goes_on(there, monkeypatch):
    monkeypatch.setattr("plumbrise.web.capture_gauge.OPEN_AGAIN_S", 0.1)
    there.plug_indicator()
    there.serve()
    there.shown(lambda it: it["mm"] == 1.25)
    there.indicator.unplug()
    told = there.shown(lambda it: it["words"])[-1]
    assert "cable" in told["words"]
    assert told["mm"] is None
    assert there.keep("0.0") == "done"
    there.indicator = there._far(there.stand_ins.StandInIndicator(show=3.5))
    assert there.shown(lambda it: it["mm"] == 3.5)


# --- moving


def test_the_axis_homes_waits_for_the_gauge_and_comes_to_each_target_on_a_word(there):
    there.plug_controller()
    there.serve()
    assert there.move("begin").json()["does"] == "moves"
    waits = there.until("waits")
    assert "tip" in waits.words
    assert "G28 Z0" in there.far.got
    lines = len(there.far.got)
    time.sleep(0.3)
    assert len(there.far.got) == lines
    for height in (0.0, 1.0, 2.0):
        there.move("go")
        stands = there.until("stands")
        assert (stands.reached, round(there.far.height_mm, 6)) == (int(height), height)
        assert there.keep(f"{height:.2f}") == "done"


def test_the_last_word_runs_the_program_to_its_end(there):
    there.plug_controller()
    there.serve()
    there.to_first()
    for i in range(4):
        there.keep(f"{i}.00")
        if i < 3:
            there.move("go")
            there.until("stands")
    assert there.asks is None
    assert there.move("end").status_code == 200
    there.until("idle")


def test_what_was_said_before_a_stop_moves_nothing_after_it(there):
    there.plug_controller()
    there.serve()
    there.to_first()
    there.keep("0.00")
    knew = there.axis.standing.stops
    there.page.post("/stop")
    sent = len(there.far.got)
    answer = there.move("go", stops=knew)
    assert answer.status_code == 409
    assert "stopped meanwhile" in answer.json()["against"]
    time.sleep(0.3)
    assert len(there.far.got) == sent


def test_a_stop_at_rest_holds_and_another_word_goes_on_with_the_same_set_up(there):
    there.plug_controller()
    there.serve()
    there.to_first()
    there.keep("0.00")
    for _ in range(5):
        there.page.post("/stop")
    assert there.axis.standing.does.value == "stands"
    assert there.move("go").status_code == 200
    assert there.until("stands").reached == 1
    assert there.asks[0] == "left"


def stopped_on_the_way(there):
    """Stopped between the second target and the third, with two readings kept."""
    there.to_first()
    there.keep("0.00")
    there.move("go")
    there.until("stands")
    there.keep("0.62")
    there.far.slow = 3.0
    there.move("go")
    while there.far.height_mm < 1.05:
        time.sleep(0.005)
    return there.page.post("/stop").json()


def test_a_stop_on_the_way_says_what_is_still_moved_and_sends_nothing_more(there):
    there.plug_controller()
    there.serve()
    told = stopped_on_the_way(there)
    assert "At most 1 move may still be made: 1.00 mm" in told["bound"]
    sent = len(there.far.got)
    stopped = there.until("stopped")
    assert "Stopped by hand." in stopped.words
    for _ in range(20):
        assert there.page.post("/stop").status_code == 200
    time.sleep(0.3)
    assert len(there.far.got) == sent
    assert there.asks == ["left again 1", 0]
    marks = [m for run in there.bench.shelf.runs(there.machine) for m in run.marks]
    assert any("Stopped by hand" in m.words for m in marks)


def test_after_a_stop_the_set_up_begins_anew_from_a_home(there):
    there.plug_controller()
    there.serve()
    stopped_on_the_way(there)
    there.until("stopped")
    there.far.slow = 0.02
    homes = there.far.got.count("G28 Z0")
    stands = there.to_first()
    assert there.far.got.count("G28 Z0") > homes
    assert (stands.run, stands.reached) == ("left again 1", 0)


def test_the_bytes_for_a_stop_go_out_with_the_press(there):
    there.plug_controller(stop_bytes=b"!\n")
    there.serve()
    there.page.post("/stop")
    end = time.monotonic() + 5
    while "!" not in there.far.got and time.monotonic() < end:
        time.sleep(0.005)
    assert "!" in there.far.got


def test_the_stop_waits_for_no_lock_and_for_no_thread_that_others_use(there):
    there.plug_controller()
    there.serve()
    there.to_first()
    capture = there.capture()
    held, free = threading.Event(), threading.Event()

    def hold():
        with capture.lock:
            held.set()
            free.wait(20)

    def ask():
        there.browser().get(f"{there.at}/state.json", headers=cookies)

    cookies = {"cookie": "; ".join(f"{k}={v}" for k, v in there.page.cookies.items())}
    waiting = [threading.Thread(target=run, daemon=True) for run in (hold, *[ask] * 45)]
    for one in waiting:
        one.start()
    held.wait(5)
    time.sleep(0.5)
    try:
        assert there.page.post("/stop").json()["stops"] == 1
        assert not free.is_set()
    finally:
        free.set()
    for one in waiting:
        one.join(20)


def test_an_alarm_marks_the_set_up_and_it_can_go_on(there):
    there.plug_controller()
    there.serve()
    there.to_first()
    there.keep("0.00")
    there.far.faults[len(there.far.got) + 1] = "alarm"
    there.move("go")
    assert "alarm" in there.until("stopped").words
    assert there.asks == ["left again 1", 0]
    there.far.clear_alarm()
    assert there.to_first().reached == 0


def test_a_move_that_was_held_up_is_not_made_when_nobody_waits_for_it_any_more(there, monkeypatch):
    monkeypatch.setattr(capture_axis, "LATE_S", 0.2)
    there.plug_controller()
    there.serve()
    asks = there.asks
    capture = there.capture()
    answers = []
    with capture.lock:
        asking = threading.Thread(target=lambda: answers.append(there.move("begin", at=asks)))
        asking.start()
        time.sleep(0.5)
    asking.join(10)
    assert (answers[0].status_code, "too late" in answers[0].json()["against"]) == (409, True)
    assert there.far.got == []


@pytest.mark.parametrize("late_s", [5.0, -1000.0])
def test_a_press_that_the_network_held_up_moves_nothing(there, late_s):
    """The page says when it had last heard how the axis stands; from another start it is none."""
    there.plug_controller()
    there.serve()
    answer = there.move("begin", late_s=late_s)
    assert (answer.status_code, "too late" in answer.json()["against"]) == (409, True)
    assert there.far.got == []


@pytest.mark.parametrize("do", ["begin", "go"])
def test_one_press_that_the_network_brings_twice_is_followed_once(there, do):
    """No home is repeated while hands are at the gauge, and no wait ended that came after."""
    there.plug_controller()
    there.serve()
    if do == "go":
        there.move("begin")
        there.until("waits")
    knew = there.axis.standing.presses
    assert there.move(do, presses=knew).status_code == 200
    rests = there.until("waits" if do == "begin" else "stands")
    sent = len(there.far.got)
    again = there.move(do, presses=knew)
    assert (again.status_code, "followed another word" in again.json()["against"]) == (409, True)
    assert there.axis.standing == rests
    assert len(there.far.got) == sent


def test_a_beginning_that_is_refused_breaks_nothing_off(there):
    there.plug_controller()
    there.serve()
    there.to_first()
    other = there.bench.shelf.add_machine(MACHINE, "Crane")
    there.at = f"/m/{other}/measure/{there.bench.shelf.add_plan(other, SHEET)}"
    there.keep("0.00")
    assert there.move("begin").status_code == 409
    assert there.asks == ["left", 1]


def test_an_alarm_at_rest_that_is_slowly_marked_says_nothing_of_what_was_begun_since(there):
    there.plug_controller()
    there.serve()
    there.to_first()
    there.keep("0.00")
    with there.capture().lock:
        there.far.send(b"ALARM: end stop\n")
        while there.axis.standing.stops == 0:
            time.sleep(0.01)
        there.far.clear_alarm()
        there.at = f"/m/{there.machine}/measure/{there.bench.shelf.add_plan(there.machine, SHEET)}"
        assert there.move("begin").status_code == 200
        there.until("waits")
    time.sleep(0.3)
    assert there.axis.standing.does.value == "waits"


def test_where_marking_breaks_that_motion_has_ended_is_told_and_the_next_is_driven(
    there, monkeypatch
):
    there.plug_controller()
    there.serve()
    there.to_first()
    there.keep("0.00")

    def breaks(*_):
        raise RuntimeError

    with monkeypatch.context() as broken:
        broken.setattr(Capture, "broken_off", breaks)
        there.far.faults[len(there.far.got) + 1] = "alarm"
        there.move("go")
        assert "alarm" in there.until("stopped").words
    there.far.clear_alarm()
    assert there.to_first().reached == 0


def test_a_pulled_cable_is_told_at_rest_too_and_the_port_is_opened_again(there):
    there.plug_controller()
    there.serve()
    there.to_first()
    there.keep("0.00")
    there.far.unplug()
    assert "cable" in there.until("stopped").words
    assert there.asks == ["left again 1", 0]
    there.far = there._far(there.stand_ins.StandInController(slow=0.02))
    assert there.to_first().reached == 0


def test_with_no_page_looking_on_a_moving_axis_is_stopped(there, monkeypatch):
    monkeypatch.setattr(capture_axis, "AWAY_S", 0.5)
    there.plug_controller()
    there.serve()
    there.to_first()
    there.keep("0.00")
    there.far.slow = 5.0
    there.looks.set()
    there.move("go")
    assert "No page looks on" in there.until("stopped").words


def test_a_page_that_asks_how_it_stands_looks_on(there, monkeypatch):
    monkeypatch.setattr(capture_axis, "AWAY_S", 0.5)
    there.plug_controller()
    there.serve()
    there.to_first()
    there.keep("0.00")
    there.far.slow = 5.0
    there.looks.set()
    there.move("go")
    for _ in range(10):
        assert there.page.get("/axis.json").json()["does"] == "moves"
        time.sleep(0.1)


# --- who and what is moved


def test_only_the_machine_that_the_plan_was_made_for_is_moved(there):
    there.plug_controller()
    there.serve()
    told = replace(MACHINE, travel=Travel(height_mm=300.0))
    there.bench.shelf.describe(there.machine, told)
    answer = there.move("begin")
    assert answer.status_code == 409
    assert "described anew" in answer.json()["against"]
    assert there.far.got == []


def test_a_second_machine_is_not_moved_by_the_same_bench(there):
    there.plug_controller()
    there.serve()
    there.to_first()
    other = there.bench.shelf.add_machine(MACHINE, "Wren")
    plan = there.bench.shelf.add_plan(other, SHEET)
    said = there.said("begin", "left", 0)
    answer = there.page.post(f"/m/{other}/measure/{plan}/move", json=said)
    assert "another machine" in answer.json()["against"]


@pytest.mark.parametrize("allowed", [False, True])
def test_another_device_moves_it_only_where_that_was_said_and_stops_it_always(there, door, allowed):
    there.plug_controller(from_elsewhere=allowed)
    there.bench.hosts = frozenset({"bench.home:8417"})
    here = "http://bench.home:8417"
    made = app(there.bench, devices=Devices((), there.axis))
    phone = TestClient(made, base_url=here, headers={"origin": here}, follow_redirects=False)
    phone.get(f"/in/{door.new_code()}")
    said = there.said("begin", "left", 0)
    assert phone.post(f"{there.at}/move", json=said).status_code == (200 if allowed else 403)
    assert phone.post("/stop", headers={"accept": "application/json"}).json()["stops"] == 1


def test_the_stop_needs_no_cookie_and_knows_no_rate_but_our_own_origin(there):
    there.plug_controller()
    there.serve()
    stranger = there.browser()
    for _ in range(700):
        last = stranger.post("/stop").status_code
    assert last == 200
    elsewhere = there.browser(origin="http://evil.example")
    assert elsewhere.post("/stop").status_code == 403
    assert stranger.post(f"{there.at}/move", json={}).status_code in (401, 429)


def test_without_the_script_the_stop_is_a_form_that_leads_back(there):
    there.plug_controller()
    there.serve()
    heads = {"accept": "text/html", "referer": f"{there.here}{there.at}"}
    answer = there.page.post("/stop", headers=heads)
    assert (answer.status_code, answer.headers["location"]) == (303, there.at)
    assert 'action="/stop"' in there.page.get("/shelf").text


@pytest.mark.parametrize(
    "said",
    [
        {},
        {"do": "drop"},
        [],
        {"do": "go", "run": "left", "reading": None, "stops": 0, "presses": 0, "at_s": 0.0},
        {"do": "begin", "run": "left", "reading": 0, "stops": 0, "presses": 0},
        {"do": "begin", "run": "left", "reading": 0, "stops": 0, "at_s": 0.0},
        "go",
    ],
    ids=str,
)
def test_what_is_no_move_is_refused(there, said):
    there.plug_controller()
    there.serve()
    assert there.page.post(f"{there.at}/move", json=said).status_code == 400
    assert there.far.got == []


def test_without_a_controller_there_is_nothing_to_stop(there):
    there.serve()
    assert there.page.post("/stop").status_code == 404
    assert "stop-bar" not in there.page.get("/shelf").text
