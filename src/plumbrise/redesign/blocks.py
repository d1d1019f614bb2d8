"""The figures of an axis after sets of changes, block by block: what it loses, its bands, its
homing, its scale, its frame."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from plumbrise.axis import predict_all, prepare
from plumbrise.axis.parameters import Parameters
from plumbrise.axis.vector import layout_of
from plumbrise.machine import STATIONS, Machine, known, lead_mm
from plumbrise.readings import Reading, Readings, Run
from plumbrise.readings.kinds import COARSE_STEPS
from plumbrise.redesign.axes import Drawn, altered, base_of, onto
from plumbrise.redesign.changes import Change
from plumbrise.redesign.falling import margin_nmm
from plumbrise.redesign.figures import (
    BAND,
    BANDS,
    FRAME,
    HEIGHT,
    HOME,
    HOME_RANGE,
    LOST_MOTION,
    MOTION,
    PUSH,
    RANGE_OF_TEN,
    SCALE,
    SIDES,
    STAYS_UP,
)
from plumbrise.redesign.load import gear_of, load_of
from plumbrise.redesign.machine_changed import machine_changed
from plumbrise.redesign.sets import Masks, members
from plumbrise.redesign.unread import OF_MOTOR, new_causes

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]

SETTLED_MM = 8.0
"""How far the axis is driven up from home: by then it has taken up what it loses."""
AT_ONCE = 256
"""Sets simulated in one go."""
PUSHED_N = 10.0
TERM = "term:"
TERMS_OF = {
    BANDS: ("screw-bend", "microstep-error"),
    HOME: ("home-scatter",),
    SCALE: ("lead-error",),
}
FRAME_ENTRIES = ("stiffness_n_per_mm", "joint_stiffness_n_per_mm", "slip_n")


def alters(change: Change, block: str) -> bool:
    """Whether a change alters figures of a block."""
    fields = {key for key, _ in change.machine}
    if block in TERMS_OF:
        touched = any(entry[len(TERM) :] in TERMS_OF[block] for entry in change.entries())
        return touched or (block in (BANDS, SCALE) and "arrangement" in fields)
    if block == FRAME:
        return bool(change.entries() & set(FRAME_ENTRIES))
    motion = {e for e in change.entries() if not e.startswith(TERM)} - set(FRAME_ENTRIES)
    slips = "term:coupling-slip" in change.entries()
    return bool(motion or slips or fields & {"arrangement", "screw.lead_mm"})


Made = tuple[dict[str, Matrix], dict[str, str]]
"""Values by figure, and figures that cannot be told with the reason."""


def _motion(machine: Machine, draws: Drawn, changes: Sequence[Change], masks: Masks) -> Made:
    lost = np.zeros((len(masks), draws.count))
    apart, spare = np.zeros_like(lost), np.full_like(lost, np.nan)
    for after, rows in _by_make(machine, changes, masks):
        base = base_of(draws.base, after)
        for some in np.array_split(rows, max(1, -(-len(rows) // AT_ONCE))):
            ends = ends_lost(draws, base, changes, masks[some])
            lost[some] = ends.max(axis=2)
            apart[some] = ends.max(axis=2) - ends.min(axis=2)
            spare[some] = _margin(draws, after, base, changes, masks[some])
    values = {LOST_MOTION.id: lost, SIDES.id: apart}
    if np.isnan(spare).any():
        return values, {STAYS_UP.id: "the lead of the screw is not known"}
    return values | {STAYS_UP.id: spare}, {}


_Make = tuple[Machine, NDArray[np.int64]]
"""A machine that sets make, and which of the sets."""


def _by_make(machine: Machine, changes: Sequence[Change], masks: Masks) -> list[_Make]:
    """The machines that sets make of this one, each with the sets that make it."""
    bits = sum(1 << k for k, c in enumerate(changes) if c.machine)
    keys, which = np.unique(masks & bits, return_inverse=True)
    makes: dict[Machine, list[NDArray[np.int64]]] = {}
    for k, key in enumerate(keys):
        after = machine_changed(machine, members(int(key), changes))
        makes.setdefault(after, []).append(np.flatnonzero(which == k))
    return [(after, np.sort(np.concatenate(rows))) for after, rows in makes.items()]


def ends_lost(draws: Drawn, base: Parameters, changes: Sequence[Change], masks: Masks) -> Matrix:
    """What each end loses after homing (mm): (sets, draws, ends), all sets of one make."""
    layout = layout_of(base)
    start = onto(draws, base)
    thetas = np.tile(start, (len(masks), 1, 1))
    touched = {entry for c in changes for entry in c.entries() if not entry.startswith(TERM)}
    for place, name in enumerate(layout.names):
        entry, _, end = name.partition(":")
        if entry in touched and entry not in FRAME_ENTRIES:
            thetas[:, :, place] = altered(
                draws, start[:, place], entry, end or None, changes, masks, base
            )
    thetas[:, :, layout.index("plunger_mm")] = 0.0
    session = prepare(base, _home_and_up(base))
    made = predict_all(session, thetas.reshape(-1, thetas.shape[2]), threads=2).reading_mm
    rises = np.stack(
        [made[:, rows.stop - 1] - made[:, rows.start] for rows in session.rows_of_run], axis=1
    )
    lost = SETTLED_MM - rises.reshape(len(masks), draws.count, len(base.ends))
    return np.asarray(lost + _sunk(draws, changes, masks, base)[:, :, None])


def _home_and_up(base: Parameters) -> Readings:
    rows = tuple(
        Reading(seq=i, target_mm=told, reading_mm=None, approach="up" if i else "down")
        for i, told in enumerate((0.0, SETTLED_MM / 2, SETTLED_MM))
    )
    names = [f"{base.arrangement.body}-{end}" for end in base.ends]
    return Readings(
        tuple(Run(name=n, kind=COARSE_STEPS, station=STATIONS[n], readings=rows) for n in names)
    )


def _sunk(draws: Drawn, changes: Sequence[Change], masks: Masks, base: Parameters) -> Matrix:
    """What a creeping clamp adds to what is lost (mm)."""
    sinks = [v for n, v in draws.terms.items() if n.startswith("coupling-slip") and n[-2:] == ":0"]
    now = np.maximum(np.mean(sinks, axis=0), 0.0) if sinks else np.zeros(draws.count)
    return altered(draws, now, "term:coupling-slip", None, changes, masks, base)


def _margin(
    draws: Drawn, after: Machine, base: Parameters, changes: Sequence[Change], masks: Masks
) -> Matrix:
    lead = lead_mm(after)
    if lead is None:
        return np.full((len(masks), draws.count), np.nan)
    load = load_of(draws, base, changes, masks, gear=gear_of(after))
    return margin_nmm(
        net_load_n=load.weight_n - load.drag_n,
        detent_nmm=load.detent_nmm,
        thread_friction=load.thread_friction,
        lead_mm=lead,
        starts=int(known(after, "screw.starts").value),
        diameter_mm=float(known(after, "screw.diameter_mm").value),
    )


def _with_new(
    draws: Drawn, cause: str, worst: Matrix, new: Matrix, made: Sequence[_Make]
) -> Matrix:
    """The worst of a cause, and of what the sets add that may have it too."""
    worst = worst.copy()
    for after, rows in made:
        if cause in new_causes(draws.base, base_of(draws.base, after)):
            worst[rows] = np.maximum(worst[rows], new[rows])
    return worst


def _waves(terms: Mapping[str, Vector], start: str) -> list[Vector]:
    """Amplitudes of the pairs of terms whose names begin so; sideways ones left out."""
    return [
        np.hypot(values, terms[f"{name[:-4]}:sin"])
        for name, values in terms.items()
        if name.startswith(start)
        and name.endswith(":cos")
        and "left-right" not in name
        and "front-back" not in name
    ]


def _bands(machine: Machine, draws: Drawn, changes: Sequence[Change], masks: Masks) -> Made:
    """Of the worse screw and the worse motor; nothing done to an old screw mends a new one, but
    its motor gains from a shorter lead as the old one does."""
    found = {cause: _waves(draws.terms, cause) for cause in TERMS_OF[BANDS]}
    if not any(found.values()):
        return {}, {BAND.id: "the lead of the screw is not known, or no moving run was read"}
    made = _by_make(machine, changes, masks)
    total = np.zeros((len(masks), draws.count))
    for cause, waves in found.items():
        if waves:
            entry, new = TERM + cause, np.max(_waves(draws.unread, cause), axis=0)
            worst = altered(draws, np.max(waves, axis=0), entry, None, changes, masks, draws.base)
            if cause == OF_MOTOR:
                coming = altered(draws, new, entry, None, changes, masks, draws.base)
            else:
                coming = np.tile(new, (len(masks), 1))
            total += _with_new(draws, cause, worst, coming, made)
    return {BAND.id: total}, {}


def _homing(_: Machine, draws: Drawn, changes: Sequence[Change], masks: Masks) -> Made:
    homes = [values for name, values in draws.terms.items() if name.startswith("home-scatter")]
    if len(homes) < 2:
        return {}, {HOME_RANGE.id: "homing was not read more than once"}
    sd = np.sqrt(np.mean(np.square(homes), axis=0))
    after = altered(draws, sd, "term:home-scatter", None, changes, masks, draws.base)
    return {HOME_RANGE.id: RANGE_OF_TEN * after}, {}


def _scale(machine: Machine, draws: Drawn, changes: Sequence[Change], masks: Masks) -> Made:
    """Of the screw whose lead is furthest off; one that a set adds is as unread screws are, and
    nothing that a change does to the old one mends it."""
    ratios = [np.abs(v) for name, v in draws.terms.items() if name.startswith("lead-error")]
    if not ratios:
        return {}, {HEIGHT.id: "no run was read that moves the axis"}
    worst = np.max(ratios, axis=0)
    off = altered(draws, worst, "term:lead-error", None, changes, masks, draws.base)
    coming = np.tile(np.abs(draws.unread["lead-error"]), (len(masks), 1))
    made = _by_make(machine, changes, masks)
    return {HEIGHT.id: 100.0 * _with_new(draws, "lead-error", off, coming, made)}, {}


def _frame(_: Machine, draws: Drawn, changes: Sequence[Change], masks: Masks) -> Made:
    pushed = [j.station for j in draws.base.frame if j.station != "frame-base"]
    pushed = [station for station in pushed if _was_read(draws, station)]
    if not pushed:
        return {}, {PUSH.id: "no upright was read while it was pushed"}
    names = layout_of(draws.base).names
    worst = np.zeros((len(masks), draws.count))
    for station in pushed:
        spring, seat, slip = (
            altered(
                draws,
                draws.thetas[:, names.index(f"{entry}:{station}")],
                entry,
                station,
                changes,
                masks,
                draws.base,
            )
            for entry in FRAME_ENTRIES
        )
        worst = np.maximum(worst, PUSHED_N / spring + np.maximum(PUSHED_N - slip, 0.0) / seat)
    return {PUSH.id: worst}, {}


def _was_read(draws: Drawn, station: str) -> bool:
    """Whether anything read moves what is believed of a joint: else all axes have one value."""
    names = layout_of(draws.base).names
    at = [names.index(f"{entry}:{station}") for entry in FRAME_ENTRIES]
    return bool(np.any(np.ptp(draws.thetas[:, at], axis=0) > 0))


MAKERS = {MOTION: _motion, BANDS: _bands, HOME: _homing, SCALE: _scale, FRAME: _frame}
"""By block: from machine, draws, changes and sets to values by figure, and what cannot be told."""
