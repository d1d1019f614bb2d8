"""What was sent to a motion controller and heard from it: what each answer means, and what halts.

Sender and listener share it under one lock, `changed`, which every method expects to be held or
takes itself.
"""

from __future__ import annotations

import threading
from collections.abc import Callable

from plumbrise.hardware.ahead import Ahead
from plumbrise.hardware.answers import Answer, answer
from plumbrise.hardware.lines import Line, LineKind
from plumbrise.hardware.outcomes import Bound, Cause, Event, Halted, SentCounts, Timing
from plumbrise.hardware.steps import MOVES, Step, StepKind

MOST_EVENTS = 500
REMEMBERED_LINES = 4
"""Lines sent lately, to know an echo by."""


class Conversation:
    """All that passed over one port since it was opened.

    `halted` says why nothing is sent, `lost` that the port has gone, `last_line` which line of the
    program went out last, `count` and `events` what there was. With `stops_unsure` a stop by hand
    leaves the axis where nobody knows.
    """

    def __init__(
        self,
        timing: Timing,
        clock: Callable[[], float],
        *,
        chatter: tuple[str, ...],
        stops_unsure: bool,
    ) -> None:
        self.changed = threading.Condition()
        self.halted: Halted | None = None
        self.lost = False
        self.last_line = 0
        self.count = dict.fromkeys(SentCounts.__dataclass_fields__, 0)
        self.events: list[Event] = []
        self._timing, self._clock = timing, clock
        self._chatters, self._stops_unsure = chatter, stops_unsure
        self._unsure = False
        self._last_sent: tuple[str, ...] = ()
        self._greeting: frozenset[str] | None = None
        self._greeted: list[str] = []
        self._heard_s = self._awaited_s = clock()
        self._ahead = Ahead(timing, self._heard_s)
        self._doubled_since_rest = False

    # sending

    def wait(self, ready: Callable[[], float]) -> Halted | None:
        """Until `ready` says 0, the seconds it is to be asked again after; or halted."""
        with self.changed:
            while True:
                self._see_silence()
                if self.halted is not None:
                    return self.halted
                left_s = ready()
                if left_s <= 0:
                    return None
                self.changed.wait(min(left_s, 0.05))

    def may_send(self, step: Step) -> float:
        """Seconds until this step may go out; every wait here is under the lock."""
        now = self._clock()
        self._ahead.let_go_of_done(now)
        if self._ahead.waiting is not None:
            return 0.05
        quiet = self._timing.quiet_s if self._doubled_since_rest else self._timing.guard_s
        left_s = self._heard_s + quiet - now
        moving = self._ahead.moving
        if step.kind in MOVES and len(moving) > 1:
            left_s = max(left_s, moving[-2].done_s - now)
        return left_s

    def at_rest(self) -> float:
        """Seconds until all that was sent may be reckoned done."""
        now = self._clock()
        self._ahead.let_go_of_done(now)
        if self._ahead.lines:
            return max(0.005, min(self._ahead.lines[-1].done_s - now, 0.05))
        left_s = self._heard_s + self._timing.guard_s - now
        if left_s <= 0:
            self._doubled_since_rest = False
        return left_s

    def sends(self, step: Step) -> None:
        """This step goes out now."""
        now = self._clock()
        self._ahead.sends(step, now)
        self._last_sent = (*self._last_sent, step.send.upper())[-REMEMBERED_LINES:]
        self.last_line, self._awaited_s = step.line, now
        self.count["sent"] += 1

    def _see_silence(self) -> None:
        waiting = self._ahead.waiting
        if waiting is None or self.halted is not None:
            return
        now, own = self._clock(), waiting.step
        allowed_s = self._timing.home_s if own.kind is StepKind.HOME else self._timing.silence_s
        since_s = max(self._awaited_s, waiting.done_s)
        if now - since_s > allowed_s:
            bad = self.count["damaged"]
            baud = f" {bad} damaged lines came: the baud rate may be wrong." if bad else ""
            self.halt(
                Cause.SILENT,
                f"Line {own.line} was not acknowledged within {now - since_s:.0f} s.{baud}",
            )

    # hearing

    def take_greeting(self) -> None:
        """Wait until nothing has come for a while: some controllers begin anew on opening."""
        with self.changed:
            began = self._clock()
            while not self.halted and self._clock() - began < 4 * self._timing.greet_s:
                left_s = max(self._heard_s, began) + self._timing.greet_s - self._clock()
                if left_s <= 0:
                    break
                self.changed.wait(min(left_s, 0.05))
            once = [line for line in self._greeted if self._greeted.count(line) == 1]
            self._greeting = frozenset(once)

    def hears(self, line: Line) -> None:
        """A line came."""
        if line.kind is not LineKind.TEXT:
            self.count["damaged"] += 1
            self.tell("damaged", "A damaged line came and was left out.")
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
        waiting = self._ahead.waiting
        if waiting is None:
            self.count["doubled"] += 1
            self._doubled_since_rest = True
            self.tell("doubled", "An acknowledgement came that no line waits for; left out.")
            return
        waiting.acknowledged = True
        self.count["done"] += 1
        if waiting.step.kind is StepKind.HOME:
            lasts_s = self._ahead.home_acknowledged(waiting, self._clock())
            if lasts_s:
                self.tell(
                    "home", f"A home was acknowledged at once; {lasts_s:.0f} s are left to it."
                )

    def _busy(self, _: str) -> None:
        self.count["busy"] += 1
        waiting = self._ahead.waiting
        if waiting is not None and self._clock() - waiting.done_s < self._timing.busy_s:
            self._awaited_s = self._clock()

    def _refused(self, text: str) -> None:
        self.halt(Cause.REFUSED, f"The controller refused line {self.last_line}: {text[:80]}")

    def _alarm(self, text: str) -> None:
        self.halt(Cause.ALARM, f"The controller reports an alarm: {text[:80]}")

    def _restarted(self, text: str) -> None:
        self.halt(Cause.RESTARTED, f"The controller has begun anew: {text[:80]}")

    def _echo(self, _: str) -> None:
        self.count["echoes"] += 1

    def _chatter(self, _: str) -> None:
        self.count["chatter"] += 1

    def _other(self, text: str) -> None:
        """What nothing explains may be the greeting of a controller that has begun anew."""
        self.count["other"] += 1
        self.halt(
            Cause.RESTARTED,
            f"The controller said what nothing explains, and may have begun anew: {text[:80]}",
        )

    # halting, and after it

    def port_gone(self) -> None:
        """Nothing more comes or goes."""
        with self.changed:
            self.lost = True
            self.halt(Cause.LOST, "The port has gone: the cable is out or the controller off.")

    def halt(self, cause: Cause, words: str) -> None:
        """Nothing more is sent from here on; only `go_on` and `begin_again` undo it."""
        by_hand = cause is Cause.STOPPED
        self._unsure |= not by_hand or self._stops_unsure
        if self.halted is None or (self.halted.cause is Cause.STOPPED and not by_hand):
            bound = self.bound()
            needs_home = self._unsure
            unsure = NOT_KNOWN if needs_home else self._ahead.comes_to_rest()
            self.halted = Halted(cause, words, unsure, bound, self.last_line, needs_home)
            self.tell(cause.value, f"{words} {unsure} {bound}")
        self.changed.notify_all()

    @property
    def is_unsure(self) -> bool:
        """Whether it goes on only after a new home."""
        return self._unsure or (self.halted is not None and self.halted.needs_home)

    def rests(self) -> None:
        """Wait until all that was sent is reckoned done, or the port has gone."""
        while not self.lost:
            rests_s = max(self._ahead.free_s, self._heard_s + self._timing.quiet_s)
            if rests_s <= self._clock():
                break
            self.changed.wait(min(rests_s - self._clock(), 0.05))

    def goes_on(self) -> None:
        """After a halt, with nothing unsure."""
        self.halted, self._unsure = None, False

    def begins_anew(self) -> None:
        """After a halt, from a home: nothing that was sent counts any more."""
        self.goes_on()
        self._ahead.lines.clear()
        self._doubled_since_rest = True  # what still comes is no answer to what follows

    def bound(self) -> Bound:
        """The most that may still be moved by what was sent."""
        return self._ahead.bound(self._clock())

    def tell(self, kind: str, words: str) -> None:
        """Write down what happened."""
        with self.changed:
            self.events.append(Event(self._clock(), kind, words))
            del self.events[:-MOST_EVENTS]


NOT_KNOWN = "Where the axis is, is not known: it goes on only after a new home."
_MEANS: dict[Answer, Callable[[Conversation, str], None]] = {
    Answer.DONE: Conversation._done,
    Answer.BUSY: Conversation._busy,
    Answer.REFUSED: Conversation._refused,
    Answer.ALARM: Conversation._alarm,
    Answer.RESTARTED: Conversation._restarted,
    Answer.ECHO: Conversation._echo,
    Answer.CHATTER: Conversation._chatter,
    Answer.OTHER: Conversation._other,
}
