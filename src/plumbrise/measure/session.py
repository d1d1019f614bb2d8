"""A capture session: what to do now, what was typed for, and taking back. Values in, values out.

The session is the list of what the person did; everything else follows from it, so that any
number of acts can be taken back and a stored session goes on where it stopped.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from plumbrise.errors import InputError
from plumbrise.measure.acts import AGAIN, ANSWERS, Act, Did, played
from plumbrise.measure.at_hand import AS_DESCRIBED, AtHand
from plumbrise.measure.dial import Expected, Heard, heard
from plumbrise.measure.expecting import expected, suspicion
from plumbrise.readings import Reading, Readings, Run

LONGEST_NOTE = 500
BEYOND = "{:.2f} mm apart in one set-up: the plunger goes {:g} mm. Keep it, or read again?"


@dataclass(frozen=True, slots=True)
class Asks:
    """What the session wants now: the reading `reading` of run `run`. `begins` where the gauge has
    to be set up first; `last` is the reading before it in this run."""

    run: int
    reading: int
    begins: bool
    expected: Expected | None
    last: Reading | None


@dataclass(frozen=True, slots=True)
class Question:
    """A value that was heard, and what to ask about it before it is kept; empty if nothing."""

    heard: Heard
    words: str


@dataclass(frozen=True, slots=True)
class Session:
    """The plan, the gauge, and what was done so far.

    `counts_down` names the runs whose gauge shows less when what its tip rests on rises; what is
    kept is positive upwards all the same. `at_hand` is the gauge where it is not the machine
    file's, which `resolution_mm` and `turn_mm` are of.

    Example:
        >>> from plumbrise.machine import STATIONS
        >>> from plumbrise.readings.kinds import COARSE_STEPS
        >>> rows = tuple(Reading(seq=i, target_mm=i, reading_mm=None,
        ...                      approach="up" if i else "down") for i in range(3))
        >>> run = Run(name="a", kind=COARSE_STEPS, station=STATIONS["gantry-left"], readings=rows)
        >>> session = Session((run,)).keep("0").keep("0,64")
        >>> session.asks.reading, session.asks.expected.middle_mm
        (2, 1.39)
        >>> session.undo()[0].asks.reading
        1
    """

    planned: tuple[Run, ...]
    acts: tuple[Act, ...] = ()
    resolution_mm: float = 0.01
    turn_mm: float | None = None
    inches: bool = False
    counts_down: frozenset[str] = frozenset()
    at_hand: AtHand = AS_DESCRIBED
    _known: tuple[Run, ...] | None = field(default=None, init=False, repr=False, compare=False)

    @property
    def step_mm(self) -> float:
        """The smallest step of the gauge that reads."""
        return self.at_hand.resolution_mm or self.resolution_mm

    @property
    def dial_turn_mm(self) -> float | None:
        """What was said of a turn of the gauge in use; of one at hand nothing is."""
        return None if self.at_hand.resolution_mm else self.turn_mm

    # --- what there is ---------------------------------------------------------------------------

    @property
    def runs(self) -> tuple[Run, ...]:
        """The runs with what was read, repeated ones where they were asked for."""
        if self._known is None:  # played once: a page asks a dozen times for each reading
            object.__setattr__(self, "_known", played(self.planned, self.acts))
        assert self._known is not None
        return self._known

    @property
    def readings(self) -> Readings:
        """The runs in which something was read, as a table; what was never come to has no time."""
        answered, _ = self._answered()
        return Readings(
            tuple(
                replace(
                    run,
                    readings=tuple(
                        row if (number, i) in answered else replace(row, time_s=None)
                        for i, row in enumerate(run.readings)
                    ),
                )
                for number, run in enumerate(self.runs)
                if run.taken
            )
        )

    @property
    def asks(self) -> Asks | None:
        """What comes next; None when all is done."""
        runs = self.runs
        answered, closed = self._answered()
        for number, run in enumerate(runs):
            if number in closed:
                continue
            for reading in range(len(run.readings)):
                if (number, reading) not in answered:
                    begun = any(done == number for done, _ in answered)
                    last = next((r for r in reversed(run.readings[:reading]) if _read(r)), None)
                    return Asks(number, reading, not begun, expected(run, reading), last)
        return None

    def asks_in(self, run: int) -> bool:
        """Whether a run still asks for a reading."""
        answered, closed = self._answered()
        return run not in closed and any(
            (run, reading) not in answered for reading in range(len(self.runs[run].readings))
        )

    @property
    def answered(self) -> frozenset[tuple[int, int]]:
        """Run and reading of all that was read or passed over."""
        return frozenset(self._answered()[0])

    @property
    def last_read(self) -> tuple[int, int] | None:
        """Run and reading of the last kept or passed over; a note goes there."""
        placed = reversed(self.placed())
        return next(((run, a.reading) for a, run in placed if a.did in ANSWERS), None)

    @property
    def left(self) -> int:
        """How many readings are still asked for."""
        answered, closed = self._answered()
        return sum(
            (number, reading) not in answered
            for number, run in enumerate(self.runs)
            if number not in closed
            for reading in range(len(run.readings))
        )

    def _answered(self) -> tuple[set[tuple[int, int]], set[int]]:
        placed = self.placed()
        answered = {(run, act.reading) for act, run in placed if act.did in ANSWERS}
        # a worksheet that came half filled in
        answered |= {
            (number, reading)
            for number, run in enumerate(self.runs)
            for reading, row in enumerate(run.readings)
            if _read(row)
        }
        ends = (Did.SKIPPED, *AGAIN)
        return answered, {run for act, run in placed if act.did in ends}

    def placed(self) -> list[tuple[Act, int]]:
        """The acts with the number that their run has now: a run done again moves those after."""
        placed: list[tuple[Act, int]] = []
        for act in self.acts:
            if act.did in AGAIN:
                placed = [(one, run + (run > act.run)) for one, run in placed]
            placed.append((act, act.run))
        return placed

    # --- what a person does ----------------------------------------------------------------------

    def hear(self, text: str, *, at: tuple[int, int] | None = None) -> Question:
        """What typed text stands for, and what to ask before it is kept.

        Args:
            text: as typed.
            at: run and reading that it is for; what is asked for now if left out.

        Raises:
            InputError: text that is no reading; nothing is asked for any more.
        """
        if at is None:
            asks = self._asked()
            at = (asks.run, asks.reading)
        run = self.runs[at[0]]
        about = expected(run, at[1])
        found = heard(
            text,
            expected=about,
            resolution_mm=self.step_mm,
            turn_mm=self.dial_turn_mm,
            inches=self.inches,
            counts_down=run.name in self.counts_down,
        )
        return Question(found, self.doubt(found.value_mm, at))

    def doubt(self, value_mm: float, at: tuple[int, int]) -> str:
        """What to ask about a value before it is kept for this run and reading; empty if nothing:
        it is off what is expected, or further from the others than the plunger goes."""
        run, reading = self.runs[at[0]], at[1]
        others = [r.reading_mm for r in run.readings if r.reading_mm is not None]
        stroke, values = self.at_hand.stroke_mm, (*others, value_mm)
        if stroke is not None and max(values) - min(values) > stroke + self.step_mm:
            return BEYOND.format(max(values) - min(values), stroke)
        return suspicion(value_mm, expected(run, reading))

    def counting(self, run: int, *, down: bool) -> Session:
        """The same session, a run's gauge taken to count down from now on, or up again. What was
        kept of the run stays as it is."""
        name = {self.runs[run].name}
        counts = self.counts_down | name if down else self.counts_down - name
        return replace(self, counts_down=counts)

    def upwards(self, run: int, shown_mm: float) -> float:
        """What a gauge shows in a run, positive where its tip has risen."""
        return -shown_mm + 0.0 if self.runs[run].name in self.counts_down else shown_mm

    def keep(
        self, text: str, *, time_s: float | None = None, temp_c: float | None = None
    ) -> Session:
        """Keep what was typed; what is suspicious is kept too, for asking comes before."""
        return self.keep_value(self.hear(text).heard.value_mm, time_s=time_s, temp_c=temp_c)

    def keep_value(
        self,
        value_mm: float,
        *,
        time_s: float | None = None,
        temp_c: float | None = None,
        at: tuple[int, int] | None = None,
    ) -> Session:
        """Keep a value from a gauge that reads itself, or one that was typed a while ago.

        Args:
            value_mm: what the gauge showed.
            time_s: since the session began.
            temp_c: of the air.
            at: run and reading that it belongs to; what is asked for now if left out.
        """
        run, reading = self._open(at)
        return self._with(
            Act(
                did=Did.KEPT,
                run=run,
                reading=reading,
                value_mm=value_mm,
                time_s=time_s,
                temp_c=temp_c,
            )
        )

    def cannot_read(
        self, *, time_s: float | None = None, at: tuple[int, int] | None = None
    ) -> Session:
        """Go on without this reading, or without the one at another run and reading."""
        run, reading = self._open(at)
        return self._with(Act(did=Did.CANNOT_READ, run=run, reading=reading, time_s=time_s))

    def is_open(self, run: int, reading: int) -> bool:
        """True while this reading is still to be taken."""
        answered, closed = self._answered()
        return (
            0 <= run < len(self.runs)
            and 0 <= reading < len(self.runs[run].readings)
            and run not in closed
            and (run, reading) not in answered
        )

    def is_left(self, run: int) -> bool:
        """True for a run whose rest was left, that was done again or broken off."""
        return run in self._answered()[1]

    def skip(self, run: int | None = None) -> Session:
        """Leave the rest of this run, or of another that is open."""
        return self._end(Did.SKIPPED, run=run)

    def repeat(self, run: int | None = None) -> Session:
        """Leave this run, or another that is open, as it is, and do it again from its start."""
        return self._end(Did.REPEATED, run=run)

    def interrupted(self, why: str, run: int | None = None) -> Session:
        """Mark this run, or another that is open, as broken off by the machine; what was read
        stays, and the run is asked for again from its start."""
        return self._end(Did.INTERRUPTED, why, run=run)

    def note(self, words: str) -> Session:
        """A note on the last reading kept or passed over.

        Raises:
            InputError: no reading to note anything on, or a note too long.
        """
        if len(words) > LONGEST_NOTE:
            raise InputError(
                place="note",
                value=f"{len(words)} signs",
                allowed=f"up to {LONGEST_NOTE} signs",
                remedy="Write less here, and more beside the table.",
            )
        last = self.last_read
        if last is None:
            raise InputError(
                place="note", value=words, allowed="after a reading", remedy="Read something first."
            )
        return self._with(Act(did=Did.NOTED, run=last[0], reading=last[1], words=words))

    def mend(self, run: int, reading: int, text: str) -> Session:
        """Another value, as typed, for a reading that was kept or passed over.

        Raises:
            InputError: no such reading yet, or text that is no reading.
        """
        self._must_stand(run, reading)
        return self.mend_value(run, reading, self.hear(text, at=(run, reading)).heard.value_mm)

    def mend_value(self, run: int, reading: int, value_mm: float) -> Session:
        """Another value for a reading that was kept or passed over.

        Raises:
            InputError: no such reading yet.
        """
        self._must_stand(run, reading)
        return self._with(Act(did=Did.MENDED, run=run, reading=reading, value_mm=value_mm))

    def _must_stand(self, run: int, reading: int) -> None:
        answered, _ = self._answered()
        if (run, reading) not in answered:
            raise InputError(
                place="mending",
                value=f"reading {reading + 1} of set-up {run + 1}",
                allowed="a reading that was taken",
                remedy="Choose one that stands in the list.",
            )

    def undo(self) -> tuple[Session, Act | None]:
        """Take the last act back; with it, what was taken back, None if there was nothing."""
        if not self.acts:
            return self, None
        return replace(self, acts=self.acts[:-1]), self.acts[-1]

    def _open(self, at: tuple[int, int] | None) -> tuple[int, int]:
        if at is None:
            asks = self._asked()
            return asks.run, asks.reading
        if not self.is_open(*at):
            raise InputError(
                place="reading",
                value=f"reading {at[1] + 1} of set-up {at[0] + 1}",
                allowed="one that is still to be taken",
                remedy="It was taken or left meanwhile: mend it if it is wrong.",
            )
        return at

    def _asked(self) -> Asks:
        asks = self.asks
        if asks is None:
            raise InputError(
                place="reading",
                value="a reading",
                allowed="nothing more: all set-ups are done",
                remedy="Undo, repeat a run, or end the session.",
            )
        return asks

    def _end(self, did: Did, words: str = "", *, run: int | None = None) -> Session:
        asks = self._asked()
        at = (asks.run, asks.reading) if run is None else (run, self._first_open(run))
        return self._with(Act(did=did, run=at[0], reading=at[1], words=words))

    def _first_open(self, run: int) -> int:
        readings = range(len(self.runs[run].readings))
        return next((one for one in readings if self.is_open(run, one)), 0)

    def _with(self, act: Act) -> Session:
        following = replace(self, acts=(*self.acts, act))
        object.__setattr__(following, "_known", played(self.runs, (act,)))
        return following


def _read(reading: Reading) -> bool:
    return reading.reading_mm is not None
