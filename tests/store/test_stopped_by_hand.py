"""A stop by hand comes at any moment, and the program that goes on after it loses nothing."""

import _thread
import signal
import sqlite3
from contextlib import closing
from threading import Timer

import pytest

from plumbrise.readings import Reading


def row(seq):
    return Reading(seq=seq, target_mm=seq, reading_mm=seq / 4, approach="up")


def on_disk(path):
    """What another program finds."""
    with closing(sqlite3.connect(path)) as other:
        return [seq for (seq,) in other.execute("SELECT seq FROM readings ORDER BY seq")]


@pytest.fixture
def ctrl_c():
    """Heard here too where a shell's background job ignores it."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield _thread.interrupt_main
    signal.signal(signal.SIGINT, before)


def test_what_is_kept_after_a_stop_that_came_while_another_program_wrote_is_on_disk(
    path, shelf, run_id, ctrl_c
):
    with closing(sqlite3.connect(path, isolation_level=None, check_same_thread=False)) as other:
        other.execute("BEGIN IMMEDIATE")
        timers = Timer(0.1, ctrl_c), Timer(0.4, lambda: other.execute("ROLLBACK"))
        for timer in timers:
            timer.start()
        with pytest.raises(KeyboardInterrupt):  # noqa: PT012
            shelf.keep(run_id, row(0))
            timers[0].join()
        for timer in timers:
            timer.join()
    assert on_disk(path) == []
    for seq in (1, 2):
        shelf.keep(run_id, row(seq))
        assert seq in on_disk(path)


def test_a_view_that_was_broken_off_takes_no_later_reading_with_it(path, shelf, run_id):
    shelf._connection.execute("BEGIN")
    shelf.keep(run_id, row(0))
    assert on_disk(path) == [0]
