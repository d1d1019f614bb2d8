"""The options that say what a redesign is to reach, and with what; the proposal they ask for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from plumbrise.cli.options import EXISTING, Decorated
from plumbrise.errors import InputError
from plumbrise.quantity import typed

if TYPE_CHECKING:
    from plumbrise.explain import Explanation
    from plumbrise.machine import Machine
    from plumbrise.redesign import Proposal, Workshop

TARGETS = (
    ("lost_motion", "lost-motion", "Most lost motion after homing, worse end: 0.05, 50um, 2thou."),
    ("sides", "sides", "Most that one end may lose more than another."),
    ("bands", "bands", "Most amplitude of bands."),
    ("home_range", "home-range", "Most range of ten homings."),
    ("height", "height", "Most height error over 100 mm, or in %."),
    ("push", "push", "Most that an upright may give under a push of 10 N."),
)


class Limit(click.ParamType[float]):
    """The most that one figure may be, in any unit of length."""

    name = "length"

    def __init__(self, figure: str) -> None:
        self.figure = figure

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """What was typed as mm."""
        from plumbrise.redesign.figures import FIGURES, limit_of

        try:
            return limit_of(FIGURES[self.figure], str(value))
        except InputError as problem:
            self.fail(_without_place(problem), param, ctx)


class Money(click.FloatRange):
    """An amount of money, not below 0."""

    def __init__(self) -> None:
        super().__init__(min=0)

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """What was typed, if it is a number that ends."""
        amount: float = super().convert(value, param, ctx)
        if not isfinite(amount):
            self.fail(f"{value!r} is no amount of money.", param, ctx)
        return amount


class Share(click.ParamType[float]):
    """A probability: 0.9 or 90%."""

    name = "share"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """What was typed as a share of 1."""
        said = str(value).strip()
        try:
            share = typed(said.removesuffix("%"), "its own", "")
        except InputError as problem:
            self.fail(_without_place(problem), param, ctx)
        share = share / 100 if said.endswith("%") else share
        if not 0 < share <= 1:
            self.fail(f"{said!r} is not a probability such as 0.9 or 90%.", param, ctx)
        return share


def _without_place(problem: InputError) -> str:
    """What is wrong; click names the option."""
    return f"{problem.value!r} given, {problem.allowed} allowed. {problem.remedy}"


def takes_targets(command: Decorated) -> Decorated:
    """Targets, budget, probability, workshop: what `proposal_for` and `asks` read."""
    limits = [
        click.option(f"--{figure}", name, type=Limit(figure), metavar="LENGTH", help=words)
        for name, figure, words in TARGETS
    ]
    others = (
        click.option("--stays-up", is_flag=True, help="It must stay up with motors off."),
        click.option(
            "--budget",
            type=Money(),
            help="Most money for parts, by the prices to be expected.",
        ),
        click.option(
            "--probability",
            type=Share(),
            help="How sure the targets must be met: 0.9 or 90%.  [default: 0.7]",
        ),
        click.option(
            "--workshop",
            "workshop_path",
            type=EXISTING,
            help="Your own prices, hours, parts and tools (TOML).",
        ),
        click.option(
            "--without", multiple=True, metavar="CHANGE", help="A change that is ruled out."
        ),
        click.option(
            "--take",
            multiple=True,
            metavar="CHANGE",
            help="Take this change, with all others so named, instead of the cheapest set.",
        ),
        click.option(
            "--at-hand",
            multiple=True,
            metavar="CHANGE",
            help="A change whose parts you have already.",
        ),
        click.option(
            "--hour-worth",
            type=Money(),
            help="What an hour of work counts in money; 0 counts money alone.  [default: 10]",
        ),
    )
    for option in reversed((*limits, *others)):
        command = option(command)
    return command


def asks(asked: Mapping[str, Any]) -> bool:
    """Whether any of these options was given."""
    return any(value not in (None, False, ()) for value in asked.values())


def workshop_of(asked: Mapping[str, Any]) -> Workshop:
    """The workshop of the file, if there is one, and what the options add to it.

    Raises:
        InputError: a change that is none, or a file that cannot be used.
    """
    from plumbrise.redesign.named import known_changes
    from plumbrise.redesign.workshop import Workshop

    path: Path | None = asked["workshop_path"]
    found = Workshop()
    if path is not None:
        from plumbrise.files.decoding import text_of
        from plumbrise.files.workshop_file import read_workshop

        found = read_workshop(text_of(path.read_bytes(), name=path.name).text, name=path.name)
    worth = asked["hour_worth"]
    return replace(
        found,
        without=found.without | known_changes("--without", asked["without"]),
        at_hand=found.at_hand | known_changes("--at-hand", asked["at_hand"]),
        hour_worth=found.hour_worth if worth is None else worth,
    )


def proposal_for(
    machine: Machine,
    explanation: Explanation,
    asked: Mapping[str, Any],
    workshop: Workshop,
    *,
    seed: int,
) -> Proposal:
    """What to change, for the targets of these options and the workshop that they give."""
    import numpy as np

    from plumbrise.redesign import redesign, targets_of
    from plumbrise.redesign.redesigning import PROBABILITY

    limits = {figure: asked[name] for name, figure, _ in TARGETS if asked[name] is not None}
    return redesign(
        machine,
        explanation,
        targets_of(limits, stays_up=asked["stays_up"]),
        rng=np.random.default_rng(seed),
        probability=PROBABILITY if asked["probability"] is None else asked["probability"],
        budget=asked["budget"],
        workshop=workshop,
        taken=frozenset(asked["take"]) or None,
    )
