"""A plan that is being read: acts from any number of pages, each done once, told to all of them.

A page numbers what it does and may send it again, late, or after the bench was started anew; what
is done with it follows from what is on disk, so that no reading is lost and none is kept twice.
"""

from __future__ import annotations

import secrets
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from threading import RLock
from typing import Any

from plumbrise.errors import InputError
from plumbrise.measure.acts import Did
from plumbrise.measure.pairs import last_done, pairs_of, read_at
from plumbrise.readings import Run
from plumbrise.store import ShelfError
from plumbrise.store.breaks import ZERO_IS_GONE, since_last_kept
from plumbrise.store.sitters import Overtaken
from plumbrise.store.sitting import Sitting
from plumbrise.web import capture_words as words
from plumbrise.web.capture_acts import (
    AGAIN,
    DOES,
    DONE,
    ELSEWHERE,
    WRONG,
    Act,
    Outcome,
    gone,
    is_act,
)

BOOT = secrets.token_hex(4)
"""Tells this start of the bench from others; versions count within it."""
MOST_REMEMBERED = 500
"""Acts whose numbers are remembered, so that none that the network brings twice is done twice."""


def _now() -> datetime:
    return datetime.now(UTC)


@dataclass(slots=True)
class Capture:
    """One plan at one machine, and who looks on. `version` grows with every change, `made_for` is
    the fingerprint of the machine as it was described when the plan was made; `counts_down` says
    of each gauge which way it is taken to count in the set-ups that follow, `last_at` when a
    reading was last kept or the gauge last said to stand as it did."""

    sitting: Sitting
    key: str
    version: int = 0
    lock: RLock = field(default_factory=RLock)
    watchers: list[Callable[[], None]] = field(default_factory=list)
    touched: str = ""
    made_for: str = ""
    now: Callable[[], datetime] = _now
    counts_down: list[bool] = field(default_factory=lambda: [False, False])
    last_at: datetime | None = None
    _done: OrderedDict[str, Outcome] = field(default_factory=OrderedDict)

    def __post_init__(self) -> None:
        session = self.sitting.session
        for number, run in enumerate(session.runs):
            if run.taken:
                self.counts_down[self.gauge_of(number)] = run.name in session.counts_down
        self._look_anew()

    def do(self, act: Act) -> Outcome:
        """One act as a page sent it: what `do` says, for the reading `at`.

        Raises:
            ShelfError: it could not be kept; the page holds it and sends it again. So it does
                with whatever else breaks here: only what it sent amiss is answered.
        """
        while True:
            try:
                return self._do(act)
            except Overtaken:  # judged anew by what stands now
                self._overtaken()

    def _do(self, act: Act) -> Outcome:
        with self.lock:
            self.catch_up()
            if not is_act(self.sitting.session, act):
                return Outcome(WRONG, words.NOT_UNDERSTOOD)
            if said := gone(self.sitting.session, act):
                return Outcome(ELSEWHERE, said)
            token = act.get("token")
            if isinstance(token, str) and token in self._done:
                outcome = replace(self._done[token], said=AGAIN)
            else:
                try:
                    outcome = DOES[act["do"]](self, act)
                except (ShelfError, Overtaken):
                    raise
                except InputError as problem:
                    return Outcome(WRONG, f"{problem.value}: {problem.allowed}. {problem.remedy}")
            if outcome.said == DONE:
                self._remember(token, outcome)
                self._counting_as_before()
                self.version += 1
                self.tell()
            if outcome.said in (DONE, AGAIN):  # again: the run could not be ended then
                self.sitting.end_run_if_done()
        return outcome

    def _remember(self, token: object, outcome: Outcome) -> None:
        if not isinstance(token, str):
            return
        self._done[token] = outcome
        while len(self._done) > MOST_REMEMBERED:
            self._done.popitem(last=False)

    def catch_up(self) -> None:
        """See what another program did with this plan, and let all who look on know."""
        with self.lock:
            if self.sitting.catch_up():
                self._overtaken()

    def _overtaken(self) -> None:
        """Another program came first: the sitting has what stands now, and so have all who look
        on."""
        with self.lock:
            self._look_anew()
            self.version += 1
        self.tell()

    def _look_anew(self) -> None:
        """What is on disk now, also of other programs."""
        now = self.now()
        quiet_s = since_last_kept(self.sitting, now)
        self.last_at = None if quiet_s is None else now - timedelta(seconds=quiet_s)
        self._counting_as_before()

    def tell(self) -> None:
        """Let all who look on know that something changed."""
        for watcher in list(self.watchers):
            watcher()

    # --- what two gauges read at once

    def read_now(self) -> tuple[int, ...]:
        """The runs of the reading that is asked for: two where two gauges read it."""
        session = self.sitting.session
        return () if session.asks is None else read_at(session, session.asks)

    def gauge_of(self, number: int) -> int:
        """Which gauge reads a run: the second one reads the later of two that go together."""
        session = self.sitting.session
        pairs = pairs_of(session) if session.at_hand.at_once > 1 else {}
        return int(pairs.get(number, number) < number)

    def _counting_as_before(self) -> None:
        """In a set-up that begins each gauge is taken to count as it did in the one before."""
        session = self.sitting.session
        if session.asks is None or not session.asks.begins:
            return
        for gauge, number in enumerate(self.read_now()):
            down = self.counts_down[gauge]
            if (session.runs[number].name in session.counts_down) != down:
                session = session.counting(number, down=down)
        self.sitting.session = session

    # --- what the axis does to it

    def broken_off(self, name: str, why: str) -> None:
        """Motion has ended in this set-up: what was read stays, and it is asked for again. Nothing
        is marked where nothing was read, or where another set-up is read by now.

        Raises:
            ShelfError: it could not be marked.
        """
        while True:
            try:
                return self._break_off(name, why)
            except Overtaken:  # judged anew by what stands now
                self._overtaken()

    def _break_off(self, name: str, why: str) -> None:
        with self.lock:
            self.catch_up()
            session = self.sitting.session
            asks = session.asks
            if asks is None or asks.begins or session.runs[asks.run].name != name:
                return
            self.touched = name
            names = [session.runs[number].name for number in self.read_now()]
            with self.sitting.together():
                for one in names:
                    self.sitting.interrupted(why, self.sitting.place(one, 0)[0])
            self._counting_as_before()
            self.version += 1
        self.tell()

    def begun_anew(self, run: Run) -> Run:
        """The set-up to be moved from its home: where some of this one was read, another of the
        same kind, for the home gives the gauge another zero."""
        with self.lock:
            self.broken_off(run.name, ZERO_IS_GONE)
            asks = self.sitting.session.asks
            return run if asks is None else self.sitting.session.runs[asks.run]

    def place(self, act: Act) -> tuple[int, int]:
        """Run and reading that an act is for; runs go by name, since a repeated one moves the
        others."""
        name, reading = act["at"]
        self.touched = name
        return [run.name for run in self.sitting.session.runs].index(name), reading

    def undoes(self) -> dict[str, Any] | None:
        """What undo would take back now, and the name by which a page must call it: no two acts
        have the same. `second_mm` is the other reading of the target, where two gauges read."""
        session, count = last_done(self.sitting.session)
        if not session.acts:
            return None
        act = session.acts[-1]
        held = self.sitting.last_kept()
        if held is not None:
            of = held.token or f"reading-{held.id}"
        else:
            of = f"{self.sitting.shelf.acts(self.sitting.plan_id)}-{act.did.value}"
        values = [one.value_mm for one in session.acts[-count:]]
        told = "" if act.did in (Did.KEPT, Did.MENDED) else act.did.value
        return {
            "of": of,
            "value_mm": values[0],
            "second_mm": values[1] if count > 1 else None,
            "words": told,
        }
