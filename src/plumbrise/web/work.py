"""What is being worked out: jobs, how far each is, and the process that does them."""

from __future__ import annotations

import asyncio
import logging
import subprocess
import sys
import time
from collections import OrderedDict
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field, replace
from threading import Condition, Thread
from typing import Any

from plumbrise.web import fault_words
from plumbrise.web.parcel import receive, send

KEPT_JOBS = 40
MOST_WAITING = 8
QUICK = ("plan",)
"""Tasks that are done before the others that wait."""
ENDED = ("done", "stopped", "failed")
LOOK_S = 0.1


@dataclass(slots=True)
class Job:
    """One thing to work out. `state` is waiting, working, done, stopped or failed; `best` is the
    best answer so far, the whole one when done; `step` counts the answers."""

    key: str
    task: str
    arguments: tuple[Any, ...]
    state: str = "waiting"
    best: Any = None
    step: int = 0
    trouble: str = ""
    group: str = ""
    listeners: list[Callable[[Job], None]] = field(default_factory=list)

    @property
    def ended(self) -> bool:
        """Nothing more will come."""
        return self.state in ENDED


class Busy(Exception):
    """So much is waiting already that no more is taken."""


class Work:
    """Jobs by key, done one at a time by a process of their own."""

    def __init__(self) -> None:
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._queue: list[Job] = []
        self._changed = Condition()
        self._process: subprocess.Popen[bytes] | None = None
        self._number = 0
        self._closed = False
        self._thread = Thread(target=self._run, name="plumbrise-work", daemon=True)
        self._thread.start()

    def ask(
        self,
        key: str,
        task: str,
        *arguments: Any,
        then: Callable[[Job], None] | None = None,
        again: bool = False,
        group: str = "",
    ) -> Job:
        """The job of this key, begun if there is none.

        Args:
            key: what tells this job from others.
            task: what is done.
            arguments: with what.
            then: called when it is done.
            again: begin one that was stopped or failed anew.
            group: jobs of this group that still wait are given up for this one.

        Raises:
            Busy: too much is waiting.
        """
        with self._changed:
            job = self._jobs.get(key)
            if job is not None and not (again and job.state in ("stopped", "failed")):
                self._jobs.move_to_end(key)
                return job
            self._give_up(group)
            if len(self._queue) >= MOST_WAITING:
                raise Busy
            job = Job(key, task, arguments, group=group)
            if then is not None:
                job.listeners.append(then)
            self._jobs[key] = job
            place = 0 if task in QUICK else len(self._queue)
            self._queue.insert(place, job)
            while len(self._jobs) > KEPT_JOBS:
                self._forget_one()
            self._changed.notify_all()
            return job

    def find(self, key: str) -> Job | None:
        """The job of this key."""
        with self._changed:
            return self._jobs.get(key)

    def as_it_stands(self, job: Job) -> Job:
        """A copy that no better answer changes: what a page says of a job agrees with itself."""
        with self._changed:
            return replace(job, arguments=(), listeners=[])

    def wait(self, job: Job, seconds: float, *, step: int | None = None) -> Job:
        """Wait until the job ends, or has come past `step`, at most so long."""

        def enough() -> bool:
            return job.ended or (step is not None and job.step > step)

        with self._changed:
            self._changed.wait_for(enough, seconds)
        return job

    async def ended(self, key: str, seconds: float) -> None:
        """Wait until the job of this key has ended, at most so long, and hold no thread."""
        until = time.monotonic() + seconds
        while time.monotonic() < until:
            job = self.find(key)
            if job is None or job.ended:
                return
            await asyncio.sleep(LOOK_S)

    def stop(self, key: str) -> None:
        """End this job now; the best answer so far stays."""
        with self._changed:
            job = self._jobs.get(key)
            if job is None or job.ended:
                return
            working = job.state == "working"
            job.state = "stopped"
            if job in self._queue:
                self._queue.remove(job)
            if working and self._process is not None:
                self._process.kill()
            self._changed.notify_all()

    def close(self) -> None:
        """End the process and the thread."""
        with self._changed:
            self._closed = True
            for job in self._queue:
                job.state = "stopped"
            self._queue.clear()
            if self._process is not None:
                self._process.kill()
            self._changed.notify_all()
        self._thread.join(timeout=5)

    def drop(self, prefix: str, *, keep: int) -> None:
        """Forget ended jobs whose key begins so, all but the latest few: they hold much."""
        with self._changed:
            ended = [k for k, job in self._jobs.items() if k.startswith(prefix) and job.ended]
            for key in ended[: max(0, len(ended) - keep)]:
                del self._jobs[key]

    def _give_up(self, group: str) -> None:
        for waiting in [job for job in self._queue if group and job.group == group]:
            waiting.state = "stopped"
            self._queue.remove(waiting)
            self._jobs.pop(waiting.key, None)

    def _forget_one(self) -> None:
        for key, job in self._jobs.items():
            if job.ended:
                del self._jobs[key]
                return
        return

    def _run(self) -> None:
        while True:
            process = self._started()
            if process is None:
                return
            with self._changed:
                self._changed.wait_for(lambda: self._closed or bool(self._queue))
                if self._closed:
                    break
                job = self._queue.pop(0)
                job.state = "working"
                self._number += 1
                number = self._number
            self._do(process, job, number)
        self._end(process)

    def _do(self, process: subprocess.Popen[bytes], job: Job, number: int) -> None:
        assert process.stdin is not None
        assert process.stdout is not None
        try:
            send(process.stdin, (number, job.task, job.arguments))
            while not job.ended:
                told, what, value = receive(process.stdout)
                if told == number:
                    self._heard(job, what, value)
        except (EOFError, OSError):
            self._broken(process, job, fault_words.PROCESS_ENDED)
        except Exception:  # the next job is done all the same, and this told
            logging.getLogger("plumbrise").exception("in %s", job.key)
            self._broken(process, job, fault_words.PROCESS_UNREAD)
        job.arguments = ()
        if process.poll() is None and job.state == "stopped":
            process.wait()  # it was killed; the next job gets a new one
        if job.state == "done":
            for listener in job.listeners:
                try:
                    listener(job)
                except Exception as problem:  # the next job is done all the same, and this told
                    logging.getLogger("plumbrise").exception("after %s", job.key)
                    with self._changed:
                        job.trouble = fault_words.NOT_KEPT.format(problem)
                        self._changed.notify_all()

    def _broken(self, process: subprocess.Popen[bytes], job: Job, trouble: str) -> None:
        """End the process, and the job with it."""
        process.kill()
        process.wait()
        with self._changed:
            if not job.ended:
                job.state, job.trouble = "failed", trouble
            self._changed.notify_all()

    def _heard(self, job: Job, what: str, value: Any) -> None:
        with self._changed:
            if job.ended:
                return
            if what == "failed":
                job.state, job.trouble = "failed", value
            else:
                job.best, job.step = value, job.step + 1
                if what == "done":
                    job.state = "done"
            self._changed.notify_all()

    def _started(self) -> subprocess.Popen[bytes] | None:
        """The process, a new one where the last was ended."""
        with self._changed:
            if self._closed:
                return None
            if self._process is None or self._process.poll() is not None:
                if self._process is not None:
                    self._end(self._process)
                self._process = subprocess.Popen(
                    [sys.executable, "-m", "plumbrise.web.working"],
                    stdin=subprocess.PIPE,
                    stdout=subprocess.PIPE,
                )
            return self._process

    @staticmethod
    def _end(process: subprocess.Popen[bytes]) -> None:
        process.kill()
        process.wait()
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                with suppress(OSError):
                    pipe.close()
