"""The story of a change as one HTML file to publish: no network, data inside."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from dataclasses import dataclass, replace
from hashlib import sha256

from plumbrise.drawing import mark, proof_chart, two_stages
from plumbrise.drawing.figures import Span, span_of, span_of_measured
from plumbrise.drawing.proof_chart import ChangeRow
from plumbrise.drawing.two_stages import common_factor
from plumbrise.prove import Compared, Proof, Stage, Verdict
from plumbrise.prove.figures import PRINT_OFF, ends_of_body
from plumbrise.prove.telling import ALONE, GOOD_MM
from plumbrise.quantity import Measured, Unit, percent
from plumbrise.report.document import environment, style_sheet
from plumbrise.report.layout import held_together
from plumbrise.report.pictures import following_the_page, spoken_words, with_own_ids
from plumbrise.report.proof_words import (
    advice_words,
    also_row,
    fair_lines,
    fairness_words,
    kept_sentence,
    link_rows,
    machine_rows,
    place_words,
    promise_row,
    ratio_words,
    shown_words,
    thing_words,
    uncompared_words,
    value_words,
)

PAIR_PX, CHART_PX, PHONE_PX = 400, 780, 344
MOST_ROWS = 8
"""More figures than this make a chart that tells nothing."""
ON_THE_CHART = ("lost-motion", "sides", PRINT_OFF, "home")
"""Things that the chart shows, the most telling first."""


@dataclass(frozen=True, slots=True)
class Attached:
    """A file that lies in the page: its name, kind, text, and the beginning of its SHA-256."""

    name: str
    kind: str
    text: str

    @property
    def checksum(self) -> str:
        """The first sixteen digits, to compare by eye."""
        return sha256(self.text.encode()).hexdigest()[:16]


def story_page(
    before: Stage,
    afters: Sequence[Stage],
    proofs: Sequence[Proof],
    *,
    files: Sequence[Attached],
    when: str,
    version: str,
) -> str:
    """The story as HTML.

    Args:
        before: the session before the work.
        afters: those after; the last is the one that the page tells of.
        proofs: what `prove_all` said of them.
        files: what lies in the page, word for word.
        when: the day to print; no clock is read here.
        version: the program's version.
    """
    after, proof = afters[-1], proofs[-1]
    return (
        environment()
        .get_template("story.html")
        .render(
            style=style_sheet(),
            name=after.machine.name,
            invented=after.machine.invented,
            when=when,
            version=version,
            title=title(proof),
            lead=lead(proof),
            fairness=fairness_words(proof.fairness),
            before=before.name,
            after=after.name,
            drawings=_drawings(before, after),
            chart=_chart(proof),
            rows=[_row(one) for one in _in_order(proof.figures)],
            fair=list(fair_lines(proof.fairness)),
            uncompared=uncompared_words(proof.fairness),
            kept=kept_sentence(proof),
            promises=[_bare(promise_row(one)) for one in proof.promises],
            links=[_bare(row) for row in link_rows(proof)],
            machine=[_bare(row) for row in machine_rows(proof)],
            also=[_bare(also_row(one)) for one in proof.also],
            left=held_together(advice_words(proof)),
            way=[(one.after, held_together(one.headline)) for one in proofs]
            if len(proofs) > 1
            else [],
            note=after.machine.note,
            files=[(one, b64encode(one.text.encode()).decode("ascii")) for one in files],
        )
    )


def _bare(row: tuple[str, ...]) -> list[str]:
    """A row without the words that stand in the head of the column."""
    found = row
    for words in ("promised ", "came ", "→ "):
        found = tuple(cell.removeprefix(words) for cell in found)
    return [held_together(cell) for cell in found]


def title(proof: Proof) -> str:
    """The answer in a line, without the count of figures."""
    return held_together(proof.headline.split(" Of ")[0].removesuffix(ALONE).rstrip())


def lead(proof: Proof) -> str:
    """How much better, how sure, and the chance that the usual target is met."""
    lost = _ends(proof)
    if not lost:
        return held_together(proof.headline)
    told = min(lost, key=lambda one: one.change.value)
    said = []
    if told.verdict in (Verdict.BETTER, Verdict.WORSE):
        size = replace(told.change, value=abs(told.change.value))
        ratio = ratio_words(told)
        said.append(f"{told.verdict.value.capitalize()} by {size}{f', {ratio}' if ratio else ''}.")
    else:
        said.append(f"{told.verdict.value.capitalize()}: {shown_words(told)}.")
    worst = max(lost, key=lambda one: one.after.value)
    said.append(
        f"With {percent(below(worst.after, GOOD_MM))} the end that loses most now loses less than "
        f"{GOOD_MM:g} mm."
    )
    counts = {v: sum(one.verdict is v for one in proof.figures) for v in Verdict}
    judged = ", ".join(f"{count} {verdict}" for verdict, count in counts.items() if count)
    if len(proof.figures) > 1:
        said.append(f"Of {len(proof.figures)} figures judged together: {judged}.")
    return held_together(" ".join(said))


def below(value: Measured, limit: float) -> float:
    """The chance that the true value is under a limit (Student)."""
    from scipy.special import ndtr, stdtr

    if value.u <= 0:
        return float(value.value < limit)
    t = (limit - value.value) / value.u
    return float(ndtr(t)) if value.dof == float("inf") else float(stdtr(max(value.dof, 1.0), t))


def _ends(proof: Proof) -> list[Compared]:
    lost = [one for one in proof.figures if one.thing == "lost-motion"]
    ends = ends_of_body({one.station for one in lost})
    return [one for one in lost if one.station in ends] or lost


def _drawings(before: Stage, after: Stage) -> dict[str, str]:
    stages = [
        (one.machine, mark(one.machine, one.readings, one.explanation, one.analysis))
        for one in (before, after)
    ]
    wide = two_stages(stages[0], stages[1], width_px=PAIR_PX)
    factor = common_factor((stages[0], stages[1]))
    scale = f"movement drawn {factor} times" if factor else "nothing moves"
    return {
        "before": following_the_page(with_own_ids(wide[0], "b")),
        "after": following_the_page(with_own_ids(wide[1], "a")),
        "scale": f"To scale, {scale}, in both. The thin broken line is where it was told to be.",
    }


def _chart(proof: Proof) -> dict[str, str]:
    rows = chart_rows(proof)
    if not rows:
        return {}
    wide, narrow = (
        proof_chart(rows, target_mm=GOOD_MM, width_px=width) for width in (CHART_PX, PHONE_PX)
    )
    return {
        "wide": following_the_page(with_own_ids(wide, "cw")),
        "narrow": following_the_page(with_own_ids(narrow, "cn")),
        "spoken": spoken_words(wide, "Before and after"),
    }


def chart_rows(proof: Proof) -> list[ChangeRow]:
    """The lengths that tell the story, the ends of the moving part first."""
    ends = _ends(proof)
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


ORDER = (Verdict.WORSE, Verdict.BETTER, Verdict.NO_DIFFERENCE, Verdict.CANNOT_TELL)


def _in_order(figures: Sequence[Compared]) -> list[Compared]:
    return sorted(figures, key=lambda one: ORDER.index(one.verdict))


def _row(one: Compared) -> dict[str, str]:
    shown = one.verdict in (Verdict.BETTER, Verdict.WORSE)
    return {
        "name": f"{thing_words(one)}, {place_words(one.station)}",
        "before": held_together(value_words(one, one.before)),
        "after": held_together(value_words(one, one.after)),
        "verdict": str(one.verdict),
        "why": held_together(ratio_words(one) if shown else shown_words(one)),
        "mark": "shown" if shown else "open",
    }
