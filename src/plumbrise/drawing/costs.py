"""How money, hours and the steps from one set of changes to the next are written."""

from __future__ import annotations

from plumbrise.redesign import CATALOGUE, Line, Span

NOTHING = "nothing changed"


def money_words(span: Span, currency: str) -> str:
    """What something costs.

    Example:
        >>> money_words(Span(8, 16, 36), "EUR"), money_words(Span(0, 0, 0), "EUR")
        ('about 20 EUR (8 to 36)', 'free')
    """
    if span.high == 0:
        return "free"
    if span.low == span.high:
        return f"{span.likely:g} {currency}"
    return f"about {span.expected:.0f} {currency} ({span.low:.0f} to {span.high:.0f})"


def hours_words(span: Span) -> str:
    """How long something takes.

    Example:
        >>> hours_words(Span(0.2, 0.4, 0.8)), hours_words(Span(2, 3, 5.5))
        ('about 30 min', 'about 3.5 h')
    """
    hours = span.expected
    if hours == 0:
        return "no time"
    if hours < 1:
        return f"about {max(5, round(60 * hours / 5) * 5)} min"
    return f"about {round(2 * hours) / 2:g} h"


def step_words(before: Line | None, line: Line) -> str:
    """What a set adds and drops against another; the whole set where that is shorter to say.

    Example:
        >>> free = Span(0, 0, 0)
        >>> one = Line(("clean-screw", "new-nut", "rigid-coupling"), free, free, 0.4)
        >>> step_words(one, Line(("clean-screw", "split-nut", "rigid-coupling"), free, free, 0.5))
        '+ spring-split nut; without new plain nut'
        >>> step_words(one, Line(("split-nut",), free, free, 0.2))
        'only spring-split nut'
        >>> step_words(None, Line(("clean-screw", "new-nut"), free, free, 0.1))
        'clean and grease the screw, new plain nut'
    """
    if not line.changes:
        return NOTHING
    whole = ", ".join(map(title_of, line.changes))
    if before is None or not before.changes:
        return whole
    adds = [title_of(change) for change in line.changes if change not in before.changes]
    drops = [title_of(change) for change in before.changes if change not in line.changes]
    found = [f"+ {', '.join(adds)}"] if adds else []
    if drops:
        found.append(f"without {', '.join(drops)}")
    said = "; ".join(found)
    return said if len(said) < len(whole) + 5 else f"only {whole}"


def title_of(change: str) -> str:
    """The title of a change inside a sentence."""
    title = CATALOGUE[change].title
    return title[:1].lower() + title[1:]
