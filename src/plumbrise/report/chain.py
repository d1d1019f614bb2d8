"""The chain of losses as rows of a table: links that share a dimension stand in one row."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt

from plumbrise.drawing.marking import with_tie
from plumbrise.explain.results import Explanation, HowKnown, Interval, LinkLoss
from plumbrise.machine import Machine
from plumbrise.report.names import link_title, listed, lowered


@dataclass(frozen=True, slots=True)
class Row:
    """One dimension of the chain: its links, and what they take together at each end."""

    links: tuple[str, ...]
    side: str
    loss_mm: Mapping[str, Interval]
    known: HowKnown

    @property
    def title(self) -> str:
        """The links by name; several that cannot be told apart are joined by "or"."""
        names = [link_title(link) for link in self.links]
        return listed([names[0], *map(lowered, names[1:])], "or")

    @property
    def how(self) -> str:
        """How this row is known, for people."""
        return KNOWN_WORDS[self.known]


KNOWN_WORDS = {
    HowKnown.MEASURED: "measured",
    HowKnown.SHARED: "shared, cannot tell yet how",
    HowKnown.COMPUTED: "computed",
}


def chain(machine: Machine, explanation: Explanation) -> tuple[Row, ...]:
    """The rows of the chain in the order of the load path.

    The loss of a shared row is the one given for the whole dimension. Where none is given, half
    widths add as roots of squares: too wide rather than too narrow, since shares of one
    dimension trade off against each other.
    """
    rows: list[Row] = []
    done: set[tuple[str, str]] = set()
    for loss in explanation.links:
        if (loss.link, loss.side) in done:
            continue
        together = [
            other
            for other in explanation.links
            if other.side == loss.side
            and (other.link == loss.link or other.link in loss.shared_with)
            and (other.link, other.side) not in done
        ]
        done |= {(part.link, part.side) for part in together}
        apart = any(other.link == "tie" and other.side == loss.side for other in explanation.links)
        links = tuple(part.link for part in together)
        told = links if apart else with_tie(machine, loss.side, links)
        measured_with_tie = told != links and loss.known is HowKnown.MEASURED
        shared = len(together) > 1 or measured_with_tie
        rows.append(
            Row(
                links=told,
                side=loss.side,
                loss_mm=_sum(together),
                known=HowKnown.SHARED if shared else loss.known,
            )
        )
    return tuple(rows)


def _sum(parts: list[LinkLoss]) -> Mapping[str, Interval]:
    if len(parts) == 1:
        return parts[0].loss_mm
    stations = [s for s in parts[0].loss_mm if all(s in part.loss_mm for part in parts)]
    return {s: _added(s, parts) for s in stations}


def _added(station: str, parts: list[LinkLoss]) -> Interval:
    for part in parts:
        if station in part.together_mm:
            return part.together_mm[station]
    losses = [part.loss_mm[station] for part in parts]
    estimate = sum(loss.estimate for loss in losses)
    below = sqrt(sum((loss.estimate - loss.low) ** 2 for loss in losses))
    above = sqrt(sum((loss.high - loss.estimate) ** 2 for loss in losses))
    return Interval(estimate, estimate - below, estimate + above, losses[0].level)
