"""What is worked out beside the page: better answers as they come, stopped at once, never lost."""

import asyncio
import threading
import time
from dataclasses import dataclass
from io import BytesIO

import pytest

from plumbrise.files import read_machine, read_readings
from plumbrise.machine import STATIONS
from plumbrise.readings import scale_of
from plumbrise.readings.kinds import KINDS
from plumbrise.web.fault_words import BROKE_OFF
from plumbrise.web.parcel import packed, receive, send, unpacked
from plumbrise.web.work import MOST_WAITING, Busy, Work
from plumbrise.web.working import serve


@dataclass(frozen=True)
class Example:
    machine: object
    readings: object


@pytest.fixture
def own_work():
    made = Work()
    yield made
    made.close()


def _until(true, seconds: float = 20.0) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if true():
            return True
        time.sleep(0.02)
    return False


@pytest.fixture(scope="module")
def example():
    machine = read_machine('arrangement = "one-screw"\nscrew = { lead_mm = 8.0 }', name="m")
    table = b"told,read\n" + b"".join(b"%d,%.2f\n" % (i, max(0, i - 0.4)) for i in range(9))
    scale = scale_of(machine)
    return Example(machine, read_readings(table, name="t", scale=scale, station="gantry-left"))


def test_a_first_answer_comes_before_the_whole_one(work, example):
    job = work.ask("first", "explain", example.machine, example.readings)
    work.wait(job, 30, step=0)
    assert job.best is not None
    assert not job.best.complete
    work.wait(job, 60)
    assert job.state == "done"
    assert job.best.complete


def test_the_same_question_is_worked_out_once(work, example):
    one = work.ask("same", "explain", example.machine, example.readings)
    assert work.ask("same", "explain", example.machine, example.readings) is one


def test_stopping_ends_the_work_and_keeps_the_best_so_far(own_work, example):
    job = own_work.ask("stop", "explain", example.machine, example.readings)
    own_work.wait(job, 30, step=0)
    began = time.monotonic()
    own_work.stop("stop")
    assert job.state == "stopped"
    assert time.monotonic() - began < 1
    assert job.best is not None
    again = own_work.ask("stop", "explain", example.machine, example.readings, again=True)
    own_work.wait(again, 60)
    assert again.state == "done"


def test_a_working_process_that_dies_is_replaced(own_work, example):
    job = own_work.ask("dies", "explain", example.machine, example.readings)
    assert _until(lambda: job.state == "working")
    own_work._process.kill()
    own_work.wait(job, 10)
    assert job.state == "failed"
    assert "ended" in job.trouble
    again = own_work.ask("dies", "explain", example.machine, example.readings, again=True)
    own_work.wait(again, 60)
    assert again.state == "done"


def test_what_cannot_be_read_of_the_working_process_fails_that_job_only(
    own_work, example, monkeypatch
):
    from plumbrise.web import work as module

    def garbled(_stream):
        raise ValueError("no pickle")

    with monkeypatch.context() as wrong:
        wrong.setattr(module, "receive", garbled)
        job = own_work.ask("one", "explain", example.machine, example.readings)
        own_work.wait(job, 20)
        assert job.state == "failed"
        assert "could not be read" in job.trouble
    other = own_work.ask("two", "explain", example.machine, example.readings)
    own_work.wait(other, 60)
    assert other.state == "done"


def test_what_cannot_be_worked_out_says_why(work, example):
    job = work.wait(
        work.ask("odd", "plan", example.machine, {"minutes": 30, "symptoms": ("no",)}), 30
    )
    assert job.state == "failed"
    assert "symptom" in job.trouble


def test_a_fault_of_ours_is_told_plainly_and_stands_in_the_log(caplog):
    """In the process's own loop: whoever asked gets words, the log where it broke."""
    source, to = BytesIO(), BytesIO()
    send(source, (1, "plan", ("no machine", {"minutes": 20.0})))
    source.seek(0)
    serve(source, to)
    to.seek(0)
    assert receive(to) == (1, "failed", BROKE_OFF)
    assert "Traceback" in caplog.text


def test_no_more_is_taken_than_can_be_waited_for(own_work, example):
    def ask(number: int) -> None:
        own_work.ask(str(number), "explain", example.machine, example.readings)

    for number in range(MOST_WAITING):
        ask(number)
    with pytest.raises(Busy):
        [ask(number) for number in range(MOST_WAITING, MOST_WAITING + 3)]


def test_what_was_asked_before_the_readings_changed_is_given_up(own_work, example):
    for number in range(5):
        last = own_work.ask(
            f"g{number}", "explain", example.machine, example.readings, group="machine-1"
        )
    own_work.wait(last, 60)
    assert last.state == "done"
    assert own_work.find("g3") is None


@pytest.mark.parametrize("table", [KINDS, STATIONS], ids=["kinds", "stations"])
def test_what_is_told_apart_by_identity_stays_itself_on_the_way(table):
    assert all(unpacked(packed(one)) is one for one in table.values())


def test_a_session_is_the_same_at_the_other_end(example):
    there = unpacked(packed((example.machine, example.readings)))
    assert there == (example.machine, example.readings)


def test_waiting_for_a_job_holds_no_thread_and_ends_when_the_job_does(own_work):
    """A hundred wait for one job at once, on one thread."""
    job = own_work.ask("slow", "nothing of that name")

    async def all_of_them():
        await asyncio.gather(*(own_work.ended("slow", 30.0) for _ in range(100)))
        return threading.active_count()

    before = threading.active_count()
    assert asyncio.run(all_of_them()) <= before + 1
    assert job.state == "failed"
    began = time.monotonic()
    asyncio.run(own_work.ended("no job of that name", 30.0))
    assert time.monotonic() - began < 5
