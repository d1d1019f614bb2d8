"""Before against after as strings and pictures: what report, page and story set alike."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from plumbrise.drawing.figures import Span, span_of, span_of_measured
from plumbrise.drawing.proof_chart import ChangeRow
from plumbrise.prove import Compared, Proof, Stage, Verdict
from plumbrise.prove.figures import PRINT_OFF
from plumbrise.prove.telling import (
    ALONE,
    counted,
    end_words,
    loses_most,
    lost_at_ends,
    told_first,
    unread_words,
)
from plumbrise.quantity import Measured, Unit, percent
from plumbrise.report.pictures import Picture, Pictures
from plumbrise.report.proof_borne import borne_words, why_words
from plumbrise.report.proof_words import (
    LINKS_TITLE,
    ORDER,
    advice_words,
    also_row,
    fair_lines,
    fairness_words,
    kept_sentence,
    least_words,
    link_rows,
    machine_rows,
    place_words,
    promise_row,
    ratio_span,
    ratio_words,
    thing_words,
    uncompared_words,
    value_words,
)
from plumbrise.report.tables import Table

MOST_ROWS = 8
"""More figures than this make a chart that tells nothing."""
ON_THE_CHART = ("lost-motion", "sides", PRINT_OFF, "home")
"""Things that the chart shows, the most telling first."""
SHOWN = (Verdict.BETTER, Verdict.WORSE)


@dataclass(frozen=True, slots=True)
class Proved:
    """The session before the work, those after it in order, and what `prove_all` said of them."""

    before: Stage
    afters: tuple[Stage, ...]
    proofs: tuple[Proof, ...]


@dataclass(frozen=True, slots=True)
class Judged:
    """One figure with its verdict. `why` says how much or what would have shown, `times` what
    after is of before, `least` the least change that would have shown, `borne` what other tests
    say of it or what forbids a verdict; `shown` marks one that was."""

    name: str
    before: str
    after: str
    verdict: str
    why: str
    times: str
    least: str
    borne: str
    shown: bool


@dataclass(frozen=True, slots=True)
class ProofSection:
    """One session against the one before the work. `way` has a line for every session where
    there are several."""

    before: str
    after: str
    title: str
    lead: str
    fairness: str
    was: Picture
    now: Picture
    scale: str
    chart: Picture | None
    judged: tuple[Judged, ...]
    figures: Table
    borne: tuple[tuple[str, str], ...]
    least_said: str
    fair: tuple[tuple[str, str], ...]
    uncompared: str
    kept: str
    promises: Table
    links: Table
    machine: Table
    also: Table
    way: tuple[tuple[str, str], ...]
    left: str


LEAST_THAT_SHOWS = (
    "Least that shows: the smallest change for the better that these readings would have shown, "
    "four times out of five."
)


def proof_section(proved: Proved, pictures: Pictures) -> ProofSection:
    """The section that tells of the last session after the work."""
    proof = proved.proofs[-1]
    was, now, scale = pictures.two_stages(proved.before, proved.afters[-1], *ends_judged(proof))
    rows = chart_rows(proof)
    judged = tuple(_judged(one) for one in _in_order(proof.figures))
    return ProofSection(
        before=proof.before,
        after=proof.after,
        title=title(proof),
        lead=lead(proof),
        fairness=fairness_words(proof.fairness),
        was=was,
        now=now,
        scale=scale,
        chart=pictures.proof_chart(rows, proof.target_mm) if rows else None,
        judged=judged,
        figures=Table(
            ("Figure", "before", "after", "verdict", "times what it was", "least that shows"),
            tuple((j.name, j.before, j.after, j.verdict, j.times, j.least) for j in judged),
            "Every figure that was judged",
            words=6,
        ),
        borne=tuple((j.name, f"{j.borne}.") for j in judged if j.borne),
        least_said=LEAST_THAT_SHOWS if judged else "",
        fair=tuple(fair_lines(proof.fairness)),
        uncompared=uncompared_words(proof.fairness),
        kept=kept_sentence(proof),
        promises=_table(
            ("Figure", "promised", "came", "so it was"),
            [promise_row(one) for one in proof.promises],
            "Promised, and come",
            last_is_words=True,
        ),
        links=_table(
            ("Link", "lost", "loses", "changed"),
            link_rows(proof),
            LINKS_TITLE,
            last_is_words=True,
        ),
        machine=_table(
            ("In the machine file", "before", "after"),
            machine_rows(proof),
            "Fields of the machine file that differ",
            words=3,
        ),
        also=_table(
            ("Figure", "before", "after"),
            [also_row(one) for one in proof.also],
            "They follow from the figures above, or say the same once more",
        ),
        way=tuple((one.after, one.headline) for one in proved.proofs)
        if len(proved.proofs) > 1
        else (),
        left=advice_words(proof),
    )


def _table(
    head: tuple[str, ...],
    rows: Sequence[tuple[str, ...]],
    caption: str,
    *,
    words: int = 1,
    last_is_words: bool = False,
) -> Table:
    """Rows without the words that stand in the head of their column."""
    bare = []
    for row in rows:
        for said in ("promised ", "came ", "→ "):
            row = tuple(cell.removeprefix(said) for cell in row)
        bare.append(row)
    return Table(head, tuple(bare), caption, words=words, last_is_words=last_is_words)


def title(proof: Proof) -> str:
    """The answer in a line, without the count of figures."""
    return proof.headline.split(" Of ")[0].removesuffix(ALONE).rstrip()


def lead(proof: Proof) -> str:
    """How much better, how sure, and the chance that the target is met, as far as was read."""
    lost = lost_at_ends(proof.figures)
    if not lost:
        return proof.headline
    told = told_first(proof.figures)
    assert told is not None  # it is one of these
    said = []
    if told.verdict in SHOWN:
        size = replace(told.change, value=abs(told.change.value))
        ratio = ratio_words(told)
        said.append(
            f"{told.verdict.value.capitalize()} by {size}, what differs from day to day counted "
            f"in{f': {ratio}' if ratio else ''}."
        )
    else:
        said.append(f"{told.verdict.value.capitalize()}: {why_words(told)}.")
    said.append(_met_words(proof))
    if len(proof.figures) > 1:
        together = f"Of {len(proof.figures)} figures judged together"
        said.append(f"{together}: {counted(proof.figures)}.")
    return " ".join(said)


def _met_words(proof: Proof) -> str:
    """How likely the end that loses most meets the target; of one that nobody read, that it was
    not."""
    most, limit = loses_most(proof.remains), f"{proof.target_mm:g} mm"
    chance = percent(below(proof.remains[most], proof.target_mm))
    if not proof.unread:
        return f"With {chance} the end that loses most now loses less than {limit}."
    return f"With {chance} the {end_words(most)} now loses less than {limit}. " + unread_words(
        proof.unread
    )


def ends_judged(proof: Proof) -> tuple[Mapping[str, Span], Mapping[str, Span]]:
    """What each end lost before and loses after, as it is told in all of the proof."""
    ends = lost_at_ends(proof.figures)
    return (
        {one.station: _above_nothing(span_of_measured(one.before)) for one in ends},
        {one.station: _above_nothing(span_of_measured(one.after)) for one in ends},
    )


def below(value: Measured, limit: float) -> float:
    """The chance that the true value is under a limit (Student)."""
    from scipy.special import ndtr, stdtr

    if value.u <= 0:
        return float(value.value < limit)
    t = (limit - value.value) / value.u
    return float(ndtr(t)) if value.dof == float("inf") else float(stdtr(max(value.dof, 1.0), t))


def chart_rows(proof: Proof) -> list[ChangeRow]:
    """The lengths that tell the story, the ends of the moving part first."""
    ends = lost_at_ends(proof.figures)
    some = [one for thing in ON_THE_CHART for one in proof.figures if one.thing == thing]
    some = [one for one in some if one.before.unit is Unit.MM]
    some = [*ends, *(one for one in some if one not in ends)]
    promised = {(one.figure, one.station): span_of(one.promised) for one in proof.promises}
    return [
        ChangeRow(
            f"{thing_words(one)}, {_short(one.station)}",
            _above_nothing(span_of_measured(one.before)),
            _above_nothing(span_of_measured(one.after)),
            str(one.verdict),
            promised.get((one.thing, one.station)),
        )
        for one in some[:MOST_ROWS]
    ]


def _short(station: str) -> str:
    return place_words(station).replace(" end of the gantry", "").replace("end of the ", "")


def _above_nothing(span: Span) -> Span:
    """How far from perfect: below nothing there is nothing."""
    value = abs(span.value)
    return Span(value, max(0.0, value - span.half_width), value + span.half_width, span.unit)


def _in_order(figures: Sequence[Compared]) -> list[Compared]:
    return sorted(figures, key=lambda one: ORDER.index(one.verdict))


def _judged(one: Compared) -> Judged:
    times, span = ratio_span(one)
    return Judged(
        name=f"{thing_words(one)}, {place_words(one.station)}",
        before=value_words(one, one.before),
        after=value_words(one, one.after),
        verdict=str(one.verdict),
        why=why_words(one),
        times=f"{times} ({span})" if times else "",
        least=least_words(one),
        borne=borne_words(one),
        shown=one.verdict in SHOWN,
    )
