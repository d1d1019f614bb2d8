"""From two sessions to a proof."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from plumbrise.prove.agreeing import turn_of_dial_mm
from plumbrise.prove.fairness import fairness
from plumbrise.prove.figures import Given, Key, begins_badly, ends_of_machine, figures_of
from plumbrise.prove.judging import also, judged, pairs
from plumbrise.prove.links import links_moved, machine_changes
from plumbrise.prove.promises import Promised, left, promises, sides_apart
from plumbrise.prove.reaches import compared_runs
from plumbrise.prove.results import GOOD_MM, Onward, Proof, Stage
from plumbrise.prove.telling import advice, headline
from plumbrise.redesign import Proposal


def prove(
    before: Stage,
    after: Stage,
    promised: Promised | None = None,
    *,
    target_mm: float = GOOD_MM,
) -> Proof:
    """What changed between two sessions, figure by figure, and whether it may be said.

    Args:
        before: the session before the work.
        after: the session after it; the machine may be another one by then.
        promised: predictions of the proposal that was carried out, if there was one.
        target_mm: the most that an end may lose, as it was aimed at.
    """
    return prove_all(before, [after], promised, target_mm=target_mm)[0]


def prove_all(
    before: Stage,
    afters: Sequence[Stage],
    promised: Promised | None = None,
    *,
    target_mm: float = GOOD_MM,
) -> tuple[Proof, ...]:
    """The same for several sessions after, each against the one before: all figures of all of
    them are minded together, so that many sessions do not make a chance find a proof.

    Args:
        before: the session before the work.
        afters: those after, in order.
        promised: what was promised, held against every one of them.
        target_mm: the most that an end may lose.
    """
    sides_by_side = [compared_runs(before, after) for after in afters]
    gathered = [_figures(was, now) for was, now, _ in sides_by_side]
    fair = [replace(fairness(was, now), aside=aside) for was, now, aside in sides_by_side]
    found = [
        pairs(was, now, ends_of_machine(after.machine))
        for after, (was, now) in zip(afters, gathered, strict=True)
    ]
    turn_mm = turn_of_dial_mm(before.machine, *(after.machine for after in afters))
    said = judged(list(zip(fair, found, strict=True)), turn_mm)
    made = []
    for i, after in enumerate(afters):
        was, now = gathered[i]
        remains, ends = left(now, said[i]), ends_of_machine(after.machine)
        unread = tuple(end for end in ends if end not in remains)
        kept = promises(promised or {}, now, remains, sides_apart(now, said[i], ends))
        made.append(
            Proof(
                before=before.name,
                after=after.name,
                fairness=fair[i],
                figures=said[i],
                promises=kept,
                links=links_moved(before.explanation, after.explanation),
                remains=remains,
                headline=headline(said[i]),
                advice=advice(said[i], remains, target_mm, unread),
                also=also(found[i], was, now),
                machine=machine_changes(before.machine, after.machine),
                onward=_onward(after.proposal),
                unread=unread,
                target_mm=target_mm,
            )
        )
    return tuple(made)


def _figures(before: Stage, after: Stage) -> tuple[dict[Key, Given], dict[Key, Given]]:
    """Both sessions' figures, the first cycle left out of both where it stands out in either."""
    skip = begins_badly(before) or begins_badly(after)
    return figures_of(before, skip), figures_of(after, skip)


def _onward(proposal: Proposal | None) -> Onward | None:
    if proposal is None or proposal.chosen is None:
        return None
    line = proposal.chosen.line
    return Onward(
        line.changes,
        line.cost.expected,
        proposal.currency,
        line.hours.expected,
        line.probability,
        proposal.met_already,
    )
