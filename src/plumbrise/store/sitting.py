"""A sitting at the machine: a capture session whose every act is on disk before it counts.

The terminal and the page both work through this, so that a stop at any moment leaves what was
acknowledged, and another sitting goes on from there.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import NotRequired, TypedDict, Unpack

from plumbrise.machine import Machine
from plumbrise.measure.session import Act, Did, Session
from plumbrise.readings import Reading, Run
from plumbrise.store.records import Kept
from plumbrise.store.resuming import left_with, own_name, resumed
from plumbrise.store.shelf import Shelf


class How(TypedDict):
    """Who reads with what, and since when: `since_s` gives the seconds since the sitting began,
    `label` names it, `source` says where readings come from, `gauge_serial` tells this gauge from
    others, `inches` says what it shows."""

    since_s: Callable[[], float]
    label: str
    who: NotRequired[str]
    source: NotRequired[str]
    gauge_serial: NotRequired[str]
    inches: NotRequired[bool]


@dataclass(slots=True)
class Sitting:
    """One session and where it is kept.

    `since_s` gives the seconds since the sitting began; `session` is always what is on disk.
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
    _run_ids: dict[str, int] = field(default_factory=dict)
    _sent: dict[str, Kept] = field(default_factory=dict)

    @classmethod
    def begin(
        cls,
        shelf: Shelf,
        machine: Machine,
        planned: Sequence[Run],
        *,
        plan_text: str,
        **how: Unpack[How],
    ) -> Sitting:
        """Begin, or go on with what is kept of the same plan on the same machine.

        Args:
            shelf: where it is kept.
            machine: the axis; one with the same description is used if it is there.
            planned: the set-ups, in order.
            plan_text: what tells this plan from others, the worksheet itself.
            how: who reads with what; see `How`.
        """
        machine_id = _machine_id(shelf, machine)
        plan_id = next((p.id for p in shelf.plans(machine_id) if p.text == plan_text), None)
        if plan_id is None:
            plan_id = shelf.add_plan(machine_id, plan_text)
        return cls.on(shelf, machine_id, plan_id, planned, **how)

    @classmethod
    def on(
        cls,
        shelf: Shelf,
        machine_id: int,
        plan_id: int,
        planned: Sequence[Run],
        *,
        since_s: Callable[[], float],
        label: str,
        who: str = "",
        source: str = "keyboard",
        gauge_serial: str = "",
        inches: bool = False,
    ) -> Sitting:
        """Begin, or go on with, the set-ups of a plan that is on the shelf."""
        machine = shelf.machine(machine_id)
        begun = [run for run in shelf.runs(machine_id) if run.plan_id == plan_id]
        session = Session(
            tuple(planned),
            resolution_mm=machine.gauge.resolution_mm or 0.01,
            turn_mm=machine.gauge.wrap_mm,
            inches=inches,
        )
        held = [(run, shelf.kept(run.id, all_of_it=True)) for run in begun]
        session = resumed(session, held)
        made = cls(shelf, machine_id, plan_id, session, since_s, label, who, source, gauge_serial)
        names = [run.name for run in session.runs]
        made._run_ids = {own_name(run.name, names): run.id for run in begun}
        made._sent = {one.token: one for _, rows in held for one in rows if one.token is not None}
        return made

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

    def mend(self, run: int, reading: int, value_mm: float, *, token: str | None = None) -> Act:
        """Put another value in the place of one that was kept."""
        following = self.session.mend_value(run, reading, value_mm)
        act = following.acts[-1]
        kept = self.shelf.mend(self._run_id(following, act), self._row(following, act), token=token)
        self._acknowledge(following, kept)
        return act

    def mark(self, run: int, what: str, words: str) -> None:
        """Write beside a run what happened to it; the same words twice are written once."""
        run_id = self._run_ids.get(self.session.runs[run].name)
        if run_id is None:
            return
        held = next(r for r in self.shelf.runs(self.machine_id) if r.id == run_id)
        if not any((m.what, m.words) == (what, words) for m in held.marks):
            self.shelf.mark(run_id, what, words)

    def sent(self, token: str) -> Kept | None:
        """What was kept under this number, in this sitting or one before, taken back since or not;
        None if it never arrived. Who sends a thing again asks this first."""
        return self._sent.get(token)

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
        self.shelf.note(self._run_id(following, act), row.note, seq=row.seq)
        self.session = following
        return act

    def skip(self) -> Act:
        """Leave the rest of this run."""
        return self._ended(self.session.skip())

    def repeat(self) -> Act:
        """Leave this run as it is and do it again."""
        return self._ended(self.session.repeat())

    def interrupted(self, why: str) -> Act:
        """The machine broke this run off: what was read stays, the run is asked for again."""
        return self._ended(self.session.interrupted(why))

    def undo(self) -> Act | None:
        """Take the last act back; it stays on disk, marked."""
        before = self.session
        following, act = before.undo()
        if act is None:
            return None
        run_id = self._run_id(before, act)
        if act.did in (Did.KEPT, Did.CANNOT_READ, Did.MENDED):
            # the run is opened first: a stop between the two leaves it open, never shut
            if not following.is_left(act.run):
                self.shelf.go_on(run_id)
            last = self.last_kept()
            back = self.shelf.take_back(run_id, reading_id=last.id if last is not None else None)
            if back is not None and back.token is not None:
                self._sent[back.token] = back
        elif act.did is Did.NOTED:
            row = self._row(following, act)
            self.shelf.note(run_id, row.note, seq=row.seq)
        else:
            self.shelf.go_on(run_id)
        self.session = following
        return act

    def end_run_if_done(self) -> None:
        """Close the runs in which nothing is asked for any more."""
        done = {
            run.name
            for number, run in enumerate(self.session.runs)
            if not self.session.asks_in(number)
        }
        ended = {r.id for r in self.shelf.runs(self.machine_id) if r.ended_at is not None}
        for name, run_id in self._run_ids.items():
            if name in done and run_id not in ended:
                self.shelf.end_run(run_id)

    # --- how it is kept

    def _time_s(self, ago_s: float) -> float:
        return round(max(0.0, self.since_s() - ago_s), 2)

    def _kept(self, following: Session, token: str | None) -> Act:
        act = following.acts[-1]
        kept = self.shelf.keep(self._run_id(following, act), self._row(following, act), token=token)
        self._acknowledge(following, kept)
        return act

    def _acknowledge(self, following: Session, kept: Kept) -> None:
        if kept.token is not None:
            self._sent[kept.token] = kept
        self.session = following

    def _ended(self, following: Session) -> Act:
        act = following.acts[-1]
        self.shelf.end_run(self._run_id(following, act), words=left_with(act))
        self.session = following
        return act

    def _row(self, session: Session, act: Act) -> Reading:
        return session.runs[act.run].readings[act.reading]

    def _run_id(self, session: Session, act: Act) -> int:
        run = session.runs[act.run]
        if run.name not in self._run_ids:
            self._run_ids[run.name] = self.shelf.begin_run(
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
                gauge_resolution_mm=session.resolution_mm,
                gauge_serial=self.gauge_serial,
                program=self.programs.get(run.name, ""),
            )
        return self._run_ids[run.name]


def _machine_id(shelf: Shelf, machine: Machine) -> int:
    """The same machine on the shelf, put there if it is not."""
    for one in shelf.machines():
        if shelf.machine(one.id) == machine:
            return one.id
    return shelf.add_machine(machine)
