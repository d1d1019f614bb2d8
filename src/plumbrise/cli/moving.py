"""Moving the axis from one reading to the next while readings are taken at the terminal."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from plumbrise.errors import InputError
from plumbrise.hardware.controller import Controller
from plumbrise.hardware.outcomes import AtStop, Bound, Finished, Halted
from plumbrise.machine import Machine
from plumbrise.measure.fingerprint import fingerprint
from plumbrise.measure.motion_program import motion_program
from plumbrise.readings import Run


@dataclass(slots=True)
class Mover:
    """Runs the motion program of a set-up up to the reading that is asked for.

    `wait` is called at every stop of a program that is not a reading, with the words to say; it
    returns when the person says so. `run` names the set-up whose program is loaded, `reached` is
    the last reading that the axis came to.
    """

    controller: Controller
    machine: Machine
    wait: Callable[[str], None]
    run: str = ""
    reached: int = -1
    _stops: dict[int, int] = field(default_factory=dict)

    @property
    def program(self) -> str:
        """The fingerprint of the machine that programs are made for."""
        return fingerprint(self.machine)

    def go(self, run: Run, reading: int, mounting: str) -> Halted | None:
        """Move on to a reading of a set-up; None once the axis stands there.

        A reading that the axis has passed is not moved to: it stays where it is. `mounting` says
        how the gauge is set, where the program waits for that.

        Raises:
            InputError: the program is refused, or the port has gone.
        """
        if self.run != run.name:
            halted = self.finish()
            if halted is not None:
                return halted
            self._load(run)
        while self.reached < reading:
            came = self.controller.next_stop()
            if isinstance(came, Halted):
                return self._halted(came)
            if isinstance(came, Finished):
                self.run = ""
                raise InputError(
                    place="motion program",
                    value=run.name,
                    allowed="a stop for every reading",
                    remedy="Do this set-up again (r).",
                )
            self._at(came, mounting)
        return None

    def finish(self) -> Halted | None:
        """Run the loaded program to its end, so that what is the person's own is sent too. One that
        was left before its last reading is dropped where it stands: nobody asked for more of its
        moves."""
        if self.reached < max(self._stops.values(), default=-1):
            self.run = ""
        while self.run:
            came = self.controller.next_stop()
            if isinstance(came, Halted):
                return self._halted(came)
            if isinstance(came, Finished):
                self.run = ""
            else:
                self._at(came, "")
        return None

    def stop(self, why: str) -> Bound:
        """Send nothing more; the loaded program is dropped."""
        self.run, self.reached = "", -1
        return self.controller.stop(why)

    def _at(self, came: AtStop, mounting: str) -> None:
        if came.line in self._stops:
            self.reached = self._stops[came.line]  # read or passed over before, unless asked for
            return
        self.wait(mounting if self.reached < 0 else came.says or "The axis waits.")

    def _load(self, run: Run) -> None:
        program = motion_program(self.machine, run, wait="stop", sender_waits=True)
        if self.controller.halted is not None:
            self.controller.begin_again()
        self.controller.load(self.machine, program.text)
        self._stops = {told.line: told.index for told in program.readings}
        self.run, self.reached = run.name, -1

    def _halted(self, halted: Halted) -> Halted:
        self.run, self.reached = "", -1
        return halted
