"""What is asked of a redesign: targets, how sure, money, what is there and what is ruled out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from urllib.parse import urlencode

from starlette.datastructures import QueryParams

from plumbrise.errors import InputError, InputErrors
from plumbrise.files.workshop_file import own_text, read_workshop
from plumbrise.redesign import CATALOGUE, FIGURES, Figure, Target, Workshop
from plumbrise.redesign.figures import LEAST_MM, MOST_MM, STAYS_UP, limit_of
from plumbrise.redesign.redesigning import PROBABILITY
from plumbrise.web import redesign_words as words
from plumbrise.web.slides import Slide, number_in


def _length(figure: str, low: float, high: float, step: float) -> Slide:
    return Slide(figure, FIGURES[figure].title, "mm", LEAST_MM, MOST_MM, low, high, step)


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
USUAL_HOUR = Workshop().hour_worth
BUDGET = Slide("budget", words.BUDGET, "", 0.0, 1e6, 0.0, 300.0, 5.0)
HOUR = Slide("hour", words.HOUR_WORTH, "", 0.0, 1e4, 0.0, 60.0, 1.0)


MOST_OWN = 8_000
"""Letters of a workshop in an address: with every price one's own it is half as long."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What a proposal is made for. `limits` by figure, among them those that are no target now;
    `aims` are the figures that are; `sure` in per cent; `own` holds prices, hours, currency and
    missing tools of a person's own."""

    aims: tuple[str, ...] = tuple(f.id for f in FIGURES.values() if f.wanted)
    limits: Mapping[str, float] = field(
        default_factory=lambda: {f.id: f.limit for f in FIGURES.values()}
    )
    sure: float = 100 * PROBABILITY
    budget: float | None = None
    hour: float = USUAL_HOUR
    at_hand: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    taken: tuple[str, ...] = ()
    own: Workshop = field(default_factory=Workshop)

    @property
    def targets(self) -> tuple[Target, ...]:
        """The figures aimed at, each with its limit."""
        return tuple(Target(f, self.limits[f.id]) for f in FIGURES.values() if f.id in self.aims)

    @property
    def workshop(self) -> Workshop:
        """What is there, what is ruled out, what things cost."""
        return replace(
            self.own,
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
        pairs += [("take", one) for one in self.taken]
        pairs += [("workshop", self.own_text)] if self.own_text else []
        return urlencode(pairs)

    @property
    def own_text(self) -> str:
        """Prices and the like of one's own, as they stand in an address; "" for none."""
        return own_text(self.own)

    def taking(self, changes: tuple[str, ...]) -> Asked:
        """The same with this set taken instead of the cheapest; none for the cheapest."""
        return replace(self, taken=changes)

    def with_workshop(self, found: Workshop) -> Asked:
        """The same asked of a person with this workshop: what it has and rules out is ticked."""
        return replace(
            self,
            at_hand=tuple(c for c in CATALOGUE if c in {*self.at_hand, *found.at_hand}),
            without=tuple(c for c in CATALOGUE if c in {*self.without, *found.without}),
            hour=found.hour_worth,
            own=replace(found, at_hand=frozenset(), without=frozenset(), hour_worth=USUAL_HOUR),
        )

    def without_workshop(self) -> Asked:
        """The same at the usual prices."""
        return replace(self, own=Workshop())


def asked_in(query: QueryParams) -> tuple[Asked, dict[str, str]]:
    """What an address asks for; by field, what of it cannot be used, and what stands in for it.

    Example:
        >>> asked, wrong = asked_in(QueryParams("aim=bands&bands=0.5 thou&sure=120"))
        >>> asked.aims, asked.limits["bands"], asked.sure, list(wrong)
        (('bands',), 0.0127, 70.0, ['sure'])
        >>> asked_in(QueryParams("without=new-nutt"))[1]
        {'choosing': "There is no change 'new-nutt': it is left out of account."}
    """
    usual = Asked()
    wrong: dict[str, str] = {}

    def number(slide: Slide, otherwise: float, read: Callable[[str], float]) -> float:
        said = query.get(slide.name, "").strip()[:40]
        if not said:
            return otherwise
        try:
            return read(said)
        except InputError as problem:
            wrong[slide.name] = f"{problem} {_taken(slide, otherwise)}"
            return otherwise

    def of(slide: Slide, otherwise: float) -> float:
        return number(slide, otherwise, partial(number_in, slide))

    limits = {
        name: number(slide, usual.limits[name], partial(limit_of, FIGURES[name]))
        for name, slide in LIMITS.items()
    }
    budget = of(BUDGET, NO_BOUND)
    return Asked(
        aims=_aims(query, wrong) or usual.aims,
        limits={**usual.limits} | limits,
        sure=of(SURE, usual.sure),
        budget=None if budget == NO_BOUND else budget,
        hour=of(HOUR, usual.hour),
        at_hand=_changes(query.getlist("at-hand"), wrong),
        without=_changes(query.getlist("without"), wrong),
        taken=_changes(query.getlist("take"), wrong),
        own=_own(query.get("workshop", ""), wrong),
    ), wrong


NO_BOUND = -1.0


def _taken(slide: Slide, otherwise: float) -> str:
    if otherwise == NO_BOUND:
        return words.NO_BOUND_TAKEN
    return words.TAKEN.format(f"{otherwise:g} {slide.unit}".strip())


def _aims(query: QueryParams, wrong: dict[str, str]) -> tuple[str, ...]:
    said = query.getlist("aim")
    aims = tuple(f for f in FIGURES if f in said)
    unknown = [one for one in said if one not in FIGURES]
    if unknown:
        wrong["aim"] = words.NO_FIGURE.format(unknown[0][:40])
    elif "asked" in query and not aims:
        wrong["aim"] = words.TICK_ONE
    return aims


def _changes(said: Iterable[str], wrong: dict[str, str]) -> tuple[str, ...]:
    wanted = dict.fromkeys(said)
    unknown = [one for one in wanted if one not in CATALOGUE]
    if unknown:
        wrong["choosing"] = words.NO_CHANGE.format(unknown[0][:40])
    return tuple(one for one in CATALOGUE if one in wanted)


def _own(said: str, wrong: dict[str, str]) -> Workshop:
    if not said.strip():
        return Workshop()
    try:
        if len(said) > MOST_OWN:
            raise InputError(
                place="workshop", value=f"{len(said)} letters", allowed=f"up to {MOST_OWN}",
                remedy="Leave out what is as usual.",
            )  # fmt: skip
        found = read_workshop(said, name=words.WORKSHOP)
    except (InputError, InputErrors) as problem:
        wrong["workshop"] = f"{problem} {words.USUAL_PRICES}"
        return Workshop()
    return Asked().with_workshop(found).own


def figures_asked() -> tuple[tuple[Figure, Slide | None], ...]:
    """Every figure that can be aimed at, with its field; what must simply hold has none."""
    return tuple((f, None if f is STAYS_UP else LIMITS[f.id]) for f in FIGURES.values())
