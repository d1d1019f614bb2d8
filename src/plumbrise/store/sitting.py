"""A sitting at the machine: a capture session whose every act is on disk before it counts.

The terminal and the page both work through this, so that a stop at any moment leaves what was
acknowledged, and another sitting goes on from there. Two may be open at once: each sees what the
other did before it does anything itself, so that no reading is lost or kept twice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from typing import TypedDict, Unpack

from plumbrise.files.worksheet import blanked
from plumbrise.measure.acts import Act, Did
from plumbrise.measure.pairs import last_done
from plumbrise.measure.session import LONGEST_NOTE, Session
from plumbrise.readings import Reading, Run
from plumbrise.store.looked_at import LookedAt
from plumbrise.store.records import Kept
from plumbrise.store.resuming import left_with
from plumbrise.store.shelf import Shelf
from plumbrise.store.sitters import Beside, How, Overtaken


class When(TypedDict):
    """At which run and reading, and how long after the sitting began."""

    time_s: float | None
    at: tuple[int, int]


@dataclass(slots=True)
class Sitting:
    """One session and where it is kept.

    `since_s` gives the seconds since the sitting began; `session` is what was on disk when it was
    last looked at. Whatever is done raises Overtaken, and does nothing, where another program did
    something with the plan since.
    """

    shelf: Shelf
    machine_id: int
    plan_id: int
    session: Session
    since_s: Callable[[], float]
    label: str
    who: str = ""
    source: str = "keyboard"
    gauge_serial: str = ""
    programs: dict[str, str] = field(default_factory=dict)
    temp_c: float | None = None
    _disk: LookedAt = field(init=False)

    def __post_init__(self) -> None:
        self._disk = LookedAt(self.shelf, self.machine_id, self.plan_id)

    @classmethod
    def on(
        cls,
        shelf: Shelf,
        machine_id: int,
        plan_id: int,
        planned: Sequence[Run],
        **how: Unpack[How],
    ) -> Sitting:
        """Begin, or go on with, the set-ups of a plan that is on the shelf."""
        session = Session(blanked(planned), inches=how.get("inches", False))
        made = cls(
            shelf,
            machine_id,
            plan_id,
            session,
            how["since_s"],
            how["label"],
            who=how.get("who", ""),
            source=how.get("source", "keyboard"),
            gauge_serial=how.get("gauge_serial", ""),
        )
        made.session = made._disk.look(session)
        return made

    def catch_up(self) -> bool:
        """See what was done with this plan from elsewhere; False if nothing was."""
        if not self._disk.is_behind():
            return False
        self.session = self._disk.look(self.session)
        return True

    @contextmanager
    def together(self) -> Iterator[None]:
        """What is done within is one: on disk as a whole, or none of it and the session as it was.

        Raises:
            Overtaken: another program did something with this plan since.
        """
        before = self.session
        try:
            with self._disk.acting():
                yield
        except Overtaken:
            self.session = self._disk.look(before)
            raise
        except BaseException:
            self.session = before
            raise

    # --- what a person does, kept before it counts

    def keep(
        self,
        value_mm: float,
        *,
        at: tuple[int, int] | None = None,
        token: str | None = None,
        ago_s: float = 0.0,
    ) -> Act:
        """Keep a value; when this returns it is on disk.

        Args:
            value_mm: what the gauge showed.
            at: run and reading that it belongs to; what is asked for now if left out.
            token: the sender's own number for it, which `sent` knows from then on.
            ago_s: how long ago it was read, where it had to wait to be sent.
        """
        following = self.session.keep_value(
            value_mm, time_s=self._time_s(ago_s), temp_c=self.temp_c, at=at
        )
        return self._kept(following, token)

    def cannot_read(
        self, *, at: tuple[int, int] | None = None, token: str | None = None, ago_s: float = 0.0
    ) -> Act:
        """Go on without this reading."""
        return self._kept(self.session.cannot_read(time_s=self._time_s(ago_s), at=at), token)

    def take(self, read: Reading, *, at: tuple[int, int]) -> None:
        """Keep a reading that was written down elsewhere, with the time and note that it has."""
        when: When = {"time_s": read.time_s, "at": at}
        if read.reading_mm is None:
            following = self.session.cannot_read(**when)
        else:
            following = self.session.keep_value(read.reading_mm, temp_c=read.temp_c, **when)
        act = following.acts[-1]
        words = read.note.removeprefix(self._row(self.session, act).note).removeprefix("; ")
        if words:
            following = following.note(words[:LONGEST_NOTE])
        row = self._row(following, act)
        with self.together():
            self._put(following, act, replace(read, seq=row.seq, note=row.note), None)

    def mend(self, run: int, reading: int, value_mm: float, *, token: str | None = None) -> Act:
        """Put another value in the place of one that was kept."""
        following = self.session.mend_value(run, reading, value_mm)
        act = following.acts[-1]
        with self.together():
            kept = self.shelf.mend(
                self._run_id(following, act), self._row(following, act), token=token
            )
            self._acknowledge(following, kept)
        return act

    def mark(self, run: int, what: str, words: str) -> None:
        """Write beside a run what happened to it; the same words twice are written once."""
        run_id = self._disk.run_ids.get(self.session.runs[run].name)
        if run_id is None:
            return
        held = next(r for r in self.shelf.runs(self.machine_id) if r.id == run_id)
        if not any((m.what, m.words) == (what, words) for m in held.marks):
            with self.together():
                self.shelf.mark(run_id, what, words)

    def beside(self, at: tuple[int, int], came_mm: float | None) -> Beside:
        """Mark beside a reading that another value came for it, unless it is the same."""
        run, reading = at
        named = self.session.runs[run]
        stands = named.readings[reading].reading_mm
        if came_mm is not None and came_mm != stands:
            self.mark(run, "read twice", f"reading {reading + 1}: {came_mm:g} mm")
        return Beside(named.name, reading + 1, stands, came_mm)

    def place(self, name: str, reading: int) -> tuple[int, int]:
        """Run and reading; runs go by name, since a repeated one moves the others.

        Raises:
            Overtaken: the run was begun again, and that was taken back.
        """
        names = [run.name for run in self.session.runs]
        if name not in names:
            raise Overtaken
        return names.index(name), reading

    def sent(self, token: str) -> Kept | None:
        """What was kept under this number, in this sitting or one before, taken back since or not;
        None if it never arrived. Who sends a thing again asks this first."""
        return self._disk.sent.get(token)

    def last_kept(self) -> Kept | None:
        """What the next `undo` takes off the shelf; None where it takes back something else."""
        last = self.session.acts[-1] if self.session.acts else None
        if last is None or last.did not in (Did.KEPT, Did.CANNOT_READ, Did.MENDED):
            return None
        stands = self.shelf.kept(self._run_id(self.session, last))
        return max(stands, key=lambda one: one.id, default=None)

    def note(self, words: str) -> Act:
        """A note on the last reading."""
        following = self.session.note(words)
        act = following.acts[-1]
        row = self._row(following, act)
        with self.together():
            self.shelf.note(self._run_id(following, act), row.note, seq=row.seq)
            self.session = following
        return act

    def skip(self, run: int | None = None) -> Act:
        """Leave the rest of this run, or of another that is open."""
        return self._ended(self.session.skip(run))

    def repeat(self, run: int | None = None) -> Act:
        """Leave this run, or another that is open, as it is and do it again."""
        return self._ended(self.session.repeat(run))

    def interrupted(self, why: str, run: int | None = None) -> Act:
        """The machine broke this run, or another that is open, off: what was read stays, the run is
        asked for again."""
        return self._ended(self.session.interrupted(why, run))

    def undo(self) -> Act | None:
        """Take the last act back; it stays on disk, marked."""
        before = self.session
        following, act = before.undo()
        if act is None:
            return None
        with self.together():
            self._take_back(before, following, act)
            self.session = following
        return act

    def undo_all(self) -> list[Act | None]:
        """The last thing done taken back: with two gauges both readings of a target, as one."""
        self.session, count = last_done(self.session)
        with self.together():
            return [self.undo() for _ in range(count)]

    def _take_back(self, before: Session, following: Session, act: Act) -> None:
        run_id = self._run_id(before, act)
        if act.did in (Did.KEPT, Did.CANNOT_READ, Did.MENDED):
            if not following.is_left(act.run):
                self.shelf.go_on(run_id)
            last = self.last_kept()
            back = self.shelf.take_back(run_id, reading_id=last.id if last is not None else None)
            if back is not None and back.token is not None:
                self._disk.sent[back.token] = back
        elif act.did is Did.NOTED:
            row = self._row(following, act)
            self.shelf.note(run_id, row.note, seq=row.seq)
        else:
            self.shelf.go_on(run_id)

    def end_run_if_done(self) -> None:
        """Close the runs in which nothing is asked for any more."""
        while done := self._done():
            with suppress(Overtaken), self.together():
                for run_id in done:
                    self.shelf.end_run(run_id)

    def _done(self) -> list[int]:
        """The runs that are not ended and ask for nothing."""
        done = {
            run.name
            for number, run in enumerate(self.session.runs)
            if not self.session.asks_in(number)
        }
        ended = {r.id for r in self.shelf.runs(self.machine_id) if r.ended_at is not None}
        return [at for name, at in self._disk.run_ids.items() if name in done and at not in ended]

    # --- how it is kept

    def _time_s(self, ago_s: float) -> float:
        return round(max(0.0, self.since_s() - ago_s), 2)

    def _kept(self, following: Session, token: str | None) -> Act:
        act = following.acts[-1]
        with self.together():
            self._put(following, act, self._row(following, act), token)
        return act

    def _put(self, following: Session, act: Act, row: Reading, token: str | None) -> None:
        """A reading where there was none, or where a worksheet came without one."""
        run_id = self._run_id(following, act)
        if (run_id, row.seq) in self._disk.blanks:
            self.shelf.go_on(run_id)
            kept = self.shelf.mend(run_id, row, token=token)
        else:
            kept = self.shelf.keep(run_id, row, token=token)
        self._acknowledge(following, kept)

    def _acknowledge(self, following: Session, kept: Kept) -> None:
        if kept.token is not None:
            self._disk.sent[kept.token] = kept
        self.session = following

    def _ended(self, following: Session) -> Act:
        act = following.acts[-1]
        with self.together():
            self.shelf.end_run(self._run_id(following, act), words=left_with(act))
            self.session = following
        return act

    def _row(self, session: Session, act: Act) -> Reading:
        return session.runs[act.run].readings[act.reading]

    def _run_id(self, session: Session, act: Act) -> int:
        run = session.runs[act.run]
        if run.name not in self._disk.run_ids:
            self._disk.run_ids[run.name] = self.shelf.begin_run(
                self.machine_id,
                kind=run.kind,
                station=run.station,
                name=run.name,
                axis=run.axis,
                stand_on=run.stand_on,
                plan_id=self.plan_id,
                session=self.label,
                who=self.who,
                source=self.source,
                gauge_resolution_mm=session.step_mm,
                gauge_serial=self.gauge_serial,
                program=self.programs.get(run.name, ""),
            )
        return self._disk.run_ids[run.name]
