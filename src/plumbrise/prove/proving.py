"""From two sessions to a proof."""

from __future__ import annotations

from collections.abc import Mapping

from plumbrise.explain import Explanation, Interval
from plumbrise.prove.comparing import chance, could_show, difference, minded, ratio, verdict
from plumbrise.prove.fairness import extra_u_mm, fairness
from plumbrise.prove.figures import JUDGED, Given, Key, figures_of, home_u_mm, off
from plumbrise.prove.results import (
    Compared,
    Fairness,
    LinkMoved,
    Promise,
    Proof,
    Stage,
    Verdict,
)
from plumbrise.quantity import Measured, Unit

STEPS = ("fine-steps", "coarse-steps")
GOOD_MM = 0.05
"""Below this lost motion no longer shows in layers of 0.2 mm (common practice, no source)."""

Promised = Mapping[str, Mapping[str, Interval]]
"""By figure of redesign and station, what was predicted."""


def prove(before: Stage, after: Stage, promised: Promised | None = None) -> Proof:
    """What changed between two sessions, figure by figure, and whether it may be said.

    Args:
        before: the session before the work.
        after: the session after it; the machine may be another one by then.
        promised: predictions of the proposal that was carried out, if there was one.
    """
    fair = fairness(before, after)
    was, now = figures_of(before.analysis), figures_of(after.analysis)
    figures = _compared(fair, was, now)
    promises = _promises(promised or {}, now)
    return Proof(
        before=before.name,
        after=after.name,
        fairness=fair,
        figures=figures,
        promises=promises,
        links=_links(before.explanation, after.explanation),
        remains=_remains(now),
        headline=_headline(figures),
        advice=_advice(figures, now),
    )


def _compared(
    fair: Fairness, was: Mapping[Key, Given], now: Mapping[Key, Given]
) -> tuple[Compared, ...]:
    home = max(home_u_mm(was), home_u_mm(now))
    pairs = [
        (key, off(was[key], home), off(now[key], home))
        for key in was
        if key in now and key[2] in JUDGED
    ]
    changes = [
        difference(one, two, extra_u_mm(fair, key[:2]) if one.unit is Unit.MM else 0.0)
        for key, one, two in pairs
    ]
    chances = minded([chance(change) for change in changes])
    found = []
    for (key, one, two), change, p in zip(pairs, changes, chances, strict=True):
        kind, station, figure, detail = key
        said = verdict(one, change, p)
        unlike = [u for u in fair.differs if u.effect_mm is None and key[:2] in u.runs]
        if unlike:
            said = Verdict.CANNOT_TELL
        found.append(
            Compared(
                kind,
                station,
                figure,
                detail,
                was[key].value,
                now[key].value,
                change,
                ratio(one, two),
                p,
                could_show(change),
                said,
            )
        )
    return tuple(found)


def _promises(promised: Promised, now: Mapping[Key, Given]) -> tuple[Promise, ...]:
    found = []
    for station, interval in promised.get("lost-motion", {}).items():
        came = next(
            (now[(kind, station, "lost_motion", "")].value for kind in STEPS
             if (kind, station, "lost_motion", "") in now),
            None,
        )  # fmt: skip
        kept = None
        if came is not None:
            kept = came.value - came.expanded <= interval.high
        found.append(Promise("lost-motion", station, interval, came, kept))
    return tuple(found)


def _links(was: Explanation | None, now: Explanation | None) -> tuple[LinkMoved, ...]:
    if was is None or now is None:
        return ()
    after = {(one.link, one.side): one for one in now.links}
    return tuple(
        LinkMoved(one.link, one.side, station, loss, after[(one.link, one.side)].loss_mm[station])
        for one in was.links
        for station, loss in one.loss_mm.items()
        if (one.link, one.side) in after and station in after[(one.link, one.side)].loss_mm
    )


def _remains(now: Mapping[Key, Given]) -> dict[str, Measured]:
    """Lost motion that is left, by station; from steps where there are any."""
    found: dict[str, Measured] = {}
    for kind in (*STEPS, "reversal", "full-travel"):
        for (of_kind, station, figure, _), given in now.items():
            if of_kind == kind and figure == "lost_motion":
                found.setdefault(station, given.value)
    return found


def _headline(figures: tuple[Compared, ...]) -> str:
    if not figures:
        return "Nothing can be compared: the two sessions have no test in common."
    counts = {v: [one for one in figures if one.verdict is v] for v in Verdict}
    best = min(
        (one for one in counts[Verdict.BETTER] if one.figure == "lost_motion"),
        key=lambda one: one.change.value,
        default=None,
    )
    parts = [f"{len(some)} {v}" for v, some in counts.items() if some]
    said = f"Of {len(figures)} figures: {', '.join(parts)}."
    if best is None:
        return said
    return f"Lost motion at {best.station} went from {best.before} to {best.after}. {said}"


def _advice(figures: tuple[Compared, ...], now: Mapping[Key, Given]) -> str:
    worse = [one for one in figures if one.verdict is Verdict.WORSE]
    left = _remains(now)
    above = {s: m for s, m in left.items() if m.value - m.expanded > GOOD_MM}
    unsure = {s: m for s, m in left.items() if abs(m.value - GOOD_MM) <= m.expanded}
    if worse:
        names = ", ".join(dict.fromkeys(f"{one.figure} at {one.station}" for one in worse))
        return f"Something got worse ({names}): find out why before going on."
    if not left:
        return "Lost motion was not read after the work: read steps at both ends."
    if above:
        names = ", ".join(f"{s} {m}" for s, m in above.items())
        return f"More than {GOOD_MM:g} mm is left ({names}): explain the new readings and go on."
    if unsure:
        return f"What is left is near {GOOD_MM:g} mm: more readings would tell on which side."
    return f"Less than {GOOD_MM:g} mm is left where it was read: going on would gain little."
