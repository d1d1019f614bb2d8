"""A motion controller on a serial port: a checked program sent line by line, with a stop that is
always live.

One line at a time waits for its acknowledgement, and by the clock at most one move is sent ahead of
the one that runs, however many acknowledgements come. At a stop of the program the sender waits
itself; the stop is never sent.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from functools import partial

from plumbrise.errors import InputError
from plumbrise.hardware.conversation import Conversation
from plumbrise.hardware.lines import LineSplitter
from plumbrise.hardware.outcomes import (
    AtStop,
    Bound,
    Cause,
    Event,
    Finished,
    Halted,
    SentCounts,
    Timing,
)
from plumbrise.hardware.port import Port, read_some
from plumbrise.hardware.steps import Step, StepKind, from_last_home, steps_of
from plumbrise.machine import Machine


class Controller:
    """Sends one program over an open port, which it closes with itself.

    `stop` may be called from any thread at any time and does not wait for the port. All else is
    for one thread. `stop_bytes` are bytes that the person knows to make the controller stop at
    once; without them what was sent is still moved. The bound never counts on them. `chatter` are
    beginnings of lines that this controller sends unasked and that mean nothing; any other line
    that nothing explains halts, for it may be the greeting after a restart.
    """

    def __init__(
        self,
        port: Port,
        *,
        timing: Timing | None = None,
        stop_bytes: bytes = b"",
        line_end: bytes = b"\n",
        chatter: tuple[str, ...] = (),
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._port = port
        self._stop_bytes, self._line_end = stop_bytes, line_end
        self._talk = Conversation(
            timing or Timing(), clock, chatter=chatter, stops_unsure=bool(stop_bytes)
        )
        self._splitter = LineSplitter()
        self._machine: Machine | None = None
        self._text = ""
        self._steps: tuple[Step, ...] = ()
        self._at = 0
        self._ends = threading.Event()
        self._thread = threading.Thread(target=self._listen, name="controller", daemon=True)
        self._thread.start()
        self._talk.take_greeting()

    def __enter__(self) -> Controller:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Send nothing more and let go of the port. What was sent may still be moved."""
        with self._talk.changed:
            self._talk.halt(Cause.STOPPED, "The port was closed.")
        self._ends.set()
        self._thread.join(timeout=5.0)
        self._port.close()

    def load(self, machine: Machine, text: str, *, after: Halted | None = None) -> None:
        """Take a program to send, from its first line; with `after`, from its last home before.

        Raises:
            InputErrors: all that the check refuses; nothing of the program can then be sent.
            InputError: a halt that no home in the program stands before.
        """
        steps = steps_of(machine, text)
        if after is not None:
            steps = from_last_home(machine, text, after.line)
        with self._talk.changed:
            if self._talk.halted is not None:
                raise _must("a controller that was not halted", "Begin again, or go on.")
            self._machine, self._text = machine, text
            self._steps, self._at = steps, 0

    def next_stop(self) -> AtStop | Finished | Halted:
        """Send until the program's next stop, its end, or until something goes wrong.

        Returns when all that was sent is reckoned done (AtStop, Finished), or at once (Halted).
        """
        while self._at < len(self._steps):
            step = self._steps[self._at]
            holds = step.kind is StepKind.HOLD
            halted = self._talk.wait(
                self._talk.at_rest if holds else partial(self._talk.may_send, step)
            )
            if halted is None and not holds:
                halted = self._send(step)
            if halted is not None:
                return halted
            if holds:
                self._at += 1
                return AtStop(step.line, step.comment, step.height_mm)
        return self._talk.wait(self._talk.at_rest) or Finished(self._talk.last_line)

    def stop(self, why: str = "Stopped by hand.") -> Bound:
        """Send nothing more, from now on; says what may still be moved. Live from any thread."""
        with self._talk.changed:
            self._talk.halt(Cause.STOPPED, why)
            bound = self._talk.bound()
        if self._stop_bytes and not self._ends.is_set():
            self._talk.tell("stop-bytes", "The bytes given for a stop are being sent.")
            try:
                self._port.write(self._stop_bytes)
            except OSError:
                self._talk.tell(
                    "stop-bytes", "They did not go out: the port has gone or is blocked."
                )
        return bound

    def go_on(self) -> None:
        """Go on where a stop by hand held, when nothing is unsure.

        Raises:
            InputError: not halted by hand, or something is unsure: begin again from a home.
        """
        with self._talk.changed:
            if self._talk.halted is None:
                return
            if self._talk.is_unsure:
                raise _must("a stop by hand, with nothing unsure since", "Begin again from a home.")
            self._talk.goes_on()

    def begin_again(self) -> None:
        """After a halt, make ready to send from the last home before the line that was last sent.

        The modes that the program sets before its first move are sent first. Stops between that
        home and the halt are come to once more. Waits until all that was sent is reckoned done.

        Raises:
            InputError: the port has gone; or no home stands before that line.
        """
        with self._talk.changed:
            if self._talk.halted is None:
                return
            if self._talk.lost:
                raise _must("a port that is there", "Open it anew, and load the program after it.")
            if self._machine is None:  # halted before anything was sent
                self._talk.goes_on()
                return
            steps = from_last_home(self._machine, self._text, self._talk.last_line)
            self._talk.rests()
            self._steps, self._at = steps, 0
            self._talk.begins_anew()

    @property
    def halted(self) -> Halted | None:
        """Why nothing is sent, or None."""
        with self._talk.changed:
            return self._talk.halted

    @property
    def bound(self) -> Bound:
        """What may still be moved by what was sent so far."""
        with self._talk.changed:
            return self._talk.bound()

    @property
    def counts(self) -> SentCounts:
        """Lines sent and answers had since opening."""
        with self._talk.changed:
            return SentCounts(**self._talk.count)

    @property
    def events(self) -> tuple[Event, ...]:
        """What there was to tell since opening, the latest few hundred."""
        with self._talk.changed:
            return tuple(self._talk.events)

    def _send(self, step: Step) -> Halted | None:
        data = step.send.encode("ascii") + self._line_end
        with self._talk.changed:
            if self._talk.halted is not None:
                return self._talk.halted
            self._talk.sends(step)
            self._at += 1  # here, so that a stop that comes while it goes out never sends it twice
        try:
            self._port.write(data)
        except OSError:
            self._talk.port_gone()
        return self.halted

    def _listen(self) -> None:
        """The thread that listens."""
        try:
            while not self._ends.is_set():
                data = read_some(self._port)
                if data:
                    with self._talk.changed:
                        for line in self._splitter.feed(data):
                            self._talk.hears(line)
                        self._talk.changed.notify_all()
        except OSError:
            if not self._ends.is_set():
                self._splitter.drop_pending()
                self._talk.port_gone()


def _must(allowed: str, remedy: str) -> InputError:
    return InputError(place="motion", value="halted", allowed=allowed, remedy=remedy)
