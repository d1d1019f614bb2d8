"""From machine and readings to an explanation."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import log

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import prepare
from plumbrise.explain.believed import believed
from plumbrise.explain.calibration import Signs, calibrated
from plumbrise.explain.causes import causes_of
from plumbrise.explain.causes_seen import (
    Depth,
    Group,
    depth_of,
    flexes_unread,
    groups_of,
    seen_causes,
)
from plumbrise.explain.chain import (
    Bench,
    bench_of,
    ends_of,
    interval,
    links_and_sides,
    loss_by_cause,
)
from plumbrise.explain.doubts import doubts_of
from plumbrise.explain.draws import Draws, draw, gaps_of, masked_by_slip
from plumbrise.explain.fit import TRUSTED, model_of
from plumbrise.explain.joint import Joint
from plumbrise.explain.left_over import left_over
from plumbrise.explain.next_test import next_tests
from plumbrise.explain.results import (
    CauseFinding,
    Explanation,
    Force,
    GroupFinding,
    Interval,
    SetFinding,
    Slip,
    Unexplained,
)
from plumbrise.explain.search import Found, search
from plumbrise.explain.space import space_of
from plumbrise.explain.steps_lost import share_jumps
from plumbrise.explain.why import Leaving, not_seen, reasons, rival_of, set_fits
from plumbrise.explain.witness import witness
from plumbrise.machine import Machine, known
from plumbrise.readings import Readings, scale_of
from plumbrise.readings.kinds import DEAD_WEIGHT, HOLD, WARM_UP

Vector = NDArray[np.float64]

LEAST_READINGS = 4
FIRST_DRAWS, FIRST_STEPS = 8, 8
MASKED = (
    "The clamp of the coupling slips so far that little else can be told: tighten it, mark shaft "
    "and coupling, and read again."
)
MOST_UNSPLIT, MOST_ONCE, MOST_IF_GONE, MOST_MASKED = 0.85, 0.8, 0.5, 0.3
CLEAR_SIGN = 1.5
"""A sign of something else this far over its limit leaves no cause sure."""
SPLIT = 0.05
"""A cause less likely than this, as computed, is out of its group."""


def explain(
    machine: Machine,
    readings: Readings,
    *,
    rng: np.random.Generator,
    progress: Callable[[Explanation], bool] | None = None,
    trusted: float = TRUSTED,
) -> Explanation:
    """What the readings say of the causes.

    Args:
        machine: the axis as described; what is left out takes its default.
        readings: the session.
        rng: all chance comes from here; the same state gives the same answer.
        progress: gets a first answer early (`complete` False), then better ones; returns False
            to stop, and what was best so far is returned.
        trusted: how many readings hold as much as the axis model can be believed; `math.inf`
            believes it wholly, which only its own simulations deserve.

    Returns:
        Causes, sets and groups with probabilities, the chain of losses, what is left over, and
        what to read next. Too little to go by gives an explanation that says so.

    Raises:
        InputError: a station that this machine does not have.
    """
    session = prepare(machine, readings)
    depth = depth_of(machine, readings)
    seen = witness(
        session,
        float(known(machine, "gauge.resolution_mm").value),
        machine.screw.common.lead_u,
    )
    if not depth.links or seen.count < LEAST_READINGS or not _moved(seen.read_mm):
        return _cannot_tell(machine)
    space = space_of(machine, session)
    possible = seen_causes(depth)
    bench = bench_of(machine, session)
    stopped = False

    def told(found: Found) -> bool:
        nonlocal stopped
        if progress is None:
            return True
        own = rng.spawn(1)[0]  # whoever watches gets the same last answer as who does not
        first = _assembled(machine, readings, bench, depth, found, own, FIRST_DRAWS)
        stopped = not progress(replace(first, complete=False))
        return not stopped

    found = search(model_of(space, seen, trusted), possible, told)
    made = _assembled(machine, readings, bench, depth, found, rng)
    return replace(made, complete=not stopped)


def _moved(read_mm: Vector) -> bool:
    return bool(np.ptp(read_mm) > 0) if len(read_mm) else False


def _assembled(
    machine: Machine,
    readings: Readings,
    bench: Bench,
    depth: Depth,
    found: Found,
    rng: np.random.Generator,
    each: int | None = None,
) -> Explanation:
    order = causes_of(machine.arrangement)
    draws = draw(found, rng) if each is None else draw(found, rng, each, FIRST_STEPS)
    draws, jump_words = share_jumps(found, draws, scale_of(machine).full_step_mm, rng)
    seen_set = seen_causes(depth)
    groups = [_open(g, draws) for g in groups_of(machine, depth)]
    groups = [g for g in groups if not (g.may_split and _split(draws, g))]
    unsplit = frozenset(cause for group in groups for cause in group.causes)
    fits, unexplained = left_over(found)
    seen_order = tuple(c for c in order if c in seen_set)
    masked = masked_by_slip(draws)
    stood = sum(run.kind in (HOLD, WARM_UP) for run in readings.runs)
    caps = _caps(order, unsplit, masked, unexplained, stood)
    joint = calibrated(
        order,
        _sets(draws),
        seen_set,
        depth.name,
        signs=_signs(found, draws, seen_order, unexplained),
        alike=[group.causes for group in groups if group.alike],
        most={cause: cap.most for cause, cap in caps.items()},
        elsewhere={"frame-flex": flexes_unread(machine, depth.pushed)},
    )
    stated = {cause: joint.of(cause) for cause in order}
    losses = bench.losses(draws.thetas)
    read = _stations_read(readings)
    links, sides = links_and_sides(machine, draws, losses, read)
    ends = ends_of(machine)
    causes = []
    leaving = Leaving(found, {})
    for cause in order:
        could = cause in seen_set
        loss = loss_by_cause(found.model.space, draws, bench, losses, cause) if could else {}
        if could:
            for_it, against = reasons(found, leaving, cause, stated[cause], loss)
        else:
            for_it, against = (), not_seen(cause)
        causes.append(
            CauseFinding(
                cause,
                stated[cause],
                loss or dict.fromkeys(ends, Interval(0.0, 0.0, 0.0)),
                _parameters(found, draws, cause),
                could,
                for_it,
                against,
                caps[cause].why if cause in caps and stated[cause] >= caps[cause].most else "",
            )
        )
    causes.sort(key=lambda c: -c.probability)
    group_findings = [_group(g, joint, found, draws, bench, losses) for g in groups]
    tests = (
        next_tests(
            machine,
            found.model.witness,
            draws,
            frozenset((run.kind.id, run.station.id) for run in readings.runs),
            [g.causes for g in groups],
            rng,
            shown=seen_set,
            stated=stated,
        )
        if each is None
        else ()
    )
    sets = set_fits(found, leaving, fits)
    stated_sets = joint.likeliest(seen_order)
    return Explanation(
        causes=tuple(causes),
        links=links,
        sides=sides,
        sets=tuple(SetFinding(s, share) for s, share in stated_sets),
        groups=tuple(sorted(group_findings, key=lambda g: -g.probability)),
        unexplained=unexplained,
        next_tests=tests,
        fits=fits,
        set_fits=sets,
        rival=rival_of(found, [s for s, _ in stated_sets], sets, fits),
        slips=_slips(found, jump_words),
        forces=_forces(machine, readings, found, draws),
        doubts=(*((MASKED,) if masked else ()), *doubts_of(readings, depth, found, unexplained)),
        believed=believed(found, draws, joint),
    )


def _sets(draws: Draws) -> dict[frozenset[str], float]:
    """Computed probability of each set that matters."""
    out: dict[frozenset[str], float] = {}
    names = list(draws.takes)
    for i, weight in enumerate(draws.weight):
        key = frozenset(c for c in names if draws.takes[c][i])
        out[key] = out.get(key, 0.0) + float(weight)
    return out


@dataclass(frozen=True, slots=True)
class Cap:
    """The most that may be stated of a cause, and why."""

    most: float
    why: str


def _caps(
    causes: Sequence[str],
    unsplit: frozenset[str],
    masked: frozenset[str],
    left: Unexplained,
    stood: int,
) -> dict[str, Cap]:
    """The most that may be stated of some causes: members of groups that the session cannot tell
    apart, causes that a slipping clamp hides, and all of them where something else goes on.
    `stood` is how many runs stood still with times."""
    found = [(c, Cap(MOST_UNSPLIT, "no reading splits it from others")) for c in unsplit]
    clear = any(sign.times_its_limit >= CLEAR_SIGN for sign in left.signs)
    if clear or left.rms_mm > CLEAR_SIGN * left.expected_rms_mm:
        found += [(c, Cap(MOST_UNSPLIT, "something else is going on")) for c in causes]
    if any(sign.what == "come and gone" for sign in left.signs):  # a clamp never comes back
        gone = Cap(MOST_IF_GONE, "what stepped aside came back")
        found += [("coupling-slip", gone), ("lost-steps", gone)]
    if stood < 2:
        found.append(("idle-drop", Cap(MOST_ONCE, "one step in one run may as well be a bump")))
    found += [(c, Cap(MOST_MASKED, "the slipping clamp hides it")) for c in masked]
    caps: dict[str, Cap] = {}
    for cause, cap in found:
        if cause not in caps or cap.most < caps[cause].most:
            caps[cause] = cap
    return caps


def _open(group: Group, draws: Draws) -> Group:
    """A group without the causes that the readings rule out, where two or more stay."""
    if group.alike:
        return group
    stay = tuple(c for c, p in _held(draws, group).items() if p > SPLIT)
    return replace(group, causes=stay) if len(stay) >= 2 else group


def _held(draws: Draws, group: Group) -> dict[str, float]:
    """Computed probability of each cause of a group."""
    takes = draws.takes
    return {c: draws.mean(takes[c].astype(float)) for c in group.causes if c in takes}


def _split(draws: Draws, group: Group) -> bool:
    """Whether the readings have told the causes of a group apart: all but one are out of it, or
    the whole group is."""
    held = list(_held(draws, group).values())
    return sum(p > SPLIT for p in held) == 0 or (
        max(held) > 1 - SPLIT and sum(p > SPLIT for p in held) == 1
    )


def _signs(
    found: Found, draws: Draws, causes: Sequence[str], left: Unexplained
) -> dict[str, Signs]:
    """What was computed of each cause, for the map to what is stated."""
    misfit = log(max(left.rms_mm, 1e-6) / max(left.expected_rms_mm, 1e-6))
    gaps = gaps_of(found)
    out = {}
    for cause in causes:
        takes = draws.takes.get(cause)
        p = draws.mean(takes.astype(float)) if takes is not None else 0.0
        over = draws.over.get(cause)
        middle = draws.quantiles(over, (0.5,))[0] if over is not None else 0.0
        out[cause] = Signs(p, gaps.get(cause, 0.0), log(max(middle, 1e-3)), misfit)
    return out


def _stations_read(readings: Readings) -> frozenset[str]:
    return frozenset(
        run.station.id
        for run in readings.runs
        if run.kind.moves and run.axis == "up" and len(run.taken) >= 3
    )


def _parameters(found: Found, draws: Draws, cause: str) -> dict[str, Interval]:
    """Parameters of a cause with their intervals, named with their side."""
    out = {}
    for entry in found.model.space.entries:
        if entry.prior.cause == cause:
            values = draws.thetas[:, entry.place]
            if np.any(values > 0):
                out[entry.name.replace(":", "_")] = interval(draws, values)
    seen = found.model.witness
    for k, (name, term) in enumerate(zip(seen.names, seen.causes, strict=True)):
        if term == cause and name.split(":")[0] in ("lead-error", "gauge-tilt", "warm-drift"):
            if term == "gauge-tilt" and name != "gauge-tilt":
                continue
            out[name.replace(":", "_")] = interval(draws, draws.terms[:, k])
        elif term == cause and name.endswith(":cos"):
            size = np.hypot(draws.terms[:, k], draws.terms[:, k + 1])
            out[name[:-4].replace(":", "_") + "_amplitude_mm"] = interval(draws, size)
    return out


def _group(
    group: Group,
    joint: Joint,
    found: Found,
    draws: Draws,
    bench: Bench,
    losses: dict[str, Vector],
) -> GroupFinding:
    """A group's probability, and what returns when all of it is put back to sound."""
    sound = draws.thetas
    for cause in group.causes:
        sound = found.model.space.healthy(cause, sound)
    mended = bench.losses(sound)
    loss = {e: interval(draws, losses[e] - mended[e]) for e in ends_of(bench.machine)}
    return GroupFinding(group.causes, joint.of_any(group.causes), loss, group.split_by)


def _forces(machine: Machine, readings: Readings, found: Found, draws: Draws) -> tuple[Force, ...]:
    hung = any(
        r.mass_kg or (r.force_n and run.kind is not None and run.axis == "up")
        for run in readings.runs
        for r in run.taken
        if run.kind is DEAD_WEIGHT or r.mass_kg
    )
    absolute = hung or machine.gantry.mass_kg is not None
    out = []
    for entry in found.model.space.entries:
        if entry.quantity == "drag_n":
            place = entry.name.partition(":")[2]
            values = draws.thetas[:, entry.place]
            out.append(Force("drag", place, interval(draws, values), absolute))
        elif entry.quantity == "weight_n":
            values = draws.thetas[:, entry.place]
            out.append(Force("weight", "", interval(draws, values), absolute))
    return tuple(out)


def _slips(found: Found, jump_words: tuple[Slip, ...]) -> tuple[Slip, ...]:
    return found.slips + jump_words


def _cannot_tell(machine: Machine) -> Explanation:
    """The honest answer to a table that says nothing of the causes."""
    order = causes_of(machine.arrangement)
    joint = calibrated(order, {frozenset(): 1.0}, frozenset(), "short")
    stated = {cause: joint.of(cause) for cause in order}
    ends = ends_of(machine)
    nothing = dict.fromkeys(ends, Interval(0.0, 0.0, 0.0))
    doubts = ("These readings are too few, or show no movement: no cause can be told from them.",)
    return Explanation(
        causes=tuple(
            CauseFinding(cause, stated[cause], nothing, {}, could_be_seen=False) for cause in order
        ),
        links=(),
        sides=(),
        sets=(),
        groups=(),
        unexplained=Unexplained(0.0, 0.0, "cannot tell"),
        next_tests=(),
        doubts=doubts,
    )
