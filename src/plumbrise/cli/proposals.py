"""The options that say what a redesign is to reach, and with what; the proposal they ask for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from plumbrise.cli.options import EXISTING, Decorated

if TYPE_CHECKING:
    from plumbrise.explain import Explanation
    from plumbrise.machine import Machine
    from plumbrise.redesign import Proposal, Workshop

TARGETS = (
    ("lost_motion", "lost-motion", "Most lost motion after homing, at the worse end."),
    ("sides", "sides", "Most that one end may lose more than another."),
    ("bands", "bands", "Most amplitude of bands."),
    ("home_range", "home-range", "Most range of ten homings."),
    ("height", "height", "Most height error over 100 mm."),
    ("push", "push", "Most that an upright may give under a push of 10 N."),
)


def takes_targets(command: Decorated) -> Decorated:
    """Targets, budget, probability, workshop: what `proposal_for` and `asks` read."""
    limits = [
        click.option(
            f"--{figure}",
            name,
            type=click.FloatRange(min=0, min_open=True),
            metavar="MM",
            help=words,
        )
        for name, figure, words in TARGETS
    ]
    others = (
        click.option("--stays-up", is_flag=True, help="It must stay up with motors off."),
        click.option("--budget", type=click.FloatRange(min=0), help="Most money for parts."),
        click.option(
            "--probability",
            type=click.FloatRange(0, 1, min_open=True),
            help="How sure the targets must be met.  [default: 0.7]",
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
            "--at-hand",
            multiple=True,
            metavar="CHANGE",
            help="A change whose parts you have already.",
        ),
        click.option(
            "--hour-worth",
            type=click.FloatRange(min=0),
            help="What an hour of work counts in money.  [default: 10]",
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
    from plumbrise.redesign.workshop import Workshop, known_changes

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
    )
