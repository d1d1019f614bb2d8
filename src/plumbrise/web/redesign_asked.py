"""What is asked of a redesign: targets, how sure, money, what is there and what is ruled out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from urllib.parse import urlencode

from starlette.datastructures import QueryParams

from plumbrise.errors import InputError
from plumbrise.redesign import CATALOGUE, FIGURES, Figure, Target, Workshop
from plumbrise.redesign.figures import STAYS_UP
from plumbrise.redesign.redesigning import PROBABILITY
from plumbrise.web import redesign_words as words
from plumbrise.web.slides import Slide, number_in


def _length(figure: str, low: float, high: float, step: float) -> Slide:
    return Slide(figure, FIGURES[figure].title, "mm", 0.0001, 10.0, low, high, step)


LIMITS = {
    slide.name: slide
    for slide in (
        _length("lost-motion", 0.01, 0.3, 0.01),
        _length("sides", 0.01, 0.3, 0.01),
        _length("bands", 0.002, 0.06, 0.001),
        _length("home-range", 0.005, 0.12, 0.005),
        _length("height", 0.02, 1.0, 0.02),
        _length("push", 0.01, 0.5, 0.01),
    )
}
"""By figure: the most it may be."""
SURE = Slide("sure", words.HOW_SURE, "%", 1.0, 99.0, 30.0, 95.0, 1.0)
BUDGET = Slide("budget", words.BUDGET, "", 0.0, 1e6, 0.0, 300.0, 5.0)
HOUR = Slide("hour", words.HOUR_WORTH, "", 0.0, 1e4, 0.0, 60.0, 1.0)


@dataclass(frozen=True, slots=True)
class Asked:
    """What a proposal is made for. `limits` by figure, among them those that are no target now;
    `aims` are the figures that are; `sure` in per cent."""

    aims: tuple[str, ...] = tuple(f.id for f in FIGURES.values() if f.wanted)
    limits: Mapping[str, float] = field(
        default_factory=lambda: {f.id: f.limit for f in FIGURES.values()}
    )
    sure: float = 100 * PROBABILITY
    budget: float | None = None
    hour: float = Workshop().hour_worth
    at_hand: tuple[str, ...] = ()
    without: tuple[str, ...] = ()

    @property
    def targets(self) -> tuple[Target, ...]:
        """The figures aimed at, each with its limit."""
        return tuple(Target(f, self.limits[f.id]) for f in FIGURES.values() if f.id in self.aims)

    @property
    def workshop(self) -> Workshop:
        """What is there and what is ruled out."""
        return Workshop(
            at_hand=frozenset(self.at_hand),
            without=frozenset(self.without),
            hour_worth=self.hour,
        )

    @property
    def query(self) -> str:
        """As it stands in an address."""
        pairs = [("asked", "yes")]
        for figure in self.aims:
            pairs.append(("aim", figure))
            if figure in LIMITS:
                pairs.append((figure, f"{self.limits[figure]:g}"))
        pairs += [("sure", f"{self.sure:g}"), ("hour", f"{self.hour:g}")]
        pairs += [] if self.budget is None else [("budget", f"{self.budget:g}")]
        pairs += [("at-hand", one) for one in self.at_hand]
        pairs += [("without", one) for one in self.without]
        return urlencode(pairs)


def asked_in(query: QueryParams) -> tuple[Asked, dict[str, str]]:
    """What an address asks for; by field, what of it cannot be used (its usual value stands in).

    Example:
        >>> asked, wrong = asked_in(QueryParams("aim=bands&bands=0.5 thou&sure=120"))
        >>> asked.aims, asked.limits["bands"], asked.sure, list(wrong)
        (('bands',), 0.0127, 70.0, ['sure'])
    """
    usual = Asked()
    wrong: dict[str, str] = {}

    def number(slide: Slide, otherwise: float) -> float:
        said = query.get(slide.name, "").strip()[:40]
        if not said:
            return otherwise
        try:
            return number_in(slide, said)
        except InputError as problem:
            wrong[slide.name] = str(problem)
            return otherwise

    aims = tuple(f for f in FIGURES if f in query.getlist("aim"))
    if "asked" in query and not aims:
        wrong["aim"] = words.TICK_ONE
    budget = number(BUDGET, -1.0)
    return Asked(
        aims=aims or usual.aims,
        limits={**usual.limits}
        | {s.name: number(s, usual.limits[s.name]) for s in LIMITS.values()},
        sure=number(SURE, usual.sure),
        budget=None if budget < 0 else budget,
        hour=number(HOUR, usual.hour),
        at_hand=_changes(query.getlist("at-hand")),
        without=_changes(query.getlist("without")),
    ), wrong


def _changes(said: Iterable[str]) -> tuple[str, ...]:
    wanted = set(said)
    return tuple(one for one in CATALOGUE if one in wanted)


def figures_asked() -> tuple[tuple[Figure, Slide | None], ...]:
    """Every figure that can be aimed at, with its field; what must simply hold has none."""
    return tuple((f, None if f is STAYS_UP else LIMITS[f.id]) for f in FIGURES.values())
