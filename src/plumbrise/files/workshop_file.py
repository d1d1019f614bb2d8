"""The workshop file: prices, hours, parts and tools of one person, as TOML."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from plumbrise.errors import InputError, InputErrors
from plumbrise.files.machine_faults import nearest
from plumbrise.files.toml_text import parsed, told_within, without_mark
from plumbrise.files.toml_value import toml_value
from plumbrise.redesign.catalogue import CATALOGUE
from plumbrise.redesign.changes import Change, Span
from plumbrise.redesign.workshop import MOST_MONEY, Workshop

FORMAT = 1
TOOLS = tuple(dict.fromkeys(tool for change in CATALOGUE.values() for tool in change.tools))
"""Every tool that some change needs."""
SAID = """\
Three numbers in brackets are the least, the expected and the most; one number alone is sure.
price is what the parts cost in the currency named below, hours is how long your own work takes.
Change what is different for you; a line that is taken out goes back to the usual value."""
_SPAN = "a number, or three that rise: at least, likely, at most"


def read_workshop(text: str, *, name: str) -> Workshop:
    """The workshop that a TOML text describes; what is left out stays typical.

    Args:
        text: the file's text.
        name: the file's name, for errors.

    Raises:
        InputErrors: all that is wrong.

    Example:
        >>> text = "hour_worth = 15\\n[changes.new-nut]\\nprice = 9\\nat_hand = true"
        >>> found = read_workshop(text, name="w.toml")
        >>> found.hour_worth, found.prices["new-nut"], sorted(found.at_hand)
        (15.0, Span(low=9.0, likely=9.0, high=9.0), ['new-nut'])
    """
    with told_within(name):
        return _workshop(parsed(without_mark(text), what="workshop"))


def _workshop(given: Mapping[str, Any]) -> Workshop:
    problems: list[InputError] = []
    found = Workshop()
    for place, read in _TOP.items():
        if place in given:
            try:
                found = read(found, given[place])
            except InputError as problem:
                problems.append(problem)
            except InputErrors as several:
                problems += several.problems
    problems += [
        _fault(key, given[key], _one_of(_TOP), nearest(key, _TOP) or "Leave it out.")
        for key in given
        if key not in _TOP
    ]
    if problems:
        raise InputErrors(problems)
    return found


def write_workshop(workshop: Workshop | None = None) -> str:
    """A workshop file with every change's price and hours, to be mended by hand.

    Example:
        >>> read_workshop(write_workshop(), name="w.toml").prices["new-nut"]
        Span(low=3.0, likely=6.0, high=14.0)
    """
    return "\n".join(_lines(workshop or Workshop())) + "\n"


def own_text(workshop: Workshop) -> str:
    """Only what in a workshop differs from what is typical; "" where nothing does.

    Example:
        >>> own_text(Workshop(prices={"new-nut": Span(9, 9, 9)}, no_tools=frozenset({"drill"})))
        '[tools]\\nmissing = ["drill"]\\n[changes.new-nut]\\nprice = [9.0, 9.0, 9.0]\\n'
    """
    usual = Workshop()
    lines = []
    if workshop.currency != usual.currency:
        lines.append(f"currency = {toml_value(workshop.currency)}")
    if workshop.hour_worth != usual.hour_worth:
        lines.append(f"hour_worth = {workshop.hour_worth:g}")
    if workshop.no_tools:
        lines += ["[tools]", f"missing = {toml_value(tuple(sorted(workshop.no_tools)))}"]
    for change in CATALOGUE.values():
        own = _own(workshop, change)
        lines += [f"[changes.{change.id}]", *own] if own else []
    return "".join(f"{line}\n" for line in lines)


def _own(workshop: Workshop, change: Change) -> list[str]:
    price, hours = workshop.prices.get(change.id), workshop.hours.get(change.id)
    lines = []
    if price is not None and price != change.cost:
        lines.append(f"price = {_typed(price)}")
    if hours is not None and hours != change.hours:
        lines.append(f"hours = {_typed(hours)}")
    lines += ["at_hand = true"] if change.id in workshop.at_hand else []
    return lines + (["ruled_out = true"] if change.id in workshop.without else [])


def _lines(workshop: Workshop) -> Iterator[str]:
    yield from (f"# {line}" for line in SAID.splitlines())
    yield f"format = {FORMAT}"
    yield f"currency = {toml_value(workshop.currency)}"
    yield f"hour_worth = {workshop.hour_worth:g}    # what an hour of your work counts"
    yield ""
    yield "[tools]"
    yield f"# {', '.join(TOOLS)}"
    yield f"missing = {toml_value(tuple(sorted(workshop.no_tools)))}"
    for change in CATALOGUE.values():
        yield ""
        each = ", for one screw" if change.per_screw else ""
        yield f"[changes.{change.id}]    # {change.title}{each}"
        yield f"price = {_typed(workshop.prices.get(change.id, change.cost))}"
        yield f"hours = {_typed(workshop.hours.get(change.id, change.hours))}"
        yield f"at_hand = {toml_value(change.id in workshop.at_hand)}"
        yield f"ruled_out = {toml_value(change.id in workshop.without)}"


def _typed(span: Span) -> str:
    return toml_value((float(span.low), float(span.likely), float(span.high)))


def _fault(place: str, value: object, allowed: str, remedy: str) -> InputError:
    return InputError(place=place, value=value, allowed=allowed, remedy=remedy)


def _one_of(words: Mapping[str, object] | tuple[str, ...]) -> str:
    return "one of " + ", ".join(words)


def _format(workshop: Workshop, value: Any) -> Workshop:
    if value != FORMAT:
        raise _fault("format", value, str(FORMAT), "This file was made by a newer program.")
    return workshop


def _currency(workshop: Workshop, value: Any) -> Workshop:
    if not isinstance(value, str) or not 0 < len(value) <= 8 or not value.isprintable():
        raise _fault("currency", value, "a short word such as EUR", "Give one.")
    return replace(workshop, currency=value)


def _hour_worth(workshop: Workshop, value: Any) -> Workshop:
    return replace(workshop, hour_worth=_amount("hour_worth", value))


def _tools(workshop: Workshop, value: Any) -> Workshop:
    if not isinstance(value, dict) or set(value) - {"missing"}:
        raise _fault("tools", value, "missing, a list", "Write missing = [...] under [tools].")
    missing = value.get("missing", [])
    if not isinstance(missing, list):
        raise _fault("tools, missing", missing, "a list of tools", "Put it in brackets.")
    for tool in missing:
        if tool not in TOOLS:
            raise _fault(
                "tools, missing", tool, _one_of(TOOLS), nearest(str(tool), TOOLS) or "Leave it out."
            )
    return replace(workshop, no_tools=frozenset(missing))


def _changes(workshop: Workshop, value: Any) -> Workshop:
    if not isinstance(value, dict):
        raise _fault("changes", value, "a table for each change", "Write [changes.new-nut].")
    problems: list[InputError] = []
    for change, own in value.items():
        try:
            workshop = _change(workshop, change, own)
        except InputError as problem:
            problems.append(problem.within(f"changes, {change}"))
    if problems:
        raise InputErrors(problems)
    return workshop


def _change(workshop: Workshop, change: str, own: Any) -> Workshop:
    if change not in CATALOGUE:
        raise _fault(
            "name", change, _one_of(tuple(CATALOGUE)), nearest(change, CATALOGUE) or "Leave it out."
        )
    if not isinstance(own, dict):
        raise _fault("table", own, _one_of(_OF_CHANGE), "Write [changes.new-nut] above them.")
    for key, given in own.items():
        if key not in _OF_CHANGE:
            raise _fault(
                key, given, _one_of(_OF_CHANGE), nearest(key, _OF_CHANGE) or "Leave it out."
            )
        workshop = _OF_CHANGE[key](workshop, change, given)
    return workshop


def _price(workshop: Workshop, change: str, value: Any) -> Workshop:
    return replace(workshop, prices={**workshop.prices, change: _span("price", value)})


def _hours(workshop: Workshop, change: str, value: Any) -> Workshop:
    return replace(workshop, hours={**workshop.hours, change: _span("hours", value)})


def _at_hand(workshop: Workshop, change: str, value: Any) -> Workshop:
    return replace(workshop, at_hand=_switched("at_hand", workshop.at_hand, change, value))


def _ruled_out(workshop: Workshop, change: str, value: Any) -> Workshop:
    return replace(workshop, without=_switched("ruled_out", workshop.without, change, value))


def _switched(place: str, now: frozenset[str], change: str, value: Any) -> frozenset[str]:
    if not isinstance(value, bool):
        raise _fault(place, value, "true or false", "Use one of these.")
    return now | {change} if value else now - {change}


def _amount(place: str, value: Any) -> float:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if not number or not 0 <= value <= MOST_MONEY:  # neither nan nor infinity is
        raise _fault(place, value, f"a number from 0 to {MOST_MONEY:g}", "Correct it.")
    return float(value)


def _span(place: str, value: Any) -> Span:
    if not isinstance(value, list):
        one = _amount(place, value)
        return Span(one, one, one)
    if len(value) != 3:
        raise _fault(place, value, _SPAN, "Give three numbers.")
    low, likely, high = (_amount(place, one) for one in value)
    if not low <= likely <= high:
        raise _fault(place, value, _SPAN, "Put them in rising order.")
    return Span(low, likely, high)


_TOP: dict[str, Callable[[Workshop, Any], Workshop]] = {
    "format": _format,
    "currency": _currency,
    "hour_worth": _hour_worth,
    "tools": _tools,
    "changes": _changes,
}
_OF_CHANGE: dict[str, Callable[[Workshop, str, Any], Workshop]] = {
    "price": _price,
    "hours": _hours,
    "at_hand": _at_hand,
    "ruled_out": _ruled_out,
}
