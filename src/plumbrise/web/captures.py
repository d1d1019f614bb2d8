"""The plans that are being read, each opened once, whoever asks for it."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from hashlib import sha256
from threading import Lock

from plumbrise.errors import InputError
from plumbrise.files import read_readings
from plumbrise.files.plan import at_hand_of
from plumbrise.measure.fingerprint import fingerprint
from plumbrise.readings import scale_of
from plumbrise.store import Shelf, ShelfError, ShelvedPlan
from plumbrise.store.breaks import began
from plumbrise.store.sitting import Sitting
from plumbrise.web import capture_words as words
from plumbrise.web import fault_words
from plumbrise.web.capture import Capture


@dataclass(slots=True)
class Captures:
    """Plan by number -> what is read of it. `at_once` is how many gauges are plugged in: a plan
    for fewer is read with as many."""

    now: Callable[[], datetime]
    source: str = "page"
    at_once: int = 1
    _open: dict[int, Capture] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)

    def of(self, shelf: Shelf, machine_id: int, plan_id: int) -> Capture:
        """The capture of a plan.

        Raises:
            InputError: no such plan.
        """
        with self._lock:
            if plan_id not in self._open:
                self._open[plan_id] = self._opened(shelf, machine_id, plan_id)
            found = self._open[plan_id]
        if found.sitting.machine_id != machine_id:
            raise _no_plan(plan_id)
        with suppress(ShelfError):  # told when something is to be kept
            found.catch_up()
        return found

    def _opened(self, shelf: Shelf, machine_id: int, plan_id: int) -> Capture:
        plan = next((p for p in shelf.plans(machine_id) if p.id == plan_id), None)
        if plan is None:
            raise _no_plan(plan_id)
        machine = shelf.machine(machine_id)
        text = plan.text.encode()
        planned = read_readings(
            text, name=words.THE_PLAN, scale=scale_of(machine), arrangement=machine.arrangement
        )
        since = self.now().astimezone(UTC).replace(microsecond=0)
        begun = [run.session for run in shelf.runs(machine_id) if run.plan_id == plan_id]
        sitting = Sitting.on(
            shelf,
            machine_id,
            plan_id,
            planned.runs,
            since_s=lambda: (self.now() - since).total_seconds(),
            label=begun[-1] if begun else since.isoformat(timespec="seconds"),
            source=self.source,
        )
        since = began(sitting) or since  # warmth and creep go on through a break
        at_hand = at_hand_of(text, name=words.THE_PLAN)
        at_hand = replace(at_hand, at_once=max(at_hand.at_once, self.at_once))
        sitting.session = replace(sitting.session, at_hand=at_hand)
        made_for = fingerprint(shelf.machine_when(machine_id, plan.added_at))
        return Capture(sitting, _key(plan), made_for=made_for, now=self.now)


def _key(plan: ShelvedPlan) -> str:
    """Tells this plan from one of the same number on another shelf at the same address."""
    told = f"{plan.added_at}\n{plan.machine_id}\n{plan.id}\n{plan.text}"
    return sha256(told.encode()).hexdigest()[:16]


def _no_plan(plan_id: int) -> InputError:
    return InputError(
        place="plan",
        value=plan_id,
        allowed=fault_words.PLAN_OF_MACHINE,
        remedy=fault_words.CHOOSE_PLAN,
    )
