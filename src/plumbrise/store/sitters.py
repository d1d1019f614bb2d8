"""Who sits at a plan, and what one of them is told when another does too."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Required, TypedDict

from plumbrise.errors import InputError


class Who(TypedDict, total=False):
    """Who reads with what: `source` says where readings come from, `gauge_serial` tells this gauge
    from others, `inches` says what it shows."""

    who: str
    source: str
    gauge_serial: str
    inches: bool


class How(Who):
    """The same, and since when: `since_s` gives the seconds since the sitting began, `label` names
    it."""

    since_s: Required[Callable[[], float]]
    label: Required[str]


class Overtaken(InputError):
    """Something was done with this plan from elsewhere since it was last looked at. Nothing of the
    act was kept, and the sitting holds what stands now."""

    def __init__(self) -> None:
        super().__init__(
            place="this plan",
            value="something else was done meanwhile",
            allowed="in another window or on the page",
            remedy="Nothing was done here; see what is asked now.",
        )

    def __str__(self) -> str:
        return f"Meanwhile {self.allowed} {self.value}. {self.remedy}"


@dataclass(frozen=True, slots=True)
class Beside:
    """A value that came for a reading which was taken or left before: it is marked beside it. The
    reading's run, its number from 1, what stands (None where nothing was read) and what came."""

    run: str
    number: int
    stands_mm: float | None
    came_mm: float | None
