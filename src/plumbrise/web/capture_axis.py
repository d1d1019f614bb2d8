"""The axis as pages move it: a person's word before anything moves, and a stop that waits for none.

One thread drives. `stop` may come from any thread at any time: it takes no lock that anybody holds
while the axis moves or the disk is written. What was asked for before a stop is never done after
it: who asks says how many stops he knows of. He says too how many words were followed, so that a
press which the network brings twice, or one of a page that has not heard of another's, moves once.
While the axis moves some page has to look on, for a stop that nobody can press is none.
"""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from plumbrise.errors import InputError, InputErrors
from plumbrise.hardware.controller import Controller
from plumbrise.hardware.mover import Mover, Waits
from plumbrise.hardware.outcomes import Bound, Cause, Halted
from plumbrise.machine import Machine
from plumbrise.web import capture_words as words
from plumbrise.web.capture_standing import Asked, Does, Standing

AWAY_S = 2.0
"""So long after a page last looked on, a moving axis is stopped."""
LATE_S = 4.0
"""Nothing is moved for a page that had last heard so long ago how the axis stands, wherever its
word was held up: it asks every second, and waits so long for its answer."""
LOOK_S = 0.05


@dataclass(slots=True)
class Axis:
    """A controller and the one machine that it moves here.

    Args:
        controller: an open one; it is closed with this.
        again: opens it anew once its port has gone.
        from_elsewhere: whether other devices may move it too. All may stop it.
        at_rest: called when the axis has come to rest at a reading.
        standing: where the axis is.
        moves: the machine on the shelf that it moves, from its first move on.
        watchers: called at every change.
        clock: seconds that only go forward.
    """

    controller: Controller
    again: Callable[[], Controller]
    from_elsewhere: bool = False
    at_rest: Callable[[], None] = lambda: None
    clock: Callable[[], float] = time.monotonic
    standing: Standing = field(default_factory=Standing)
    moves: int | None = None
    watchers: list[Callable[[], None]] = field(default_factory=list)
    _mover: Mover | None = None
    _asked: Asked | None = None
    _last: Asked | None = None
    _seen_s: float = 0.0
    _changed: threading.Condition = field(default_factory=threading.Condition)
    _ends: threading.Event = field(default_factory=threading.Event)
    _threads: tuple[threading.Thread, ...] = ()

    def __post_init__(self) -> None:
        self._threads = tuple(
            threading.Thread(target=run, name=name, daemon=True)
            for name, run in (("axis", self._drive), ("axis-seen", self._watch))
        )
        for thread in self._threads:
            thread.start()

    def __enter__(self) -> Axis:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Stop, and let go of the port."""
        self.stop(words.BENCH_CLOSES)
        self._ends.set()
        with self._changed:
            self._changed.notify_all()
        for thread in self._threads:
            thread.join(timeout=5.0)
        self.controller.close()

    # --- from any thread

    def stop(self, why: str) -> Bound:
        """Send nothing more. Any number of times; what was asked for before is not done.

        At rest, with nothing unsure, the set-up can still go on after another word.
        """
        with self._changed:
            was = self.standing
            self.standing = replace(was, stops=was.stops + 1)
            mover, controller = self._mover, self.controller
        rests = was.does in (Does.WAITS, Does.STANDS)
        bound = controller.stop(why) if mover is None or rests else mover.stop(why)
        with self._changed:
            now = self.standing
            self.standing = replace(now, held=rests and now.does in (Does.WAITS, Does.STANDS))
            self._tell(now.does, now.words)
        return bound

    def seen(self) -> None:
        """A page looks on, and can stop it."""
        self._seen_s = self.clock()

    @property
    def bound(self) -> Bound:
        """The most that may still be moved."""
        return self.controller.bound

    def ask(self, asked: Asked, machine_id: int, machine: Machine) -> str:
        """Have something moved, once a person has said so; what is against it, empty if nothing."""
        with self._changed:
            against = self.against(asked, machine_id)
            if against:
                return against
            if self._mover is None or (asked.begin and self._mover.machine != machine):
                self._mover = Mover(self.controller, machine)
            self.moves = machine_id
            self.seen()
            self._asked = self._last = asked
            bound = self.controller.bound
            self.standing = replace(
                self.standing,
                plan=asked.plan,
                run=asked.run.name,
                presses=self.standing.presses + 1,
                held=False,
                reached=-1 if asked.begin else self.standing.reached,
                to=len(asked.run.readings) if asked.reading is None else asked.reading,
            )
            waits = words.WAITS_FOR_SENT.format(bound=bound) if bound.moves else ""
            self._tell(Does.MOVES, waits or (words.HOMES if asked.begin else ""))
            self._changed.notify_all()
        return ""

    def against(self, asked: Asked, machine_id: int) -> str:
        """What is against moving so now; empty if nothing."""
        standing = self.standing
        if asked.stops != standing.stops:
            return words.STOPPED_MEANWHILE
        if asked.presses != standing.presses:
            return words.ASKED_MEANWHILE
        if not 0.0 <= self.clock() - asked.heard_s <= LATE_S:
            return words.CAME_LATE
        if standing.does is Does.MOVES:
            return words.MOVES_ALREADY
        if self.moves not in (None, machine_id):
            return words.ANOTHER_MACHINE
        loaded = (standing.plan, standing.run) == (asked.plan, asked.run.name)
        if not asked.begin and not (loaded and standing.does in (Does.WAITS, Does.STANDS)):
            return words.BEGIN_FIRST
        return ""

    # --- the thread that drives

    def _drive(self) -> None:
        while not self._ends.is_set():
            with self._changed:
                asked = self._asked
                if asked is None:
                    self._changed.wait()
                    continue
            try:
                mover = self._ready(asked)
                if mover is None:
                    self._stopped(asked, words.STOPPED)
                elif asked.reading is None:
                    self._came(asked, mover.finish())
                else:
                    self._came(asked, mover.go(asked.reading))
            except (InputError, InputErrors) as problem:
                self._stopped(asked, str(problem))
            except Exception:  # whatever broke: the axis is stopped, and the next is driven
                logging.getLogger("plumbrise").exception("the axis")
                self.stop(words.FAULT_OF_OURS)
                self._stopped(asked, words.FAULT_OF_OURS)

    def _ready(self, asked: Asked) -> Mover | None:
        """What drives, ready to; None where a stop came first."""
        self._open_again()
        with self._changed:  # a stop comes before all of this, or after it
            if self._mover is None or asked.stops != self.standing.stops:
                return None
            if asked.begin:
                self._mover.begin(asked.run)
            else:
                self.controller.go_on()
            return self._mover

    def _open_again(self) -> None:
        halted = self.controller.halted
        if halted is None or halted.cause is not Cause.LOST:
            return
        self.controller.close()
        opened = self.again()
        with self._changed:
            self.controller = opened
            if self._mover is not None:
                self._mover = Mover(opened, self._mover.machine)

    def _came(self, asked: Asked, came: Waits | Halted | None) -> None:
        if isinstance(came, Halted):
            self._stopped(asked, came.words, f"{came.words} {came.bound} {came.unsure}".rstrip())
        elif isinstance(came, Waits):
            said = asked.gauge if came.gauge else came.words
            self._rests(asked, Does.WAITS, said)
        elif asked.reading is None:
            self._rests(asked, Does.IDLE, "")
        else:
            self.at_rest()
            self._rests(asked, Does.STANDS, "")

    def _rests(self, asked: Asked, does: Does, said: str) -> None:
        with self._changed:
            stopped = asked.stops != self.standing.stops
            if not stopped:
                reached = self._mover.reached if self._mover is not None else -1
                self.standing = replace(self.standing, reached=reached)
                self._asked = None
                self._tell(does, said)
        if stopped:  # as it came to rest
            self._stopped(asked, words.STOPPED)

    def _stopped(self, asked: Asked, why: str, said: str = "") -> None:
        said = said or f"{why} {self.controller.bound}"
        try:
            asked.broken_off(why)  # before the page can ask for more
        except InputError as problem:
            said = f"{said} {words.NOT_MARKED} {problem}"
        except Exception:  # that motion has ended is told all the same, and the next is driven
            logging.getLogger("plumbrise").exception("the axis")
            said = f"{said} {words.NOT_MARKED}"
        with self._changed:
            if asked is not self._last:
                return  # another set-up was asked for meanwhile
            self._asked = None
            self.standing = replace(self.standing, held=False)
            self._tell(Does.STOPPED, said)

    def _tell(self, does: Does, said: str) -> None:
        self.standing = replace(self.standing, does=does, words=said)
        for watcher in list(self.watchers):
            watcher()

    # --- the thread that sees whether anybody looks on, and what happens while it stands

    def _watch(self) -> None:
        while not self._ends.wait(LOOK_S):
            does = self.standing.does
            if does is Does.MOVES and self.clock() - self._seen_s > AWAY_S:
                self.stop(words.NOBODY_LOOKS_ON)
                self.seen()
            elif does in (Does.WAITS, Does.STANDS):
                self._look_at_rest()

    def _look_at_rest(self) -> None:
        """An alarm, a pulled cable, or a stop whose bytes have moved something: begin anew."""
        halted, last = self.controller.halted, self._last
        if halted is None or last is None or not halted.needs_home:
            return
        with self._changed:
            if self.standing.does not in (Does.WAITS, Does.STANDS):
                return
            self.standing = replace(self.standing, stops=self.standing.stops + 1)
        self._stopped(last, halted.words, f"{halted.words} {halted.bound} {halted.unsure}".rstrip())
