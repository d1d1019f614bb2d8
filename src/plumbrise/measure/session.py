"""A capture session: what to do now, what was typed for, and taking back. Values in, values out.

The session is the list of what the person did; everything else follows from it, so that any
number of acts can be taken back and a stored session goes on where it stopped.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from enum import Enum

from plumbrise.errors import InputError
from plumbrise.measure.dial import Expected, Heard, heard
from plumbrise.readings import Reading, Readings, Run
from plumbrise.readings.kinds import DEAD_WEIGHT, GAUGE_CHECK, REPEAT_HOME

SPAN_MM = 0.35
"""How far a reading may lie off what is expected before it is asked about: most of what an axis
loses at a turn (a choice, no source)."""
TURN_MM, TURN_LAG_MM, TURN_SPAN_MM = 3.0, 0.25, 0.6
"""Within so much travel of a turn a reading lags by about this much, and may lag by the span more:
the axis is taking up what it loses (a choice, no source)."""
SPAN_SAME_MM = 0.12
"""The same where this height was read before from this direction."""
LONGEST_NOTE = 500


class Did(Enum):
    """What a person did."""

    KEPT = "kept"
    CANNOT_READ = "cannot read"
    SKIPPED = "skipped the rest"
    REPEATED = "repeated the run"
    NOTED = "noted"
    MENDED = "mended"
    INTERRUPTED = "interrupted"


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One thing done: at which run of the session (in order begun) and which reading of it.

    `time_s` is the time since the session began, `value_mm` what was kept or mended, `words` a
    note.
    """

    did: Did
    run: int
    reading: int
    value_mm: float | None = None
    time_s: float | None = None
    temp_c: float | None = None
    words: str = ""


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
    _known: tuple[Run, ...] | None = field(default=None, init=False, repr=False, compare=False)

    # --- what there is ---------------------------------------------------------------------------

    @property
    def runs(self) -> tuple[Run, ...]:
        """The runs with what was read, repeated ones where they were asked for."""
        if self._known is None:  # played once: a page asks a dozen times for each reading
            object.__setattr__(self, "_known", _played(self.planned, self.acts))
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
        last = next((a for a in reversed(self.acts) if a.did in (Did.KEPT, Did.CANNOT_READ)), None)
        return None if last is None else (last.run, last.reading)

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
        answered = {(a.run, a.reading) for a in self.acts if a.did in (Did.KEPT, Did.CANNOT_READ)}
        # a worksheet that came half filled in
        answered |= {
            (number, reading)
            for number, run in enumerate(self.runs)
            for reading, row in enumerate(run.readings)
            if _read(row)
        }
        ends = (Did.SKIPPED, Did.REPEATED, Did.INTERRUPTED)
        return answered, {a.run for a in self.acts if a.did in ends}

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
            about = asks.expected
        else:
            about = expected(self.runs[at[0]], at[1])
        found = heard(
            text,
            expected=about,
            resolution_mm=self.resolution_mm,
            turn_mm=self.turn_mm,
            inches=self.inches,
        )
        return Question(found, suspicion(found.value_mm, about))

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

    def skip(self) -> Session:
        """Leave the rest of this run."""
        return self._end(Did.SKIPPED)

    def repeat(self) -> Session:
        """Leave this run as it is, and do it again from its start."""
        return self._end(Did.REPEATED)

    def interrupted(self, why: str) -> Session:
        """Mark this run as broken off by the machine; what was read stays, and the run is asked
        for again from its start."""
        return self._end(Did.INTERRUPTED, why)

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
        last = next((a for a in reversed(self.acts) if a.did in (Did.KEPT, Did.CANNOT_READ)), None)
        if last is None:
            raise InputError(
                place="note", value=words, allowed="after a reading", remedy="Read something first."
            )
        return self._with(Act(did=Did.NOTED, run=last.run, reading=last.reading, words=words))

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

    def _end(self, did: Did, words: str = "") -> Session:
        asks = self._asked()
        return self._with(Act(did=did, run=asks.run, reading=asks.reading, words=words))

    def _with(self, act: Act) -> Session:
        following = replace(self, acts=(*self.acts, act))
        object.__setattr__(following, "_known", _played(self.runs, (act,)))
        return following


def expected(run: Run, reading: int) -> Expected | None:
    """What a reading of a run should be about, from those before it; None for the first."""
    row = run.readings[reading]
    before = [r for r in run.readings[:reading] if _read(r)]
    if not before:
        return None
    same = [
        r
        for r in before
        if r.target_mm == row.target_mm
        and r.approach == row.approach
        and (r.mass_kg, r.force_n) == (row.mass_kg, row.force_n)
    ]
    if same and run.kind not in (DEAD_WEIGHT, REPEAT_HOME):
        return Expected(same[-1].reading_mm or 0.0, SPAN_SAME_MM)
    last = before[-1]
    moves = run.follows_command or run.kind is GAUGE_CHECK
    way = row.target_mm - last.target_mm if moves else 0.0
    middle, span = (last.reading_mm or 0.0) + way, SPAN_MM
    if (
        run.follows_command
        and run.kind is not REPEAT_HOME
        and (_since_turn_mm(run, reading) <= TURN_MM)
    ):
        middle -= TURN_LAG_MM if row.approach == "up" else -TURN_LAG_MM
        span = TURN_SPAN_MM
    return Expected(round(middle, 6), span)


def _since_turn_mm(run: Run, reading: int) -> float:
    """How far the axis has been told to go since it last turned, or since the run began."""
    row = run.readings[reading]
    turned = next(
        (r for r in reversed(run.readings[:reading]) if r.approach != row.approach),
        run.readings[0],
    )
    return abs(row.target_mm - turned.target_mm)


def suspicion(value_mm: float, about: Expected | None) -> str:
    """What to ask about a value that is off what is expected; empty where it is not.

    Example:
        >>> suspicion(1.44, Expected(1.0, 0.3))
        '0.14 mm outside what was expected (0.70 to 1.30). Keep it, or read again?'
    """
    off = about.far_off_mm(value_mm) if about is not None else 0.0
    if about is None or off <= 0:
        return ""
    low, high = about.middle_mm - about.span_mm, about.middle_mm + about.span_mm
    return (
        f"{off:.2f} mm outside what was expected ({low:.2f} to {high:.2f}). Keep it, or read again?"
    )


def _read(reading: Reading) -> bool:
    return reading.reading_mm is not None


def _played(planned: Sequence[Run], acts: Iterable[Act]) -> tuple[Run, ...]:
    """The runs after these acts, in the order of the acts."""
    runs = list(planned)
    for act in acts:
        if act.did in (Did.REPEATED, Did.INTERRUPTED):
            runs.insert(act.run + 1, _again(runs, act.run))
        rows = list(runs[act.run].readings)
        rows[act.reading] = _changed(rows[act.reading], act)
        runs[act.run] = replace(runs[act.run], readings=tuple(rows))
    return tuple(runs)


def _changed(row: Reading, act: Act) -> Reading:
    """What an act makes of the reading that it was done at."""
    if act.did is Did.KEPT:
        return replace(row, reading_mm=act.value_mm, time_s=act.time_s, temp_c=act.temp_c)
    if act.did is Did.MENDED:
        return replace(row, reading_mm=act.value_mm)
    if act.did is Did.CANNOT_READ:
        return replace(row, time_s=act.time_s)
    if act.did in (Did.NOTED, Did.INTERRUPTED) and act.words:
        return replace(row, note=f"{row.note}; {act.words}" if row.note else act.words)
    return row


def _again(runs: Sequence[Run], number: int) -> Run:
    """The same set-up with nothing read, under a name of its own."""
    run = runs[number]
    stem = run.name.rsplit(" again", maxsplit=1)[0]
    taken = {r.name for r in runs}
    name = next(n for i in range(1, 1000) if (n := f"{stem} again {i}") not in taken)
    blank = tuple(
        replace(r, reading_mm=None, time_s=None, temp_c=None, note="") for r in run.readings
    )
    return replace(run, name=name, readings=blank)
