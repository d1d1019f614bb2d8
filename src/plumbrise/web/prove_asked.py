"""What is asked of the prove sheet: which session before, which after, and what was kept for
them: the promise, and what was measured on prints."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from starlette.datastructures import QueryParams

from plumbrise.files.prints_table import read_prints
from plumbrise.files.proposal import Chosen, read_proposal
from plumbrise.prove import PrintReading
from plumbrise.report.names import listed
from plumbrise.web.bench import Bench
from plumbrise.web.prove_sessions import Session, machine_of, sessions_of, usual

MOST_AFTERS = 6
PROMISE, PRINTS = "promise", "prints"
"""Kinds of the results that hold a promise, and what was measured on a print."""


@dataclass(frozen=True, slots=True)
class Asked:
    """Which sessions are compared, and which could be."""

    before: Session | None
    afters: tuple[Session, ...]
    all: tuple[Session, ...]

    @property
    def sessions(self) -> tuple[Session, ...]:
        """Those compared, the one before first."""
        return (*((self.before,) if self.before else ()), *self.afters)

    @property
    def query(self) -> str:
        """As it stands in an address."""
        pairs = [("before", self.before.id)] if self.before else []
        return urlencode(pairs + [("after", one.id) for one in self.afters])


def asked_in(bench: Bench, machine_id: int, query: QueryParams) -> Asked:
    """What an address asks for; what it does not say is as usual, what is not there left out."""
    found = sessions_of(bench, machine_id)
    there = {one.id: one for one in found}
    first, *rest = (*usual(bench, machine_id, found), "")[: MOST_AFTERS + 1]
    before = there.get(query.get("before", first)) or there.get(first)
    chosen = query.getlist("after") if "after" in query else rest
    if before is not None and before.id in chosen and "before" not in query:
        chosen = [one for one in chosen if one != before.id]
    afters = [there[one] for one in dict.fromkeys(chosen) if one in there]
    afters = [one for one in afters if one is not before]
    return Asked(before, tuple(sorted(afters, key=lambda one: one.begun_at))[:MOST_AFTERS], found)


@dataclass(frozen=True, slots=True)
class Promise:
    """A proposal that was kept: its text as `redesign --json` writes it, its day, its changes."""

    text: str
    on: str
    chosen: Chosen

    @property
    def changes(self) -> str:
        """The changes in words."""
        return listed([one.title.lower() for one in self.chosen.changes])


def promise_for(bench: Bench, asked: Asked) -> Promise | None:
    """The promise that was kept for the machine before the work, if it was not taken off again."""
    if asked.before is None:
        return None
    told, day = _last(bench, asked.before.machine, PROMISE)
    text = told.get("proposal", "")
    return Promise(text, day, read_proposal(text, name=PROMISE)) if text else None


def keep_promise(bench: Bench, machine_id: int, text: str) -> None:
    """Keep a proposal as the promise.

    Raises:
        InputError: it is no proposal.
    """
    read_proposal(text, name="proposal")
    bench.shelf.add_result(machine_id, PROMISE, {"proposal": text})


def let_go(bench: Bench, machine_id: int) -> None:
    """Take the promise off; what was kept before stays on the shelf."""
    bench.shelf.add_result(machine_id, PROMISE, {"proposal": ""})


def prints_text(bench: Bench, session: str) -> str:
    """What was measured on a print at the session of this id, as a table; "" where nothing was."""
    return str(_last(bench, machine_of(session), f"{PRINTS}-{session}")[0].get("table", ""))


def prints_of(bench: Bench, session: str) -> tuple[PrintReading, ...]:
    """The same, read."""
    text = prints_text(bench, session)
    return read_prints(text, name=PRINTS) if text else ()


def keep_prints(bench: Bench, session: str, table: str) -> None:
    """Keep what was measured on a print at the session of this id; "" takes it off.

    Raises:
        InputError: no such table.
        InputErrors: rows that cannot be used.
    """
    table = table.strip()
    if table:
        read_prints(table, name=PRINTS)
    if table != prints_text(bench, session):
        bench.shelf.add_result(machine_of(session), f"{PRINTS}-{session}", {"table": table})


def _last(bench: Bench, machine_id: int, kind: str) -> tuple[dict[str, Any], str]:
    kept = [one for one in bench.shelf.results(machine_id) if one.kind == kind]
    return (json.loads(kept[-1].text), kept[-1].made_at[:10]) if kept else ({}, "")
