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
from dataclasses import dataclass
from functools import partial

from plumbrise.errors import InputError
from plumbrise.hardware.answers import Answer, answer
from plumbrise.hardware.lines import Line, LineKind, LineSplitter
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
from plumbrise.hardware.steps import MOVES, Step, StepKind, from_last_home, steps_of
from plumbrise.machine import Machine

MOST_EVENTS = 500
REMEMBERED_LINES = 4
"""Lines sent lately, to know an echo by."""


@dataclass(slots=True)
class _Sent:
    step: Step
    sent_s: float
    done_s: float
    acknowledged: bool = False


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
        self._port, self._timing, self._clock = port, timing or Timing(), clock
        self._stop_bytes, self._line_end, self._chatters = stop_bytes, line_end, chatter
        self._splitter = LineSplitter()
        self._changed = threading.Condition()
        self._machine: Machine | None = None
        self._text = ""
        self._steps: tuple[Step, ...] = ()
        self._at = 0
        self._ahead: list[_Sent] = []
        self._last_sent: tuple[str, ...] = ()
        self._last_line = 0
        self._greeting: frozenset[str] | None = None
        self._greeted: list[str] = []
        self._halted: Halted | None = None
        self._unsure = self._lost = False
        self._events: list[Event] = []
        self._count = dict.fromkeys(SentCounts.__dataclass_fields__, 0)
        self._heard_s = self._awaited_s = self._free_s = clock()
        self._doubled_since_rest = False
        self._ends = threading.Event()
        self._thread = threading.Thread(target=self._listen, name="controller", daemon=True)
        self._thread.start()
        self._take_greeting()

    def __enter__(self) -> Controller:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Send nothing more and let go of the port. What was sent may still be moved."""
        with self._changed:
            self._halt(Cause.STOPPED, "The port was closed.")
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
        with self._changed:
            if self._halted is not None:
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
            halted = self._wait(self._at_rest if holds else partial(self._may_send, step))
            if halted is None and not holds:
                halted = self._send(step)
            if halted is not None:
                return halted
            if holds:
                self._at += 1
                return AtStop(step.line, step.comment, step.height_mm)
        return self._wait(self._at_rest) or Finished(self._last_line)

    def stop(self, why: str = "Stopped by hand.") -> Bound:
        """Send nothing more, from now on; says what may still be moved. Live from any thread."""
        with self._changed:
            self._halt(Cause.STOPPED, why)
            bound = self._bound()
        if self._stop_bytes and not self._ends.is_set():
            self._tell("stop-bytes", "The bytes given for a stop are being sent.")
            try:
                self._port.write(self._stop_bytes)
            except OSError:
                self._tell("stop-bytes", "They did not go out: the port has gone or is blocked.")
        return bound

    def go_on(self) -> None:
        """Go on where a stop by hand held, when nothing is unsure.

        Raises:
            InputError: not halted by hand, or something is unsure: begin again from a home.
        """
        with self._changed:
            if self._halted is None:
                return
            if self._halted.needs_home or self._unsure:
                raise _must("a stop by hand, with nothing unsure since", "Begin again from a home.")
            self._halted = None

    def begin_again(self) -> None:
        """After a halt, make ready to send from the last home before the line that was last sent.

        The modes that the program sets before its first move are sent first. Stops between that
        home and the halt are come to once more. Waits until all that was sent is reckoned done.

        Raises:
            InputError: the port has gone; or no home stands before that line.
        """
        with self._changed:
            if self._halted is None:
                return
            if self._lost:
                raise _must("a port that is there", "Open it anew, and load the program after it.")
            machine = self._machine
            if machine is None:  # halted before anything was sent
                self._halted, self._unsure = None, False
                return
            steps = from_last_home(machine, self._text, self._last_line)
            while not self._lost:
                rests_s = max(self._free_s, self._heard_s + self._timing.quiet_s)
                if rests_s <= self._clock():
                    break
                self._changed.wait(min(rests_s - self._clock(), 0.05))
            self._steps, self._at = steps, 0
            self._halted, self._unsure = None, False
            self._ahead.clear()
            self._doubled_since_rest = True  # what still comes is no answer to what follows

    @property
    def halted(self) -> Halted | None:
        """Why nothing is sent, or None."""
        with self._changed:
            return self._halted

    @property
    def bound(self) -> Bound:
        """What may still be moved by what was sent so far."""
        with self._changed:
            return self._bound()

    @property
    def counts(self) -> SentCounts:
        """Lines sent and answers had since opening."""
        with self._changed:
            return SentCounts(**self._count)

    @property
    def events(self) -> tuple[Event, ...]:
        """What there was to tell since opening, the latest few hundred."""
        with self._changed:
            return tuple(self._events)

    # Waiting and sending, in the caller's thread.

    def _wait(self, ready: Callable[[], float]) -> Halted | None:
        """Until `ready` says 0, the seconds it is to be asked again after; or halted."""
        with self._changed:
            while True:
                self._see_silence()
                if self._halted is not None:
                    return self._halted
                left_s = ready()
                if left_s <= 0:
                    return None
                self._changed.wait(min(left_s, 0.05))

    def _may_send(self, step: Step) -> float:
        """Seconds until this step may go out; every wait here is under the lock."""
        now = self._clock()
        self._let_go_of_done(now)
        if any(not sent.acknowledged for sent in self._ahead):
            return 0.05
        quiet = self._timing.quiet_s if self._doubled_since_rest else self._timing.guard_s
        left_s = self._heard_s + quiet - now
        moving = [sent for sent in self._ahead if sent.step.kind in MOVES]
        if step.kind in MOVES and len(moving) > 1:
            left_s = max(left_s, moving[-2].done_s - now)
        return left_s

    def _at_rest(self) -> float:
        now = self._clock()
        self._let_go_of_done(now)
        if self._ahead:
            return max(0.005, min(self._ahead[-1].done_s - now, 0.05))
        left_s = self._heard_s + self._timing.guard_s - now
        if left_s <= 0:
            self._doubled_since_rest = False
        return left_s

    def _send(self, step: Step) -> Halted | None:
        data = step.send.encode("ascii") + self._line_end
        with self._changed:
            if self._halted is not None:
                return self._halted
            now = self._clock()
            lasts_s = 0.0
            if step.seconds:
                lasts_s = step.seconds * self._timing.slack + self._timing.margin_s
            self._free_s = max(now, self._free_s) + lasts_s
            # counted before it is written: the bound may say too much, never too little
            self._ahead.append(_Sent(step, now, self._free_s))
            self._last_sent = (*self._last_sent, step.send.upper())[-REMEMBERED_LINES:]
            self._last_line, self._awaited_s = step.line, now
            self._count["sent"] += 1
            self._at += 1  # here, so that a stop that comes while it goes out never sends it twice
        try:
            self._port.write(data)
        except OSError:
            with self._changed:
                self._port_gone()
        return self.halted

    def _let_go_of_done(self, now: float) -> None:
        while self._ahead and self._ahead[0].acknowledged and now >= self._ahead[0].done_s:
            del self._ahead[0]

    def _see_silence(self) -> None:
        waiting = next((sent for sent in self._ahead if not sent.acknowledged), None)
        if waiting is None or self._halted is not None:
            return
        now, own = self._clock(), waiting.step
        allowed_s = self._timing.home_s if own.kind is StepKind.HOME else self._timing.silence_s
        since_s = max(self._awaited_s, waiting.done_s)
        if now - since_s > allowed_s:
            bad = self._count["damaged"]
            baud = f" {bad} damaged lines came: the baud rate may be wrong." if bad else ""
            self._halt(
                Cause.SILENT,
                f"Line {own.line} was not acknowledged within {now - since_s:.0f} s.{baud}",
            )

    def _take_greeting(self) -> None:
        """Wait until nothing has come for a while: some controllers begin anew on opening."""
        with self._changed:
            began = self._clock()
            while not self._halted and self._clock() - began < 4 * self._timing.greet_s:
                left_s = max(self._heard_s, began) + self._timing.greet_s - self._clock()
                if left_s <= 0:
                    break
                self._changed.wait(min(left_s, 0.05))
            once = [line for line in self._greeted if self._greeted.count(line) == 1]
            self._greeting = frozenset(once)

    # The thread that listens.

    def _listen(self) -> None:
        try:
            while not self._ends.is_set():
                data = read_some(self._port)
                if data:
                    with self._changed:
                        for line in self._splitter.feed(data):
                            self._sort(line)
                        self._changed.notify_all()
        except OSError:
            if not self._ends.is_set():
                with self._changed:
                    self._splitter.drop_pending()
                    self._port_gone()

    def _sort(self, line: Line) -> None:
        if line.kind is not LineKind.TEXT:
            self._count["damaged"] += 1
            self._tell("damaged", "A damaged line came and was left out.")
            return
        if self._greeting is None:
            self._greeted.append(line.text.strip())
            self._heard_s = self._clock()
            return
        meaning = answer(
            line.text, sent=self._last_sent, greeting=self._greeting, chatter=self._chatters
        )
        _MEANS[meaning](self, line.text.strip())

    def _done(self, _: str) -> None:
        self._heard_s = self._clock()
        waiting = next((sent for sent in self._ahead if not sent.acknowledged), None)
        if waiting is None:
            self._count["doubled"] += 1
            self._doubled_since_rest = True
            self._tell("doubled", "An acknowledgement came that no line waits for; left out.")
            return
        waiting.acknowledged = True
        self._count["done"] += 1
        if waiting.step.kind is StepKind.HOME:
            self._home_acknowledged(waiting)

    def _home_acknowledged(self, sent: _Sent) -> None:
        now, far_mm = self._clock(), sent.step.far_mm
        if now - sent.sent_s < self._timing.home_at_once_s:
            lasts_s = self._timing.home_s
            if far_mm:
                lasts_s = far_mm / self._timing.home_mm_per_s
            self._tell("home", f"A home was acknowledged at once; {lasts_s:.0f} s are left to it.")
            now += lasts_s
        sent.done_s = self._free_s = max(now, sent.done_s)

    def _busy(self, _: str) -> None:
        self._count["busy"] += 1
        waiting = next((sent for sent in self._ahead if not sent.acknowledged), None)
        if waiting is not None and self._clock() - waiting.done_s < self._timing.busy_s:
            self._awaited_s = self._clock()

    def _refused(self, text: str) -> None:
        self._halt(Cause.REFUSED, f"The controller refused line {self._last_line}: {text[:80]}")

    def _alarm(self, text: str) -> None:
        self._halt(Cause.ALARM, f"The controller reports an alarm: {text[:80]}")

    def _restarted(self, text: str) -> None:
        self._halt(Cause.RESTARTED, f"The controller has begun anew: {text[:80]}")

    def _echo(self, _: str) -> None:
        self._count["echoes"] += 1

    def _chatter(self, _: str) -> None:
        self._count["chatter"] += 1

    def _other(self, text: str) -> None:
        """What nothing explains may be the greeting of a controller that has begun anew."""
        self._count["other"] += 1
        self._halt(
            Cause.RESTARTED,
            f"The controller said what nothing explains, and may have begun anew: {text[:80]}",
        )

    def _port_gone(self) -> None:
        self._lost = True
        self._halt(Cause.LOST, "The port has gone: the cable is out or the controller off.")

    def _halt(self, cause: Cause, words: str) -> None:
        """Nothing more is sent from here on; only `go_on` and `begin_again` undo it."""
        by_hand = cause is Cause.STOPPED
        self._unsure |= not by_hand or bool(self._stop_bytes)
        if self._halted is None or (self._halted.cause is Cause.STOPPED and not by_hand):
            bound = self._bound()
            needs_home = self._unsure
            unsure = _unsure(self._ahead, needs_home)
            self._halted = Halted(cause, words, unsure, bound, self._last_line, needs_home)
            self._tell(cause.value, f"{words} {unsure} {bound}")
        self._changed.notify_all()

    def _bound(self) -> Bound:
        now = self._clock()
        self._let_go_of_done(now)
        moving = [sent for sent in self._ahead if sent.step.kind in MOVES]
        far = [sent.step.far_mm for sent in moving]
        known = [one for one in far if one is not None]
        homes_s = sum(self._timing.home_s for s in moving if s.step.kind is StepKind.HOME)
        late_s = sum(sent.step.seconds for sent in self._ahead if not sent.acknowledged)
        left_s = max(0.0, self._free_s - now, late_s) if self._ahead else 0.0
        mm = sum(known) if len(known) == len(far) else None
        return Bound(len(moving), mm, homes_s + left_s)

    def _tell(self, kind: str, words: str) -> None:
        with self._changed:
            self._events.append(Event(self._clock(), kind, words))
            del self._events[:-MOST_EVENTS]


_MEANS: dict[Answer, Callable[[Controller, str], None]] = {
    Answer.DONE: Controller._done,
    Answer.BUSY: Controller._busy,
    Answer.REFUSED: Controller._refused,
    Answer.ALARM: Controller._alarm,
    Answer.RESTARTED: Controller._restarted,
    Answer.ECHO: Controller._echo,
    Answer.CHATTER: Controller._chatter,
    Answer.OTHER: Controller._other,
}


def _unsure(ahead: list[_Sent], needs_home: bool) -> str:
    if needs_home:
        return "Where the axis is, is not known: it goes on only after a new home."
    moving = [sent.step for sent in ahead if sent.step.kind is StepKind.MOVE]
    if not moving or moving[-1].height_mm is None:
        return "The axis stands where it was told."
    return f"The axis comes to rest at {moving[-1].height_mm:.3f} mm, if the controller moves on."


def _must(allowed: str, remedy: str) -> InputError:
    return InputError(place="motion", value="halted", allowed=allowed, remedy=remedy)
