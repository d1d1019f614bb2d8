"""A plan on disk as a sitting last looked at it, so that it notices when another writes."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace

from plumbrise.measure.session import Session
from plumbrise.store.counting import as_written
from plumbrise.store.records import Kept
from plumbrise.store.resuming import own_name, resumed
from plumbrise.store.series import is_blank
from plumbrise.store.shelf import Shelf
from plumbrise.store.sitters import Overtaken


@dataclass(slots=True)
class LookedAt:
    """One plan of a shelf. `run_ids` holds its runs by their names in the plan, `sent` what was
    kept under a sender's number, `blanks` run and `seq` of rows that came without a reading."""

    shelf: Shelf
    machine_id: int
    plan_id: int
    run_ids: dict[str, int] = field(default_factory=dict)
    sent: dict[str, Kept] = field(default_factory=dict)
    blanks: set[tuple[int, int]] = field(default_factory=set)
    _acts: int = -1

    def is_behind(self) -> bool:
        """Whether anything was written since."""
        return self.shelf.acts(self.plan_id) != self._acts

    def look(self, session: Session) -> Session:
        """The session with what is on disk now, also which way its gauges count."""
        self._acts = self.shelf.acts(self.plan_id)  # first: what comes meanwhile is seen next time
        gauge = self.shelf.machine(self.machine_id).gauge
        begun = [run for run in self.shelf.runs(self.machine_id) if run.plan_id == self.plan_id]
        held = [(run, self.shelf.kept(run.id, all_of_it=True)) for run in begun]
        nothing = replace(
            session,
            acts=(),
            resolution_mm=gauge.resolution_mm or 0.01,
            turn_mm=gauge.wrap_mm,
        )
        found = resumed(nothing, held)
        names = [run.name for run in found.runs]
        rows = [one for _, kept in held for one in kept]
        self.run_ids = {own_name(run.name, names): run.id for run in begun}
        self.sent = {one.token: one for one in rows if one.token is not None}
        self.blanks = {(one.run_id, one.reading.seq) for one in rows if is_blank(one)}
        return as_written(found, begun)

    @contextmanager
    def acting(self) -> Iterator[None]:
        """What is done within is on disk as a whole, or not at all.

        Raises:
            Overtaken: another program wrote since; nothing is done.
        """
        before = dict(self.run_ids), dict(self.sent), self._acts
        try:
            with self.shelf.together():
                if self.is_behind():
                    raise Overtaken
                yield
                acts = self.shelf.acts(self.plan_id)
        except BaseException:
            self.run_ids, self.sent, self._acts = before
            raise
        self._acts = acts
