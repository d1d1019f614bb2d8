"""What bears a verdict, and what forbids one, in words."""

from __future__ import annotations

from dataclasses import replace

from plumbrise.prove import Compared, Doubt, Other, Verdict
from plumbrise.quantity import Measured
from plumbrise.report.names import listed, test_title
from plumbrise.report.proof_words import ratio_words, shown_words


def why_words(one: Compared) -> str:
    """What bears a verdict, or why there is none."""
    if one.doubt is None and one.verdict not in (Verdict.BETTER, Verdict.WORSE):
        return shown_words(one)
    ratio = ratio_words(one) if one.doubt is None else ""
    return "; ".join(words for words in (ratio, borne_words(one)) if words)


def borne_words(one: Compared) -> str:
    """What other tests there say of lost motion that was shown to have changed, or what forbids
    a verdict; "" elsewhere."""
    if one.doubt is not None:
        return _doubt_words(one)
    shown = one.verdict in (Verdict.BETTER, Verdict.WORSE)
    return _others_words(one) if shown and one.thing in ("lost-motion", "sides") else ""


def _doubt_words(one: Compared) -> str:
    if one.doubt is Doubt.UNLIKE:
        return "no verdict, since it was not read alike"
    if one.doubt is Doubt.WHOLE_TURN:
        return (
            "no verdict, since the change is whole turns of the dial, and one run alone says so: "
            "read it once more"
        )
    others = [f"{_test_words(o)} {_change_words(o)}" for o in one.others if not o.agrees]
    if not others:  # of the sides
        return "no verdict, since the tests at an end do not agree"
    return (
        f"no verdict, since {listed(others)}, where this test says "
        f"{_by_words(one.change)}: read them again"
    )


def _others_words(one: Compared) -> str:
    show = [_test_words(other) for other in one.others if other.shows and other.agrees]
    not_so = [_test_words(other) for other in one.others if not other.agrees]
    said = []
    if show:
        said.append(f"{listed(show)} {'shows' if len(show) == 1 else 'show'} it too")
    if not_so:
        said.append(f"{listed(not_so)} {'does' if len(not_so) == 1 else 'do'} not")
    if not one.others and min(one.runs) == 1:
        return "one run says so and no other test: one more would bear it out"
    return ", ".join(said)


def _test_words(other: Other) -> str:
    return f"the {test_title(other.kind).lower()} test"


def _change_words(other: Other) -> str:
    return f"says {_by_words(other.change)}"


def _by_words(change: Measured) -> str:
    size = replace(change, value=abs(change.value))
    return f"{size} {'less' if change.value < 0 else 'more'}"
