"""What a proof says, piece by piece: names, ratios, fairness, promises; for text and page."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from plumbrise.drawing.figures import span_of
from plumbrise.explain import Interval
from plumbrise.prove import (
    PRINT,
    Also,
    Aside,
    Compared,
    Fairness,
    LinkMoved,
    Promise,
    Proof,
    Unfair,
    Verdict,
)
from plumbrise.prove.fairness import reach_words
from plumbrise.prove.scatters import interval_of
from plumbrise.quantity import Measured, Unit, percent, places_for, plain, rounded
from plumbrise.redesign import CATALOGUE
from plumbrise.redesign.figures import FIGURES
from plumbrise.report.amounts import loss_words
from plumbrise.report.figures_said import measured_words
from plumbrise.report.names import (
    figure_name,
    link_title,
    listed,
    lowered,
    station_name,
    test_title,
)

ORDER = (Verdict.WORSE, Verdict.BETTER, Verdict.NO_DIFFERENCE, Verdict.CANNOT_TELL)
"""Verdicts as they are told: what got worse first."""
OWN_NAMES = {
    "sides_apart": "Difference of the sides",
    "repeats_sd": "Spread of repeats",
    "home_sd": "Home spread",
}
"""Figures that only a comparison has."""
LINKS_TITLE = "What each link lost, and loses, by the model from all readings"
SCATTERS = ("home_sd", "repeats_sd", "print_spread")


def thing_words(one: Compared | Also) -> str:
    """The name of a figure, without its place."""
    if one.kind == PRINT:
        what = one.detail[:1].upper() + one.detail[1:]
        return f"{what} of the print, {'off' if one.figure == 'print_off' else 'spread'}"
    if one.figure == "shortfall" and one.detail == "end":
        return "Lost motion, same rise told"
    if one.figure in OWN_NAMES:
        return OWN_NAMES[one.figure]
    return figure_name(one.figure, "" if one.detail == "amplitude" else one.detail)


def place_words(station: str) -> str:
    """Where, in words."""
    return "whole axis" if station == "axis" else station_name(station)


def figure_words(one: Compared | Also) -> str:
    """A figure with its place and its test."""
    test = "" if one.kind == PRINT else f" ({test_title(one.kind).lower()})"
    return f"{thing_words(one)}, {place_words(one.station)}{test}"


def value_words(one: Compared | Also, value: Measured) -> str:
    """A value with its give or take; a scatter with the interval that so few readings leave it.

    It is lopsided: five readings know a scatter from 0.6 to 2.9 times what they show.
    """
    if one.figure not in SCATTERS:
        return measured_words(value)
    found = interval_of(value.value, value.dof)
    low, mid, high = (rounded(mm, 2) for mm in (found.low, found.estimate, found.high))
    return f"{mid} mm ({low} to {high})"


def ratio_words(one: Compared) -> str:
    """After over before with its interval, as a share: 0.13 times what it was; "" where it has no
    bound."""
    value, span = ratio_span(one)
    return f"{value} times what it was ({span})" if value else ""


def ratio_span(one: Compared) -> tuple[str, str]:
    """After over before, and its interval; empty where it has no bound."""
    if one.ratio is None:
        return "", ""
    low, high = max(one.ratio.low, 0.0), one.ratio.high
    places = max(1, places_for((high - low) / 2)) if high > low else 2
    value, least, most = (plain(v, places) for v in (max(one.ratio.estimate, 0.0), low, high))
    return value, f"{least} to {most}"


def least_words(one: Compared) -> str:
    """The smallest change that would have shown four times out of five, with its unit."""
    if _not_even_all(one) and one.figure in SCATTERS:
        return "not even all of it"
    if one.change.unit is Unit.RATIO:
        return f"{rounded(100 * one.could_show, 2)} %"
    return f"{rounded(one.could_show, 2)} {one.change.unit}"


def shown_words(one: Compared) -> str:
    """The smallest change that would have been shown, in words."""
    if _not_even_all(one) and one.figure in SCATTERS:
        return "not even all of it gone would have shown with so few readings"
    least = least_words(one)
    if one.verdict is Verdict.CANNOT_TELL and _not_even_all(one):
        return f"not even all of it gone would have shown, only a change of {least}"
    only = "only " if one.verdict is Verdict.CANNOT_TELL else ""
    return f"{only}a change of {least} would have shown, four times out of five"


def _not_even_all(one: Compared) -> bool:
    return one.could_show >= abs(one.before.value)


def fairness_words(fair: Fairness) -> str:
    """Whether the comparison is fair, in a sentence; it stands before any result."""
    if not fair.both:
        return "No test was done both times: nothing can be compared."
    count = len(fair.both)
    tests = f"{count} {'test was' if count == 1 else 'tests were'} done both times"
    stopped = {test for one in fair.differs if one.stops for test in one.runs}
    open_ones = [one for one in fair.differs if one.effect_mm is None and not one.stops]
    if stopped:
        return f"{tests}; at {len(stopped)} of them something differs that forbids a verdict."
    if open_ones:
        return f"{tests}, alike but for what is listed below, not all of it bounded."
    if fair.differs:
        return f"{tests}, alike but for what is listed below; its effect is in the uncertainties."
    return f"{tests}, and alike in all that was written down."


def fair_lines(fair: Fairness) -> Iterator[tuple[str, str]]:
    """Each thing that was looked at: same, close (bounded) or look (not bounded)."""
    if fair.same:
        yield "same", f"{_capital(listed(fair.same))}."
    for put in fair.aside:
        yield "close", _aside_words(put)
    for one in fair.differs:
        bounded = one.effect_mm is not None
        yield "close" if bounded else "look", _unfair_words(one)


def _aside_words(one: Aside) -> str:
    return (
        f"Not compared: the set-up {one.run} of the session {one.when}, "
        f"{reach_words(one.reach_mm)}. {one.counts} counts in its place, "
        f"{reach_words(one.counts_reach_mm)}."
    )


def _unfair_words(one: Unfair) -> str:
    where = f", {tests_words(one.runs)}" if one.runs else ""
    said = f"{_capital(one.what)}{where}: {one.before} before, {one.after} after. {one.words}"
    if one.stops:
        return f"{said} No verdict there."
    if one.effect_mm:
        return f"{said} At most {rounded(one.effect_mm, 2)} mm; it is in the uncertainties."
    return said


def tests_words(tests: Iterable[tuple[str, str]]) -> str:
    """Tests by kind with their places, or how many there are."""
    found = list(tests)
    if len(found) > 3:
        return f"{len(found)} tests"
    return listed([f"{test_title(kind).lower()} at the {place_words(s)}" for kind, s in found])


def uncompared_words(fair: Fairness) -> str:
    """What was read once only."""
    parts = [
        f"only {when}: {tests_words(some)}"
        for when, some in (("before", fair.only_before), ("after", fair.only_after))
        if some
    ]
    return f"{_capital('; '.join(parts))}." if parts else ""


def promise_row(one: Promise) -> tuple[str, ...]:
    """A figure that was promised: promised, come, kept."""
    known = FIGURES.get(one.figure)
    title = known.title if known is not None else one.figure.replace("-", " ")
    name = title if one.station == "axis" else f"{title}, {place_words(one.station)}"
    came = f"came {one.came}" if one.came is not None else ""
    return name, f"promised {loss_words(one.promised)}", came, kept_words(one)


def kept_words(one: Promise) -> str:
    """What became of a promise."""
    if one.came is None:
        return "not read"
    if one.kept is None:
        return "cannot tell"
    if not one.kept:
        return "not kept"
    inside = span_of(one.promised)
    return "kept" if one.came.value + one.came.expanded >= inside.low else "better than promised"


def kept_sentence(proof: Proof) -> str:
    """How many promises were kept, "" where none was made."""
    read = [one for one in proof.promises if one.came is not None]
    if not read:
        return ""
    kept = sum(one.kept is True for one in read)
    broken = [promise_row(one)[0].lower() for one in read if one.kept is False]
    said = f"{kept} of {len(read)} came out within what was foretold."
    if broken:
        return f"{said} Not {listed(broken, 'nor')}: the account given of it was not all."
    return said


def link_rows(proof: Proof) -> list[tuple[str, ...]]:
    """Each link's loss before and after; links that lose nothing either time are left out."""
    return [
        (
            f"{_links_words(one)} ({one.side}), {place_words(one.station)}",
            _loss(one.before, "not there"),
            f"→ {_loss(one.after, 'gone')}",
            _surely(one),
        )
        for one in proof.links
        if max(i.high for i in (one.before, one.after) if i is not None) >= 0.01
    ]


def _links_words(one: LinkMoved) -> str:
    first, *others = (link_title(link) for link in (one.link, *one.shared_with))
    return listed([first, *map(lowered, others)], "or")


def _loss(interval: Interval | None, otherwise: str) -> str:
    return otherwise if interval is None else loss_words(interval)


def _surely(one: LinkMoved) -> str:
    """In words whether the change of a link is more than its give or take."""
    if one.change is None:
        return ""
    span = span_of(one.change)
    if span.high < 0:
        return "less"
    return "more" if span.low > 0 else "cannot tell"


def machine_rows(proof: Proof) -> list[tuple[str, ...]]:
    """The fields of the description that differ."""
    return [
        (one.field, one.before or "not given", f"→ {one.after or 'not given'}")
        for one in proof.machine
        if not one.field.startswith("gauge")
    ]


def also_row(one: Also) -> tuple[str, ...]:
    """A figure without a verdict."""
    least = "at least " if one.at_least else ""
    was, now = measured_words(one.before), measured_words(one.after)
    return figure_words(one), f"{least}{was}", f"→ {least}{now}"


def advice_words(proof: Proof) -> str:
    """What is left, and what redesign would do next."""
    onward = proof.onward
    if onward is None:
        return proof.advice
    if not onward.changes:
        return (
            f"{proof.advice} The targets are met with {percent(onward.already)} as it stands: "
            "there is nothing to buy."
        )
    titles = {change.id: change.title.lower() for change in CATALOGUE.values()}
    named = listed([titles.get(change, change) for change in onward.changes])
    return (
        f"{proof.advice} What redesign would do next: {named}. That is about {onward.cost:.0f} "
        f"{onward.currency} and {onward.hours:.1f} h, and meets the targets with "
        f"{percent(onward.probability)} (now {percent(onward.already)})."
    )


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
