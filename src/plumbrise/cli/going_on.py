"""Which sitting a worksheet belongs to: begun before, begun with the machine described otherwise,
or to be read anew; and what of it was filled in by hand."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Unpack

from plumbrise.cli.hearing import Ends, stands
from plumbrise.machine import Machine
from plumbrise.measure.at_hand import AS_DESCRIBED, AtHand
from plumbrise.readings import Run
from plumbrise.store import Shelf
from plumbrise.store.adopting import Brought
from plumbrise.store.beginning import Changed, begin, take_in
from plumbrise.store.breaks import began
from plumbrise.store.sitters import How, Who
from plumbrise.store.sitting import Sitting

ON, ANEW = "on", "anew"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A worksheet as given: its set-ups with whatever is filled in, its name, the machine that it
    is for and that machine's file, and the gauges at hand."""

    machine: Machine
    machine_text: str
    runs: Sequence[Run]
    name: str
    at_hand: AtHand = AS_DESCRIBED


def sitting_of(
    shelf: Shelf,
    sheet: Sheet,
    *,
    anew: bool,
    prompt: Callable[[str], str],
    said: Callable[[str], None],
    **who: Unpack[Who],
) -> Sitting:
    """The sitting in which a worksheet is read on, all that it brings kept.

    Raises:
        Ends: the person was asked whether to go on, and wants neither.
    """
    start, before_s = time.monotonic(), 0.0
    how: How = {
        "since_s": lambda: before_s + time.monotonic() - start,
        "label": datetime.now(UTC).isoformat(timespec="seconds"),
        **who,
    }

    def begun(anew: bool, goes_on: Callable[[Changed], bool]) -> Sitting:
        return begin(
            shelf,
            sheet.machine,
            sheet.runs,
            machine_text=sheet.machine_text,
            anew=anew,
            goes_on=goes_on,
            adopts=lambda found: not anew and _adopts(found, prompt, said),
            **how,
        )

    for other, why in shelf.unreadable():
        said(f"Machine {other.id} on the shelf, {other.name}, is passed over: it cannot be read.")
        said(f"  {why}")
    sitting = begun(False, lambda changed: not anew and _goes_on(changed, prompt, said))
    found = take_in(sitting, sheet.runs, source=sheet.name)
    if found.kept:
        said(f"{found.kept} readings of {sheet.name} were put on the shelf.")
    for one in found.beside:
        said(stands(one, "the worksheet's"))
    if anew:
        sitting = begun(True, lambda _: False)
        said("A series of its own is begun. The same command without --anew goes on with it.")
    before_s = _went_on_s(sitting)
    temps = [act.temp_c for act in sitting.session.acts if act.temp_c is not None]
    if temps and sitting.session.left:
        sitting.temp_c = temps[-1]
        said(f"The air is taken at {temps[-1]:g} °C as before. t says another.")
    return sitting


def _went_on_s(sitting: Sitting) -> float:
    """The time since the sitting before began: it goes on through the break, as warmth does."""
    since = began(sitting)
    gone_s = 0.0 if since is None else (datetime.now(UTC) - since).total_seconds()
    times = [act.time_s for act in sitting.session.acts if act.time_s is not None]
    return max(*times, gone_s, 0.0)


def _goes_on(changed: Changed, prompt: Callable[[str], str], said: Callable[[str], None]) -> bool:
    """Ask whether a plan is gone on with after the machine was described otherwise."""
    said(f"This worksheet was begun with {changed.name} described otherwise:")
    for what in changed.what:
        said(f"  {what}")
    said(f"{changed.readings} readings stand, and stay on the shelf either way.")
    said(f"  {ON:5} goes on with them; the shelf takes the machine as it is described now")
    said(f"  {ANEW:5} reads all of it, as of another machine")
    return _on_or_anew(prompt)


def _adopts(found: Brought, prompt: Callable[[str], str], said: Callable[[str], None]) -> bool:
    """Ask whether readings that were brought here as a table are those of this worksheet."""
    names = " and ".join(found.sources) or "a table"
    said(f"The shelf has {found.readings} readings of set-ups like these, put there from {names}.")
    said(f"  {ON:5} goes on with them and asks for the rest")
    said(f"  {ANEW:5} reads all of it; they stay on the shelf")
    return _on_or_anew(prompt)


def _on_or_anew(prompt: Callable[[str], str]) -> bool:
    while True:
        try:
            answer = prompt(f"  {ON} or {ANEW} (q ends): ").strip()
        except (EOFError, KeyboardInterrupt) as end:
            raise Ends from end
        if answer in (ON, ANEW):
            return answer == ON
        if answer == "q":
            raise Ends
