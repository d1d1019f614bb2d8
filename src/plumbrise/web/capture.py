"""A plan that is being read: acts from any number of pages, each done once, told to all of them.

A page numbers what it does and may send it again, late, or after the bench was started anew; what
is done with it follows from what is on disk, so that no reading is lost and none is kept twice.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from hashlib import sha256
from math import isfinite
from threading import Lock, RLock
from typing import Any

from plumbrise.errors import InputError
from plumbrise.files import read_readings
from plumbrise.measure.dial import LARGEST_MM
from plumbrise.measure.fingerprint import fingerprint
from plumbrise.measure.session import Did, expected, suspicion
from plumbrise.readings import Run, scale_of
from plumbrise.store import Shelf, ShelfError, ShelvedPlan
from plumbrise.store.sitters import Overtaken
from plumbrise.store.sitting import Sitting
from plumbrise.web import capture_words as words

LONGEST_AWAY_S = 7 * 86_400.0
SAME_SITTING_S = 12 * 3600.0
"""A bench started anew within so long goes on counting time from the same beginning."""
BOOT = secrets.token_hex(4)
"""Tells this start of the bench from others; versions count within it."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of an act: done, done before, asked about, not possible any more, not a reading.

    `value_mm` is what was kept or would be.
    """

    said: str
    words: str = ""
    value_mm: float | None = None
    question: str = ""


DONE, AGAIN, ASKS, ELSEWHERE, WRONG = "done", "again", "asks", "elsewhere", "wrong"
Act = Mapping[str, Any]


@dataclass(slots=True)
class Capture:
    """One plan at one machine, and who looks on. `version` grows with every change, `made_for` is
    the fingerprint of the machine as it was described when the plan was made."""

    sitting: Sitting
    key: str
    version: int = 0
    lock: RLock = field(default_factory=RLock)
    watchers: list[Callable[[], None]] = field(default_factory=list)
    touched: str = ""
    made_for: str = ""

    def do(self, act: Act) -> Outcome:
        """One act as a page sent it: what `do` says, for the reading `at`.

        Raises:
            ShelfError: it could not be kept; the page holds it and sends it again. So it does
                with whatever else breaks here: only what it sent amiss is answered.
        """
        while True:
            try:
                return self._do(act)
            except Overtaken:  # another program came first: judged anew by what stands now
                with self.lock:
                    self.version += 1

    def _do(self, act: Act) -> Outcome:
        with self.lock:
            self.catch_up()
            if not self._is_act(act):
                return Outcome(WRONG, words.NOT_UNDERSTOOD)
            try:
                outcome = _DOES[act["do"]](self, act)
            except (ShelfError, Overtaken):
                raise
            except InputError as problem:
                return Outcome(WRONG, f"{problem.value}: {problem.allowed}. {problem.remedy}")
            if outcome.said == DONE:
                self.version += 1
                self.tell()
            if outcome.said in (DONE, AGAIN):  # again: the run could not be ended then
                self.sitting.end_run_if_done()
        return outcome

    def _is_act(self, act: Act) -> bool:
        """Whether an act has what its doing asks for, each of its kind, at a reading that is."""
        asked = _ASKED.get(act["do"]) if isinstance(act.get("do"), str) else None
        if asked is None or not all(_FIELDS[name](act.get(name)) for name in asked):
            return False
        if not all(_FIELDS[name](act[name]) for name in _MAY if act.get(name) is not None):
            return False
        if "at" not in asked:
            return True
        name, reading = act["at"]
        run = next((run for run in self.sitting.session.runs if run.name == name), None)
        return run is not None and 0 <= reading < len(run.readings)

    def catch_up(self) -> None:
        """See what another program did with this plan, and let all who look on know."""
        with self.lock:
            if not self.sitting.catch_up():
                return
            self.version += 1
        self.tell()

    def tell(self) -> None:
        """Let all who look on know that something changed."""
        for watcher in list(self.watchers):
            watcher()

    def broken_off(self, name: str, why: str) -> None:
        """Motion has ended in this set-up: what was read stays, and it is asked for again. Nothing
        is marked where nothing was read, or where another set-up is read by now.

        Raises:
            ShelfError: it could not be marked.
        """
        with self.lock:
            self.catch_up()
            asks = self.sitting.session.asks
            if asks is None or asks.begins or self.sitting.session.runs[asks.run].name != name:
                return
            self.touched = name
            self.sitting.interrupted(why)
            self.version += 1
        self.tell()

    def begun_anew(self, run: Run) -> Run:
        """The set-up to be moved from its home: where some of this one was read, another of the
        same kind, for the home gives the gauge another zero."""
        with self.lock:
            self.broken_off(run.name, words.ZERO_IS_GONE)
            asks = self.sitting.session.asks
            return run if asks is None else self.sitting.session.runs[asks.run]

    def place(self, act: Act) -> tuple[int, int]:
        """Run and reading that an act is for; runs go by name, since a repeated one moves the
        others."""
        name, reading = act["at"]
        self.touched = name
        return [run.name for run in self.sitting.session.runs].index(name), reading


def _keep(capture: Capture, act: Act) -> Outcome:
    sitting, token = capture.sitting, act["token"]
    known = sitting.sent(token)
    if known is not None:
        return Outcome(AGAIN, value_mm=known.reading.reading_mm)
    run, reading = capture.place(act)
    heard = sitting.session.hear(act["text"], at=(run, reading))
    value, shown = heard.heard.value_mm, act.get("shown_mm")
    if act.get("sure") and shown is not None:
        value = round(float(shown), 6)  # what the person saw, and kept
    if not sitting.session.is_open(run, reading):
        return _beside(capture, run, reading, value)
    if not act.get("sure"):
        if shown is not None and abs(shown - value) > 1e-6:
            return Outcome(ASKS, value_mm=value, question=words.taken_otherwise(value))
        if heard.words:
            return Outcome(ASKS, value_mm=value, question=heard.words)
    sitting.keep(value, at=(run, reading), token=token, ago_s=_ago_s(act))
    about = expected(sitting.session.runs[run], reading)
    return Outcome(DONE, value_mm=value, words=suspicion(value, about))


def _pass(capture: Capture, act: Act) -> Outcome:
    sitting, token = capture.sitting, act["token"]
    if sitting.sent(token) is not None:
        return Outcome(AGAIN)
    at = capture.place(act)
    if not sitting.session.is_open(*at):
        return Outcome(ELSEWHERE, words.READ_ELSEWHERE)
    sitting.cannot_read(at=at, token=token, ago_s=_ago_s(act))
    return Outcome(DONE)


def _beside(capture: Capture, run: int, reading: int, value: float) -> Outcome:
    """Two pages read the same: the first stands, the other is kept beside it and told."""
    row = capture.sitting.session.runs[run].readings[reading]
    stands = row.reading_mm
    if stands is not None and abs(stands - value) < 1e-6:
        return Outcome(ELSEWHERE, words.same_elsewhere(reading + 1, value), value)
    capture.sitting.mark(run, "read twice", f"reading {reading + 1}: {value:g} mm")
    return Outcome(ELSEWHERE, words.other_elsewhere(reading + 1, stands, value), value)


def _note(capture: Capture, act: Act) -> Outcome:
    said = act["words"].strip()
    run, reading = capture.place(act)
    noted = capture.sitting.session.runs[run].readings[reading].note
    if not said or noted == said or noted.endswith(f"; {said}"):
        return Outcome(AGAIN)
    last = capture.sitting.session.last_read
    if last != (run, reading):
        capture.sitting.mark(run, "note", f"reading {reading + 1}: {said}")
        return Outcome(DONE)
    capture.sitting.note(said)
    return Outcome(DONE)


def _mend(capture: Capture, act: Act) -> Outcome:
    sitting, token = capture.sitting, act["token"]
    if sitting.sent(token) is not None:
        return Outcome(AGAIN)
    run, reading = capture.place(act)
    heard = sitting.session.hear(act["text"], at=(run, reading))
    if heard.words and not act.get("sure"):
        return Outcome(ASKS, value_mm=heard.heard.value_mm, question=heard.words)
    sitting.mend(run, reading, heard.heard.value_mm, token=token)
    return Outcome(DONE, value_mm=heard.heard.value_mm)


def _leave(capture: Capture, act: Act) -> Outcome:
    """Leave the rest of a set-up, or do it again."""
    sitting = capture.sitting
    run, _ = capture.place(act)
    asks = sitting.session.asks
    if asks is None or asks.run != run:
        return Outcome(AGAIN)
    if act["do"] == "skip":
        sitting.skip()
    else:
        sitting.repeat()
    return Outcome(DONE)


def _undo(capture: Capture, act: Act) -> Outcome:
    sitting, of = capture.sitting, act["of"]
    known = sitting.sent(of)
    if known is not None and known.taken_back_at is not None:
        return Outcome(AGAIN)
    now = undoes(capture)
    if now is None or of != now["of"]:
        return Outcome(ELSEWHERE, words.NOT_THE_LAST)
    capture.touched = sitting.session.runs[sitting.session.acts[-1].run].name
    sitting.undo()
    return Outcome(DONE)


_DOES: dict[str, Callable[[Capture, Act], Outcome]] = {
    "keep": _keep,
    "pass": _pass,
    "note": _note,
    "mend": _mend,
    "skip": _leave,
    "repeat": _leave,
    "undo": _undo,
}


def undoes(capture: Capture) -> dict[str, Any] | None:
    """What undo would take back now, and the name by which a page must call it."""
    session = capture.sitting.session
    if not session.acts:
        return None
    act = session.acts[-1]
    held = capture.sitting.last_kept()
    of = f"{len(session.acts)}-{act.did.value}"
    if held is not None:
        of = held.token or f"reading-{held.id}"
    told = "" if act.did in (Did.KEPT, Did.MENDED) else act.did.value
    return {"of": of, "value_mm": act.value_mm, "words": told}


def _ago_s(act: Act) -> float:
    return min(max(float(act.get("ago_s") or 0.0), 0.0), LONGEST_AWAY_S)


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)


def _place(value: object) -> bool:
    if not isinstance(value, list | tuple) or len(value) != 2:
        return False
    name, reading = value
    return isinstance(name, str) and isinstance(reading, int) and not isinstance(reading, bool)


_FIELDS: dict[str, Callable[[object], bool]] = {
    "at": _place,
    "token": lambda value: isinstance(value, str) and 8 <= len(value) <= 80,
    "text": lambda value: isinstance(value, str),
    "words": lambda value: isinstance(value, str),
    "of": lambda value: isinstance(value, str),
    "shown_mm": lambda value: _number(value) and abs(float(str(value))) <= LARGEST_MM,
    "ago_s": _number,
}
"""What each field of an act may be."""
_ASKED = {
    "keep": ("at", "token", "text"),
    "pass": ("at", "token"),
    "mend": ("at", "token", "text"),
    "note": ("at", "words"),
    "skip": ("at",),
    "repeat": ("at",),
    "undo": ("of",),
}
"""What each doing asks for."""
_MAY = ("shown_mm", "ago_s")


@dataclass(slots=True)
class Captures:
    """The plans that are being read, each opened once, whoever asks for it."""

    now: Callable[[], datetime]
    source: str = "page"
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
        planned = read_readings(
            plan.text.encode(),
            name=words.THE_PLAN,
            scale=scale_of(machine),
            arrangement=machine.arrangement,
        )
        since = self._since(shelf, machine_id, plan_id)
        sitting = Sitting.on(
            shelf,
            machine_id,
            plan_id,
            planned.runs,
            since_s=lambda: (self.now() - since).total_seconds(),
            label=since.isoformat(timespec="seconds"),
            source=self.source,
        )
        made_for = fingerprint(shelf.machine_when(machine_id, plan.added_at))
        return Capture(sitting, _key(plan), made_for=made_for)

    def _since(self, shelf: Shelf, machine_id: int, plan_id: int) -> datetime:
        """When this sitting began: where one was broken off a while ago, its beginning."""
        begun = [run for run in shelf.runs(machine_id) if run.plan_id == plan_id]
        for run in reversed(begun):
            try:
                since = datetime.fromisoformat(run.session)
            except ValueError:
                continue
            if since.tzinfo and 0 <= (self.now() - since).total_seconds() < SAME_SITTING_S:
                return since
        return self.now().astimezone(UTC).replace(microsecond=0)


def _key(plan: ShelvedPlan) -> str:
    """Tells this plan from one of the same number on another shelf at the same address."""
    told = f"{plan.added_at}\n{plan.machine_id}\n{plan.id}\n{plan.text}"
    return sha256(told.encode()).hexdigest()[:16]


def _no_plan(plan_id: int) -> InputError:
    return InputError(
        place="plan",
        value=plan_id,
        allowed="a plan that was made for this machine",
        remedy="Choose it from the machine's sheet, or make another.",
    )
