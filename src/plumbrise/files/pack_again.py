"""A pack's numbers worked out again: do machine and readings still say what it says of them?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice
from math import isclose
from typing import Any

from plumbrise.analyse import Analysis, analyse
from plumbrise.errors import InputErrors
from plumbrise.explain.results import Explanation
from plumbrise.files.archive import shown
from plumbrise.files.machine_file import read_machine
from plumbrise.files.pack import PackNotWhole, Stage
from plumbrise.files.readings_table import read_readings
from plumbrise.files.results import analysis_dict, explanation_dict
from plumbrise.machine import Machine
from plumbrise.readings import Readings, scale_of

SAME, NEAR, OTHER = "same", "near", "other"
RELATIVE, ABSOLUTE = 1e-6, 1e-9
"""What the order of a processor's sums may change of a number that nobody draws."""
NEAR_PROBABILITY, NEAR_LOSS_MM, NEAR_SHARE = 0.05, 0.021, 0.15
"""What may change of a cause where draws fall otherwise on another processor."""
MOST_TOLD = 5

Json = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Agreement:
    """`verdict` is "same", "near" (draws fell otherwise) or "other"; `told` names what is other."""

    verdict: str
    told: tuple[str, ...] = ()


def results_of(analysis: Analysis, explanation: Explanation | None) -> Json:
    """What `results.json` of a stage holds."""
    return {
        "version": 1,
        "analysis": analysis_dict(analysis),
        "explanation": None if explanation is None else explanation_dict(explanation),
    }


def session_in(stage: Stage) -> tuple[Machine, Readings]:
    """The machine and the readings of a stage.

    Raises:
        PackNotWhole: they cannot be read.
    """
    try:
        machine = read_machine(stage.machine, name=f"{stage.name}/machine.toml")
        readings = read_readings(
            stage.readings.encode("utf-8"),
            name=f"{stage.name}/readings.csv",
            scale=scale_of(machine),
            arrangement=machine.arrangement,
            as_written=True,
        )
    except InputErrors as several:
        raise PackNotWhole(several.problems) from None
    return machine, readings


def analysed_again(stage: Stage, machine: Machine, readings: Readings) -> Agreement:
    """Whether the readings still say by themselves what the pack says."""
    again = analysis_dict(analyse(readings, scale_of(machine)))
    return _agreement(stage.results["analysis"], again)


def explained_anew(stage: Stage, machine: Machine, readings: Readings) -> Explanation | None:
    """What the axis model makes of a stage; None where the pack says nothing of that."""
    if not isinstance(stage.results.get("explanation"), dict):
        return None
    import numpy as np

    from plumbrise.explain import explain

    return explain(machine, readings, rng=np.random.default_rng(0))


def explained_again(stage: Stage, anew: Explanation) -> Agreement:
    """Whether the axis model still makes of a stage what the pack says."""
    packed, again = stage.results["explanation"], explanation_dict(anew)
    found = _agreement(packed, again)
    if found.verdict == OTHER:
        near, now = _of_causes(packed), _of_causes(again)
        far = tuple(_told(k, v, now.get(k)) for k, v in near.items() if _far(k, v, now.get(k)))
        if not far and near.keys() == now.keys():
            return Agreement(NEAR, found.told)
        return Agreement(OTHER, far[:MOST_TOLD] or found.told)
    return found


def _agreement(packed: Json, again: Json) -> Agreement:
    found = tuple(islice(differences(packed, again), MOST_TOLD))
    return Agreement(OTHER if found else SAME, found)


def differences(packed: Any, again: Any, at: str = "") -> Iterator[str]:
    """Each number of the pack that does not come out again. Words may be put otherwise, and what
    the pack does not know of is passed over: a later version may say more.

    Example:
        >>> list(differences({"u": [0.01, 0.02]}, {"u": [0.01, 0.03], "dof": 4}))
        ['u[1]: 0.02 in the pack, 0.03 now']
    """
    if isinstance(packed, dict) and isinstance(again, dict):
        for key, value in packed.items():
            yield from differences(value, again.get(key), f"{at}.{key}" if at else key)
    elif isinstance(packed, list) and isinstance(again, list) and len(packed) == len(again):
        for i, (one, other) in enumerate(zip(packed, again, strict=True)):
            yield from differences(one, other, f"{at}[{i}]")
    elif not _alike(packed, again):
        yield _told(at, packed, again)


def _told(at: str, packed: Any, again: Any) -> str:
    return f"{shown(at.encode())}: {_short(packed)} in the pack, {_short(again)} now"


def _alike(packed: Any, again: Any) -> bool:
    if isinstance(packed, str) and isinstance(again, str):
        return True
    if _is_number(packed) and _is_number(again):
        return _close(packed, again, RELATIVE, ABSOLUTE)
    return type(packed) is type(again) and bool(packed == again)


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _close(one: float, other: float, share: float, apart: float) -> bool:
    try:
        return isclose(one, other, rel_tol=share, abs_tol=apart)
    except OverflowError:  # a number that no axis gives
        return False


def _short(value: Any) -> str:
    if isinstance(value, dict | list):
        return f"{len(value)} entries"
    if isinstance(value, float):
        return f"{value:.6g}"
    return shown(str(value).encode("utf-8", "replace")[:30])


def _of_causes(explanation: Json) -> dict[str, Any]:
    """Probability and losses of each cause by its name; what has another shape is left out."""
    found: dict[str, Any] = {}
    causes = explanation.get("causes")
    for cause in causes if isinstance(causes, list) else ():
        if isinstance(cause, dict) and isinstance(cause.get("cause"), str):
            losses = cause.get("loss_mm")
            found[f"{cause['cause']}, probability"] = cause.get("probability")
            for station, loss in losses.items() if isinstance(losses, dict) else ():
                found[f"{cause['cause']}, {station}"] = loss
    return found


def _far(said: str, packed: Any, again: Any) -> bool:
    """True where a probability or a loss is another than draws can make of it."""
    if not _is_number(packed) or not _is_number(again):
        return not _alike(packed, again)
    if said.endswith(", probability"):
        return not _close(packed, again, 0.0, NEAR_PROBABILITY)
    return not _close(packed, again, NEAR_SHARE, NEAR_LOSS_MM)
