"""The sessions on the shelf that can stand before or after: all readings of a machine, or one
sitting of them where there were several."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from plumbrise.analyse import analyse
from plumbrise.machine import Machine
from plumbrise.readings import Readings, scale_of
from plumbrise.store import ShelvedMachine, ShelvedRun
from plumbrise.web import prove_words as words
from plumbrise.web.bench import Bench, Story, job_key

MOST_MACHINES = 40
"""How many machines of the shelf are offered, the latest."""
SPAN = "story"
"""Kind of the results that say which machines of the shelf tell one story."""


@dataclass(frozen=True, slots=True)
class Session:
    """What can be chosen. `id` is the machine's number, with the first run's where only one
    sitting is meant; `runs` its runs by name, None for all of them; `tests` what was done
    where: ids of test and station."""

    id: str
    machine: int
    name: str
    when: str
    readings: int
    begun_at: str
    runs: frozenset[str] | None = None
    tests: tuple[tuple[str, str], ...] = ()


def sessions_of(bench: Bench, machine_id: int) -> tuple[Session, ...]:
    """All sessions on the shelf, those of this machine first."""
    shelved = [one for one in bench.shelf.machines() if one.readings]
    shelved = [one for one in shelved if one.id == machine_id] + [
        one for one in reversed(shelved) if one.id != machine_id
    ][:MOST_MACHINES]
    return tuple(session for one in shelved for session in _of(bench, one))


def _of(bench: Bench, shelved: ShelvedMachine) -> list[Session]:
    runs = bench.shelf.runs(shelved.id)
    sittings = _sittings(runs)
    first = sittings[0][0].begun_at
    several = len(sittings) > 1
    whole = Session(
        str(shelved.id),
        shelved.id,
        shelved.name,
        words.ALL_READ if several else words.READ_ON.format(first[:10]),
        shelved.readings,
        first,
        tests=_tests(runs),
    )
    if not several:
        return [whole]
    return [*(_sitting(shelved, runs) for runs in sittings), whole]


def _sitting(shelved: ShelvedMachine, runs: list[ShelvedRun]) -> Session:
    begun = runs[0].begun_at
    return Session(
        f"{shelved.id}-{runs[0].id}",
        shelved.id,
        shelved.name,
        words.READ_ON.format(begun[:16].replace("T", ", ")),
        sum(run.readings for run in runs),
        begun,
        frozenset(run.name for run in runs),
        _tests(runs),
    )


def _tests(runs: Iterable[ShelvedRun]) -> tuple[tuple[str, str], ...]:
    return tuple(dict.fromkeys((run.kind.id, run.station.id) for run in runs if run.readings))


def _sittings(runs: Iterable[ShelvedRun]) -> list[list[ShelvedRun]]:
    """Runs that belong together: those of one plan, or those that came in one table."""
    found: dict[object, list[ShelvedRun]] = {}
    for run in runs:
        if run.readings:
            found.setdefault(run.plan_id or run.begun_at, []).append(run)
    return list(found.values())


def story_of(bench: Bench, session: Session, *, explain: bool, wait_s: float = 0.0) -> Story:
    """A session with its readings, analysed, and being explained.

    Args:
        bench: the bench.
        session: which.
        explain: begin to explain where that has not begun.
        wait_s: how long to wait for the whole answer.

    Raises:
        InputError: no such machine.
        Busy: too much is waiting.
    """
    if session.runs is None:
        return bench.story(session.machine, explain=explain, wait_s=wait_s)
    stamp = f"{bench.shelf.fingerprint(session.machine)}-{session.id}"
    machine, readings = bench.remembered(("session", stamp), lambda: _read(bench, session))
    key = job_key(session.machine, stamp)
    job = bench.work.find(key)
    if job is None and explain:
        job = bench.work.ask(key, "explain", machine, readings)
    if job is not None and wait_s:
        bench.work.wait(job, wait_s)
    seen = bench.work.as_it_stands(job) if job is not None else None
    analysis = bench.remembered(("analysis", stamp), lambda: analyse(readings, scale_of(machine)))
    return Story(session.machine, machine, readings, stamp, analysis, seen)


def _read(bench: Bench, session: Session) -> tuple[Machine, Readings]:
    """The machine as it stood when this was read, and what was read."""
    assert session.runs is not None
    whole = bench.shelf.readings(session.machine)
    runs = tuple(run for run in whole.runs if run.name in session.runs)
    machine = bench.shelf.machine_when(session.machine, session.begun_at)
    return machine, replace(whole, runs=runs)


def usual(bench: Bench, machine_id: int, sessions: tuple[Session, ...]) -> tuple[str, ...]:
    """What is compared where nothing was chosen, the session before first: the story that was
    kept, the stages of a pack, else the sittings of this machine: the first, and those that did
    again what was done in it. Without such a one all that was read stands before."""
    there = {one.id for one in sessions}
    kept = [r for r in bench.shelf.results(machine_id) if r.kind == SPAN]
    told: dict[str, Any] = json.loads(kept[-1].text) if kept else {}
    chosen = [str(one) for one in told.get("sessions", ())]
    if not chosen:
        pack = bench.came_in(machine_id) or {}
        chosen = [str(one["machine"]) for one in pack.get("stages", ())]
    if len(chosen) < 2:
        chosen = _sat_again([one for one in sessions if one.machine == machine_id])
    return tuple(one for one in chosen if one in there)


def _sat_again(own: list[Session]) -> list[str]:
    if len(own) < 2:
        return [one.id for one in own]
    first, *later, whole = own
    again = [one.id for one in later if set(one.tests) & set(first.tests)]
    return [first.id, *again] if again else [whole.id]


def machine_of(session: str) -> int:
    """The machine of a session's id."""
    return int(session.partition("-")[0])


def keep_story(bench: Bench, sessions: tuple[str, ...]) -> None:
    """Remember on each machine which sessions tell one story, the one before the work first."""
    for machine_id in dict.fromkeys(machine_of(one) for one in sessions):
        bench.shelf.add_result(machine_id, SPAN, {"sessions": list(sessions)})
