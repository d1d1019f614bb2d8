"""What the pages work with: the shelf, the door, what is being worked out."""

from __future__ import annotations

import json
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from threading import Lock
from typing import Any

from starlette.concurrency import run_in_threadpool

from plumbrise.analyse import Analysis, analyse
from plumbrise.demo import scenario
from plumbrise.drawing import load_path, mark
from plumbrise.explain.results import Explanation
from plumbrise.machine import Machine
from plumbrise.readings import Readings, scale_of
from plumbrise.report import headline
from plumbrise.report.withheld import why_withheld, withheld
from plumbrise.store import Shelf
from plumbrise.web.door import Door
from plumbrise.web.work import Job, Work

KEPT = 60
MOST_LOOKS = 5
"""How often to read a machine anew while readings of it are being kept."""
ANSWER = "answer"
"""Kind of the results that hold an answer in a line."""
PACK = "pack"
"""Kind of the results that say which pack a machine came in."""


@dataclass(frozen=True, slots=True)
class Story:
    """One machine with its readings and what was known of it at one moment: better answers that
    come in meanwhile are for the next page. `job` is None without readings."""

    id: int
    machine: Machine
    readings: Readings
    fingerprint: str
    analysis: Analysis | None
    job: Job | None

    @property
    def explanation(self) -> Explanation | None:
        """The best explanation at that moment."""
        return None if self.job is None else self.job.best

    @property
    def said(self) -> Explanation | None:
        """As much of it as may be said on a page: where most readings cannot be right, nothing
        is stated from them, as in the report."""
        found = self.explanation
        if found is None or why_withheld(self.readings, self.analysis, found) is None:
            return found
        return withheld(found)

    @property
    def name(self) -> str:
        """What the machine is called."""
        return self.machine.name or self.machine.arrangement.title


def job_key(machine_id: int, mark: str) -> str:
    """The name of the job that explains these readings of a machine."""
    return f"explain-{machine_id}-{mark}"


def _still(said: dict[int, tuple[str, str]], story: Story) -> str:
    stamp, words = said.get(story.id, ("", ""))
    return words if stamp == story.fingerprint else ""


@dataclass(slots=True)
class Bench:
    """Handed to every page as `request.app.state.bench`."""

    shelf: Shelf
    door: Door
    work: Work
    now: Callable[[], datetime]
    hosts: frozenset[str] = frozenset()
    cookie: str = "plumbrise"
    proposed: dict[int, tuple[str, str]] = field(default_factory=dict)
    """By machine, the fingerprint that was last redesigned and what came of it in a few words."""
    foreseen: dict[int, tuple[str, str]] = field(default_factory=dict)
    """The same of the print that was last foreseen on it."""
    printed: dict[int, str] = field(default_factory=dict)
    """By machine, the print that was last foreseen on it, as it stands in an address."""
    proved: dict[int, tuple[str, str]] = field(default_factory=dict)
    """The same of what was last proved of it."""
    _known: OrderedDict[tuple[Any, ...], Any] = field(default_factory=OrderedDict)
    _latest: dict[int, tuple[tuple[int, int], tuple[Machine, Readings, str]]] = field(
        default_factory=dict
    )
    _lock: Lock = field(default_factory=Lock)

    def story(self, machine_id: int, *, explain: bool = True, wait_s: float = 0.0) -> Story:
        """A machine with its readings, analysed, and being explained.

        Args:
            machine_id: on the shelf.
            explain: begin to explain where that has not begun.
            wait_s: how long to wait for the whole answer.

        Raises:
            InputError: no such machine.
            Busy: too much is waiting.
        """
        machine, readings, stamp = self._shelved(machine_id)
        if not readings.runs or readings.count == 0:
            return Story(machine_id, machine, readings, stamp, None, None)
        key = job_key(machine_id, stamp)
        job = self.work.find(key)
        if job is None and explain:
            job = self.begin(machine_id, key, machine, readings)
        analysis = self.remembered(
            ("analysis", stamp, readings.remarks), lambda: analyse(readings, scale_of(machine))
        )
        if job is not None and wait_s:
            self.work.wait(job, wait_s)
        seen = self.work.as_it_stands(job) if job is not None else None
        return Story(machine_id, machine, readings, stamp, analysis, seen)

    async def explained(self, machine_id: int, wait_s: float) -> Story:
        """The same once its explanation has ended, or after so long; no thread waits with it."""
        story = await run_in_threadpool(self.story, machine_id)
        if story.job is not None and not story.job.ended:
            await self.work.ended(story.job.key, wait_s)
            story = await run_in_threadpool(self.story, machine_id)
        return story

    def _shelved(self, machine_id: int) -> tuple[Machine, Readings, str]:
        """A machine, its readings and the fingerprint of both, read anew when the shelf changed."""
        state = self.shelf.state()
        known = self._latest.get(machine_id)
        if known is not None and known[0] == state:
            return known[1]
        stamp = self.shelf.fingerprint(machine_id)
        for _ in range(MOST_LOOKS):
            found = (self.shelf.machine(machine_id), self.shelf.readings(machine_id), stamp)
            stamp = self.shelf.fingerprint(machine_id)
            if stamp == found[2]:  # else a reading was kept between the two looks
                break
        self._latest[machine_id] = (state, found)
        return found

    def begin(
        self,
        machine_id: int,
        key: str,
        machine: Machine,
        readings: Readings,
        *,
        again: bool = False,
    ) -> Job:
        """Begin to explain; what it comes to in a line is kept on the shelf when it is done."""

        def keep(job: Job) -> None:
            said = headline(machine, readings, analyse(readings, scale_of(machine)), job.best)
            stamp = key.rpartition("-")[2]
            if (
                self.shelf.fingerprint(machine_id) == stamp
                and self.answers().get(machine_id) != said
            ):
                self.shelf.add_result(machine_id, ANSWER, {"headline": said})

        return self.work.ask(
            key,
            "explain",
            machine,
            readings,
            then=keep,
            again=again,
            group=f"explain-machine-{machine_id}",
        )

    def answers(self) -> dict[int, str]:
        """The last answer of each machine in a line, where it was explained."""
        found = {}
        for one in self.shelf.machines():
            kept = [r for r in self.shelf.results(one.id) if r.kind == ANSWER]
            if kept:
                found[one.id] = str(json.loads(kept[-1].text)["headline"])
        return found

    def redesigned(self, story: Story) -> str:
        """What the last redesign of this machine came to; "" where it says nothing of it now."""
        return _still(self.proposed, story)

    def last_print(self, story: Story) -> str:
        """What the last print that was foreseen came to; "" where it says nothing of it now."""
        return _still(self.foreseen, story)

    def last_proof(self, story: Story) -> str:
        """What the last proof came to; "" where it says nothing of it now."""
        return _still(self.proved, story)

    def came_in(self, machine_id: int) -> dict[str, Any] | None:
        """What is known of the pack that a machine came in; None for any other machine."""
        kept = [r for r in self.shelf.results(machine_id) if r.kind == PACK]
        found: dict[str, Any] | None = json.loads(kept[-1].text) if kept else None
        return found

    def warm_up(self) -> None:
        """Load what the first page with readings needs, before somebody waits for it."""
        example = scenario()
        analysis = analyse(example.readings, scale_of(example.machine))
        load_path(example.machine, mark(example.machine, example.readings, None, analysis))

    def remembered(self, key: tuple[Any, ...], make: Callable[[], Any]) -> Any:
        """What was made for this key before, or made now."""
        with self._lock:
            if key in self._known:
                self._known.move_to_end(key)
                return self._known[key]
        made = make()
        with self._lock:
            self._known[key] = made
            while len(self._known) > KEPT:
                self._known.popitem(last=False)
        return made
