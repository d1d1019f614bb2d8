"""What readings say by themselves: the result of `analyse`."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.quantity import Measured
from plumbrise.readings import Run


@dataclass(frozen=True, slots=True)
class Part:
    """One line of an uncertainty budget: a standard uncertainty, its degrees of freedom, and
    whether it comes from statistics (A) or from other knowledge (B) (GUM 4.2, 4.3)."""

    words: str
    u: float
    dof: float
    kind: str


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure of design: `name` is its key in JSON, `detail` tells figures of one name apart
    ("after 1 mm", "first steps", "up"). `at_least` marks a lower bound (a run that did not
    settle)."""

    name: str
    value: Measured
    detail: str = ""
    at_least: bool = False
    at_mm: float | None = None
    budget: tuple[Part, ...] = ()


@dataclass(frozen=True, slots=True)
class CannotTell:
    """A figure that these readings do not give: why, and what would."""

    name: str
    why: str
    need: str
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Oddity:
    """Something odd that was found unasked. `readings` are indices in the run, `kind` one of
    misread, turned-sign, bump, transient, curved, one-reading-decides, quantised, drift,
    disagreement; `set_aside` says whether the figures leave these readings out."""

    kind: str
    words: str
    readings: tuple[int, ...] = ()
    size_mm: float | None = None
    set_aside: bool = False


@dataclass(frozen=True, slots=True)
class Target:
    """ISO 230-2 statistics at one target: deviations are reading less target, mm."""

    target_mm: float
    mean_up_mm: float | None
    mean_down_mm: float | None
    sd_up_mm: float | None
    sd_down_mm: float | None
    reversal_mm: float | None
    n_up: int
    n_down: int


@dataclass(frozen=True, slots=True)
class RunAnalysis:
    """What one run says. `mended_mm` are the readings as used, in the order of `run.readings`,
    None where a reading was set aside: sign slips turned, bumps taken out, zeroed at the first
    reading."""

    run: Run
    figures: tuple[Figure, ...]
    cannot_tell: tuple[CannotTell, ...]
    oddities: tuple[Oddity, ...]
    targets: tuple[Target, ...]
    mended_mm: tuple[float | None, ...]

    def figure(self, name: str, detail: str = "") -> Figure | None:
        """The figure of this name, None if the run does not give it."""
        for figure in self.figures:
            if figure.name == name and figure.detail == detail:
                return figure
        return None


@dataclass(frozen=True, slots=True)
class BetweenRuns:
    """A figure that takes two runs or more: which ones, and the figure or why not."""

    runs: tuple[str, ...]
    figure: Figure | CannotTell


@dataclass(frozen=True, slots=True)
class CrossCheck:
    """Loop width against stiffness and drag: `measured` from a reversal or staircase,
    `expected` = 2 · drag / stiffness from dead weights and pulls (None: not measured)."""

    words: str
    measured: Measured | None
    expected: Measured | None
    agrees: bool | None


@dataclass(frozen=True, slots=True)
class Analysis:
    """What a session says by itself, no machine model."""

    runs: tuple[RunAnalysis, ...]
    between: tuple[BetweenRuns, ...]
    cross_checks: tuple[CrossCheck, ...]
    oddities: tuple[Oddity, ...]
    remarks: tuple[str, ...]
