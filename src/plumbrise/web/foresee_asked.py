"""What is asked of a forecast: the print, how it starts, and bands that were measured."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlencode

from starlette.datastructures import QueryParams

from plumbrise.errors import InputError
from plumbrise.foresee import Lift, Print, Start
from plumbrise.foresee.printing import LIFT_WORDS, START_WORDS
from plumbrise.redesign import CATALOGUE
from plumbrise.web import fault_words
from plumbrise.web import foresee_words as words
from plumbrise.web.slides import Slide, fault, number_in

MOST_LAYERS = 100
"""Each move of a slider lays them all anew."""
LONGEST = 40

MAIN = (
    Slide("layer", words.LAYER, "mm", 0.02, 1.0, 0.08, 0.4, 0.02),
    Slide("layers", words.LAYERS, "", 1, MOST_LAYERS, 1, 40, 1),
    Slide("width", words.WIDTH, "mm", 0.1, 3.0, 0.3, 1.0, 0.05),
    Slide("place", words.PLACE, "mm", 0.0, 5000.0, 0.0, 400.0, 10.0),
)
MORE = (
    Slide("first", words.FIRST, "mm", 0.02, 1.0, 0.1, 0.5, 0.02),
    Slide("offset", words.OFFSET, "mm", -0.9, 2.0, -0.2, 0.5, 0.01),
    Slide("dip", words.DIP, "mm", 0.0, 2.0, 0.0, 0.2, 0.01),
    Slide("lift-by", words.LIFT_BY, "mm", 0.01, 20.0, 0.1, 5.0, 0.1),
    Slide("probe", words.PROBE, "N", 0.0, 50.0, 0.0, 10.0, 0.5),
)
SPACING = Slide("spacing", words.SPACING, "mm", 0.01, 500.0, 0.2, 20.0, 0.1)
LAYER_TIME = Slide("layer-time", words.LAYER_TIME, "s", 0.5, 10_000.0, 1.0, 120.0, 1.0)
SLIDES = {one.name: one for one in (*MAIN, *MORE, SPACING, LAYER_TIME)}

FIELDS = {
    "layer": "layer_mm",
    "layers": "layers",
    "width": "width_mm",
    "place": "place_mm",
    "first": "first_mm",
    "offset": "offset_mm",
    "dip": "dip_to_mm",
    "lift-by": "lift_mm",
    "probe": "probe_n",
}
"""Name in an address -> name in the print."""
AFTER = "with"
"""Name in an address of a change, as often as there are changes."""
STARTS = tuple((str(one), START_WORDS[one]) for one in Start)
LIFTS = tuple((str(one), LIFT_WORDS[one]) for one in Lift)


@dataclass(frozen=True, slots=True)
class Asked:
    """The print that a forecast is made for, the changes (ids) after which, and bands that were
    measured. `given` is what the address said of print and bands that can be used."""

    job: Print = field(default_factory=Print)
    changes: tuple[str, ...] = ()
    spacing_mm: float | None = None
    layer_s: float | None = None
    given: Mapping[str, str] = field(default_factory=dict)


def asked_in(query: QueryParams) -> tuple[Asked, dict[str, str]]:
    """What an address asks for; by field, what of it cannot be used (its usual value stands in).

    Example:
        >>> asked, wrong = asked_in(QueryParams("layer=8 thou&lift=every&width=0"))
        >>> round(asked.job.layer_mm, 4), str(asked.job.lift), asked.job.width_mm, list(wrong)
        (0.2032, 'every', 0.45, ['width'])
    """
    numbers, wrong = numbers_in(query, tuple(SLIDES.values()))
    given = {name: query[name].strip()[:LONGEST] for name in numbers}
    chosen = {
        name: query[name]
        for name, choices in (("start", STARTS), ("lift", LIFTS))
        if query.get(name) in dict(choices)
    }
    if query.get("spiral") == "yes":
        chosen["spiral"] = "yes"
    given |= chosen
    job = _print(numbers, chosen, given, wrong)
    wanted = set(query.getlist(AFTER))
    changes = tuple(one.id for one in CATALOGUE.values() if one.id in wanted and not one.in_slicer)
    spacing, layer_s = numbers.get(SPACING.name), numbers.get(LAYER_TIME.name)
    return Asked(job, changes, spacing, layer_s, given), wrong


def numbers_in(
    query: QueryParams, slides: Sequence[Slide]
) -> tuple[dict[str, float], dict[str, str]]:
    """What was typed into these fields, and what of it cannot be used, both by field."""
    numbers: dict[str, float] = {}
    wrong: dict[str, str] = {}
    for slide in slides:
        said = query.get(slide.name, "").strip()[:LONGEST]
        if not said:
            continue
        try:
            numbers[slide.name] = _number(slide, said)
        except InputError as problem:
            wrong[slide.name] = str(problem)
    return numbers, wrong


def _number(slide: Slide, said: str) -> float:
    value = number_in(slide, said)
    if slide.name == "layers" and value != int(value):
        raise InputError(
            place=slide.title,
            value=said,
            allowed=fault_words.WHOLE_NUMBER,
            remedy=fault_words.WHOLE_LAYERS,
        )
    return value


def _print(
    numbers: dict[str, float], chosen: dict[str, str], given: dict[str, str], wrong: dict[str, str]
) -> Print:
    """The print; what does not go with the rest is said at its field and left out."""
    taken: dict[str, Any] = {FIELDS[n]: value for n, value in numbers.items() if n in FIELDS}
    taken["layers"] = int(taken.get("layers", Print().layers))
    taken["start"] = Start(chosen.get("start", Start.DOWN))
    taken["lift"] = Lift(chosen.get("lift", Lift.NONE))
    taken["spiral"] = "spiral" in chosen
    names = {of: name for name, of in FIELDS.items()}
    for _ in FIELDS:
        try:
            return Print(**taken)
        except InputError as problem:
            if problem.place == "lift":
                wrong["lift"] = fault(words.LIFTS, problem)
                taken["lift"] = Lift.NONE
                continue
            name = names[problem.place]
            wrong.setdefault(name, fault(SLIDES[name].title, problem))
            usual = problem.place not in taken  # a usual width does not go with a thick layer
            for leave in ("layer", "first") if usual else (name,):
                taken.pop(FIELDS[leave], None)
                given.pop(leave, None)
    return Print()


def print_query(given: Mapping[str, str], changes: Sequence[str] = ()) -> str:
    """The print alone as it stands in an address, without measured bands."""
    kept = [(n, v) for n, v in given.items() if n not in (SPACING.name, LAYER_TIME.name)]
    return urlencode([*kept, *((AFTER, one) for one in changes)])


def query_of(job: Print, changes: Sequence[str] = ()) -> str:
    """A print as it would be asked for, after these changes.

    Example:
        >>> query_of(Print(layer_mm=0.16, lift=Lift.EVERY, lift_mm=2.0))
        'layer=0.16&lift-by=2&lift=every'
    """
    usual = Print()
    pairs: dict[str, str] = {}
    for name, of in FIELDS.items():
        value = getattr(job, of)
        if value is not None and value != getattr(usual, of):
            pairs[name] = f"{value:g}"
    for name in ("start", "lift"):
        if getattr(job, name) is not getattr(usual, name):
            pairs[name] = str(getattr(job, name))
    if job.spiral:
        pairs["spiral"] = "yes"
    return urlencode([*pairs.items(), *((AFTER, one) for one in changes)])
