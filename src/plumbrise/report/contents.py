"""What stands in a report, as strings and pictures: the page and the PDF set the same contents."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.analyse.results import Analysis, Figure
from plumbrise.cautions import MEASURING
from plumbrise.explain.results import CauseFinding, Explanation, GroupFinding
from plumbrise.foresee import Forecast
from plumbrise.machine import Machine, lead_mm
from plumbrise.quantity import percent
from plumbrise.readings import Readings
from plumbrise.readings.kinds import FINE_STEPS
from plumbrise.redesign import Proposal
from plumbrise.report.amounts import loss_cell
from plumbrise.report.answer import (
    cause_lines,
    group_sentence,
    held_sentences,
    left_over_sentence,
    next_test_lines,
    next_test_title,
    quiet_causes_sentence,
    rival_sentence,
    shown_causes,
)
from plumbrise.report.doubts import (
    assumption_lines,
    assumptions,
    odd_lines,
    open_groups,
    what_stays_unsure,
)
from plumbrise.report.figures_said import cannot_tell_sentences, cross_check, how_measured
from plumbrise.report.foresee_section import ForeseeSection, foresee_section
from plumbrise.report.hazards import Hazards, hazards
from plumbrise.report.headline import headline, named_causes, summary_paragraph
from plumbrise.report.layout import plain_line
from plumbrise.report.methods import METHODS, Method
from plumbrise.report.names import (
    as_sentence,
    cause_title,
    figure_name,
    listed,
    lowered,
    side_word,
)
from plumbrise.report.pictures import Picture, Pictures
from plumbrise.report.proof_section import ProofSection, Proved, proof_section
from plumbrise.report.redesign_section import RedesignSection, redesign_section
from plumbrise.report.set_ups import SetUp, set_ups
from plumbrise.report.tables import Table
from plumbrise.report.wiring_section import Wired, WiringSection, wiring_section
from plumbrise.report.withheld import why_withheld, withheld
from plumbrise.report.work_order_section import WorkDone, WorkSection, work_section


@dataclass(frozen=True, slots=True)
class CauseLine:
    """A cause as a line of the report. `share` is its probability from 0 to 1 for the bar,
    `open` marks one that readings cannot split from another."""

    title: str
    probability: str
    share: float
    open: bool
    losses: tuple[str, ...]
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Contents:
    """All that a report says, in the order in which it says it."""

    title: str
    name: str
    lead: str
    drawing: Picture
    ledger: Table
    figures: Table
    ends: tuple[str, ...]
    causes: tuple[CauseLine, ...]
    causes_said: tuple[str, ...]
    causes_chart: Picture | None
    next_title: str
    next_said: tuple[str, ...]
    left_over: str
    residuals: Picture | None
    how_measured: str
    unsure: tuple[str, ...]
    block: tuple[tuple[str, str], ...]
    set_ups: tuple[SetUp, ...]
    sides: Picture | None
    sides_said: tuple[str, ...]
    between: Table
    checks: tuple[str, ...]
    methods: tuple[Method, ...]
    assumptions: Table
    odd: tuple[str, ...]
    remarks: tuple[str, ...]
    hazards: Hazards
    machine_text: str
    readings_text: str
    invented: bool
    when: str
    version: str
    proof: ProofSection | None = None
    work: WorkSection | None = None
    wiring: WiringSection | None = None
    redesign: RedesignSection | None = None
    foresee: ForeseeSection | None = None


def contents(
    machine: Machine,
    readings: Readings,
    analysis: Analysis,
    explanation: Explanation,
    *,
    pictures: Pictures,
    when: str,
    version: str,
    machine_text: str,
    readings_text: str,
    proposal: Proposal | None = None,
    forecast: Forecast | None = None,
    proved: Proved | None = None,
    work: WorkDone | None = None,
    wired: Wired | None = None,
) -> Contents:
    """Everything of a report but its setting.

    Args:
        machine: the axis as described.
        readings: the session.
        analysis: what the readings say by themselves.
        explanation: what the axis model makes of them.
        pictures: who draws, in which colours and sizes.
        when: the date of the report, as it shall be printed.
        version: the program's version.
        machine_text: the machine file, word for word.
        readings_text: the readings file, word for word.
        proposal: what to change, where that was asked.
        forecast: what a print will show, where that was asked.
        proved: what changed against the session before the work, where that was asked.
        work: the work order and what is done of it, where there is one.
        wired: the harness and its verdict, likewise.
    """
    title = headline(machine, readings, analysis, explanation)
    lead = summary_paragraph(machine, readings, analysis, explanation)
    odd = odd_lines(analysis, explanation)
    left_over = left_over_sentence(explanation.unexplained)
    if why_withheld(readings, analysis, explanation) is not None:
        explanation, left_over = withheld(explanation), "Nothing is computed from these readings."
    ends = tuple(side.station for side in explanation.sides)
    first = explanation.next_tests[0] if explanation.next_tests else None
    return Contents(
        title=title,
        name=plain_line(machine.name),
        lead=lead,
        drawing=pictures.load_path(machine, readings, analysis, explanation),
        ledger=pictures.ledger(machine, readings, analysis, explanation),
        figures=_figures(analysis, explanation),
        ends=tuple(side_word(end) for end in ends),
        causes=tuple(_cause(cause, explanation, ends) for cause in shown_causes(explanation)),
        causes_said=tuple(
            words
            for words in (
                *(group_sentence(group) for group in open_groups(explanation)),
                *held_sentences(shown_causes(explanation)),
                quiet_causes_sentence(explanation),
                rival_sentence(explanation),
            )
            if words
        ),
        causes_chart=None,
        next_title=next_test_title(first) if first else "",
        next_said=next_test_lines(machine, explanation, first) if first else (),
        left_over=left_over,
        residuals=pictures.residuals(explanation),
        how_measured=how_measured(machine, readings, analysis),
        unsure=what_stays_unsure(explanation),
        block=_block(machine, explanation, when, version),
        set_ups=set_ups(analysis, explanation, pictures),
        sides=pictures.sides(analysis),
        sides_said=_sides_said(analysis),
        between=_between(analysis),
        checks=tuple(cross_check(check) for check in analysis.cross_checks),
        methods=METHODS,
        assumptions=Table(
            ("Taken as", "value", "trust"),
            tuple((a.words, a.value, str(a.trust)) for a in assumptions(machine)),
            "What nobody gave, and what stands in for it",
            words=3,
        ),
        odd=odd,
        remarks=_remarks(machine, readings, analysis),
        hazards=hazards(MEASURING),
        machine_text=machine_text,
        readings_text=readings_text,
        invented=machine.invented,
        when=when,
        version=version,
        proof=proof_section(proved, pictures) if proved is not None else None,
        work=work_section(work) if work is not None else None,
        wiring=wiring_section(wired, pictures) if wired is not None else None,
        redesign=redesign_section(machine, proposal, pictures) if proposal is not None else None,
        foresee=foresee_section(machine, forecast, pictures) if forecast is not None else None,
    )


def _figures(analysis: Analysis, explanation: Explanation) -> Table:
    """The first page's table: what each side loses, then what two set-ups say together."""
    rows = [
        (
            f"Lost, {side_word(side.station)}",
            loss_cell(side.loss_mm),
            "measured" if side.measured else "computed",
        )
        for side in explanation.sides
    ]
    lags = [
        each.figure
        for each in analysis.between
        if isinstance(each.figure, Figure) and each.figure.name == "far_side_lag"
    ]
    # a staircase in fine steps mostly ends before the far side has settled
    for figure in sorted(lags, key=lambda lag: (lag.detail == FINE_STEPS.id, lag.value.u))[:1]:
        name = figure_name(figure.name, figure.detail)
        rows.append((name, str(figure.value).removesuffix(" mm"), "measured"))
    for run in analysis.runs:
        home = run.figure("home_range")
        if home is not None:
            rows.append(("Home range", str(home.value).removesuffix(" mm"), "measured"))
    return Table(
        ("mm", "± 95 %", "known"), tuple(rows), "What is lost", words=1, last_is_words=True
    )


def _cause(cause: CauseFinding, explanation: Explanation, ends: tuple[str, ...]) -> CauseLine:
    losses = [loss_cell(cause.loss_mm[end]) if end in cause.loss_mm else "not told" for end in ends]
    grouped = {name for group in open_groups(explanation) for name in group.causes}
    return CauseLine(
        cause_title(cause.cause),
        percent(cause.probability),
        round(min(max(cause.probability, 0.0), 1.0), 3),
        cause.cause in grouped,
        tuple(losses),
        cause_lines(cause),
    )


def _block(
    machine: Machine, explanation: Explanation, when: str, version: str
) -> tuple[tuple[str, str], ...]:
    lead = lead_mm(machine)
    about = [machine.arrangement.title.lower(), f"lead {lead:g} mm" if lead else "lead not given"]
    name = plain_line(machine.name) or "No name"
    what = f"{name}, {', '.join(about)}"
    causes = [
        f"{lowered(cause_title(c.cause))} {percent(c.probability)}"
        if isinstance(c, CauseFinding)
        else f"{_either(c)} {percent(c.probability)}"
        for c in named_causes(explanation)[:2]
    ]
    return (
        ("Machine", f"{what}, invented" if machine.invented else what),
        ("Date", when),
        ("Causes", ", ".join(causes) or "cannot tell yet"),
        ("Scale", "to scale; movement as its own bar says"),
        ("Made with", f"Plumbrise {version}"),
    )


def _either(group: GroupFinding) -> str:
    return listed([lowered(cause_title(cause)) for cause in group.causes], "or")


def _between(analysis: Analysis) -> Table:
    rows = tuple(
        (
            figure_name(each.figure.name, each.figure.detail),
            str(each.figure.value),
            plain_line(listed(list(each.runs))),
        )
        for each in analysis.between
        if isinstance(each.figure, Figure)
    )
    return Table(
        ("Figure", "value ± 95 %", "from set-ups"),
        rows,
        "Side against side",
        words=1,
        last_is_words=True,
    )


def _sides_said(analysis: Analysis) -> tuple[str, ...]:
    return cannot_tell_sentences(
        [each.figure for each in analysis.between if not isinstance(each.figure, Figure)]
    )


def _remarks(machine: Machine, readings: Readings, analysis: Analysis) -> tuple[str, ...]:
    lines = [as_sentence(plain_line(words)) for words in (*readings.remarks, *analysis.remarks)]
    lines += [line for line in assumption_lines(machine) if line.startswith("The lead")]
    return tuple(dict.fromkeys(lines))
