"""Moving the axis from one reading to the next, for whoever takes the readings.

One thread drives with `go`; any thread may `stop`. After a stop nothing moves until a person has
said so again and `begin` was called: no wait, retry or late answer starts motion by itself.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from plumbrise.errors import InputError
from plumbrise.hardware.controller import Controller
from plumbrise.hardware.outcomes import AtStop, Bound, Finished, Halted
from plumbrise.machine import Machine
from plumbrise.measure.fingerprint import fingerprint
from plumbrise.measure.motion_program import motion_program
from plumbrise.readings import Run


@dataclass(frozen=True, slots=True)
class Waits:
    """The program waits at a stop that is no reading. `gauge` where the gauge is to be set now;
    else `words` say what for. Once the person has said so, `go` again goes on."""

    gauge: bool
    words: str


@dataclass(slots=True)
class Mover:
    """Runs the motion program of a set-up up to the reading that is asked for.

    `run` names the set-up whose program is loaded, `reached` is the last reading that the axis
    came to, counted from 0. `begin`, `go` and `finish` are for one thread at a time; all else may
    be asked from any.

    Example:
        After a person has said that all is clear, from the thread that drives:

            mover.begin(run)
            while isinstance(came := mover.go(reading), Waits):
                ...  # say the words, wait for the person
            # None: at rest, take the reading; Halted: motion has stopped

        and from any other, at any time:

            bound = mover.stop("Stopped by hand.")
    """

    controller: Controller
    machine: Machine
    run: str = ""
    reached: int = -1
    _next: Run | None = None
    _may_move: bool = False
    _why: str = ""
    _stops: dict[int, int] = field(default_factory=dict)

    @property
    def halted(self) -> Halted | None:
        """Why nothing is sent, or None."""
        return self.controller.halted

    @property
    def bound(self) -> Bound:
        """The most that may still be moved by what was sent so far."""
        return self.controller.bound

    @property
    def program(self) -> str:
        """The fingerprint of the machine that programs are made for."""
        return fingerprint(self.machine)

    def begin(self, run: Run) -> None:
        """A person has said that this set-up may move: `go` does from now on, from its home."""
        self._next, self._may_move = run, True

    def go(self, reading: int) -> Waits | Halted | None:
        """Move on to a reading, counted from 0, of the set-up begun; None once the axis stands
        there.

        Blocks until then, or until a stop of the program or of anybody. A reading that the axis
        has passed is not moved to: it stays where it is.

        Raises:
            InputError: the program is refused; the port has gone; nothing was begun.
            InputErrors: all that the check refuses.
        """
        came = self._gone(reading)
        if not self._may_move:
            came = self.halted or came  # stopped as it came to rest
        return came

    def finish(self) -> Waits | Halted | None:
        """Run the loaded program to its end, so that what is the person's own is sent too; None
        once it is. One that was left before its last reading is dropped where it stands: nobody
        asked for more of its moves."""
        if self.reached < max(self._stops.values(), default=-1):
            self.run = ""
        while self.run:
            came = self._moved()
            if isinstance(came, Halted):
                return came
            if isinstance(came, Finished):
                self.run = ""
            elif came.line not in self._stops:
                return self._waits(came)
        return None

    def stop(self, why: str = "Stopped by hand.") -> Bound:
        """Send nothing more; says what may still be moved. Live from any thread at any time."""
        self._why, self._may_move = why, False  # before the controller: it may be halted already
        bound = self.controller.stop(why)
        self._drop()
        return bound

    def _gone(self, reading: int) -> Waits | Halted | None:
        begun = self._next
        if begun is not None:
            came = self.finish()
            if came is not None:
                return came
            self._load(begun)
        elif not self.run and self.halted is None:
            raise _not_begun()
        self._next = None
        while self.reached < reading:
            came_to = self._moved()
            if isinstance(came_to, Halted):
                return came_to
            if isinstance(came_to, Finished):
                raise self._no_stop_for_it()
            if came_to.line not in self._stops:
                return self._waits(came_to)
            self.reached = self._stops[came_to.line]  # read or passed over before, unless asked for
        return None

    def _moved(self) -> AtStop | Finished | Halted:
        """On to the next stop of the program, unless somebody has stopped."""
        if not self._may_move and self.halted is None:
            self.controller.stop(self._why)  # said while an earlier halt was being ended: it holds
        came = self.controller.next_stop()
        if isinstance(came, Halted):
            self._drop()
        return came

    def _load(self, run: Run) -> None:
        program = motion_program(self.machine, run, wait="stop", sender_waits=True)
        if self.halted is not None:
            self.controller.begin_again()
        try:
            self.controller.load(self.machine, program.text)
        except InputError:
            if self._may_move:
                raise
        self._stops = {told.line: told.index for told in program.readings}
        self.run, self.reached = run.name, -1

    def _waits(self, came: AtStop) -> Waits:
        return Waits(self.reached < 0, came.says or "The axis waits.")

    def _drop(self) -> None:
        self._next, self.run, self.reached = None, "", -1

    def _no_stop_for_it(self) -> InputError:
        name, self.run = self.run, ""
        return InputError(
            place="motion program",
            value=name,
            allowed="a stop for every reading",
            remedy="Do this set-up again (r).",
        )


def _not_begun() -> InputError:
    return InputError(
        place="motion",
        value="nothing begun",
        allowed="a set-up that a person has said may move",
        remedy="Begin the set-up.",
    )
