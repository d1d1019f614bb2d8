"""Plumbrise from Python: read, analyse, explain, report. What comes back shows itself in a
notebook, prints as text, and turns into plain dicts."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from plumbrise.analyse import Analysis
    from plumbrise.build import Progress, WorkOrder
    from plumbrise.elements.worked import Sheet
    from plumbrise.explain import Explanation, Interval
    from plumbrise.files import Pack, Stage
    from plumbrise.foresee import Forecast, Print
    from plumbrise.foresee.spacing import SpacingAnswer
    from plumbrise.machine import Machine
    from plumbrise.prove import PrintReading, Proof
    from plumbrise.prove import Stage as ProofStage
    from plumbrise.readings import Readings, Scale
    from plumbrise.redesign import Proposal, Workshop
    from plumbrise.report.proof_section import Proved
    from plumbrise.wiring import Harness, WiringVerdict

StrPath = str | Path


@dataclass(frozen=True, slots=True)
class AnalysisAnswer:
    """What readings say by themselves; `result` is the Analysis."""

    result: Analysis

    def __str__(self) -> str:
        from plumbrise.report import analysis_text

        return analysis_text(self.result)

    def _repr_html_(self) -> str:
        return _as_text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise analyse --json` gives."""
        from plumbrise.files.results import analysis_dict

        return analysis_dict(self.result)


@dataclass(frozen=True, slots=True)
class Answer:
    """What the readings say of the causes; `result` is the Explanation. `headline` is the answer
    in a line, `svg` the load path drawing."""

    machine: Machine
    readings: Readings
    analysis: Analysis
    result: Explanation

    @property
    def headline(self) -> str:
        """The answer in a line, with its number."""
        from plumbrise.report import headline

        return headline(self.machine, self.readings, self.analysis, self.result)

    @property
    def svg(self) -> str:
        """The load path drawing with what each link loses."""
        from plumbrise.drawing import load_path, mark

        marking = mark(self.machine, self.readings, self.result, self.analysis)
        return load_path(self.machine, marking, theme="light")

    def __str__(self) -> str:
        from plumbrise.report import answer_text

        return answer_text(self.machine, self.readings, self.analysis, self.result)

    def _repr_svg_(self) -> str:
        return self.svg

    def _repr_html_(self) -> str:
        return self.svg + _as_text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise explain --json` gives."""
        from plumbrise.files.results import explanation_dict

        return explanation_dict(self.result)


@dataclass(frozen=True, slots=True)
class SizeAnswer:
    """A part sized; `result` is the Sheet. Figures by name: answer["sag_mm"]."""

    result: Sheet

    def __getitem__(self, name: str) -> float | str:
        return self.result.worked[name]

    def __str__(self) -> str:
        from plumbrise.report.sizing import sheet_text

        return sheet_text(self.result, whole=True)

    def _repr_html_(self) -> str:
        return _as_text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise size KIND --json` gives."""
        from plumbrise.files.sizing import sheet_dict

        return sheet_dict(self.result)


def size(kind: str, **inputs: object) -> SizeAnswer:
    """Work one part out on its sheet; no machine is needed.

    Args:
        kind: beam, frame, screw and so on, as after `plumbrise size`.
        inputs: by the names of its options (span_mm=340), in their units; a list of dicts where
            an option is given several times. What is left out takes its default.

    Raises:
        InputError: no such kind, or inputs that do not go together.
        InputErrors: all inputs that cannot be used.

    Example:
        >>> round(size("beam", case="cantilever", span_mm=300, force_n=10)["sag_mm"], 3)
        0.03
    """
    from plumbrise.elements.calculators import calculator
    from plumbrise.elements.worked import sheet

    return SizeAnswer(sheet(calculator(kind), inputs))


@dataclass(frozen=True, slots=True)
class ProposalAnswer:
    """What to change; `result` is the Proposal."""

    machine: Machine
    result: Proposal

    def __str__(self) -> str:
        from plumbrise.report.redesign import proposal_text

        return proposal_text(self.machine, self.result)

    def _repr_html_(self) -> str:
        return _as_text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise redesign --json` gives."""
        from plumbrise.files.proposal import proposal_dict

        return proposal_dict(self.result)


@dataclass(frozen=True, slots=True)
class ForecastAnswer:
    """What a print will show; `result` is the Forecast, `svg` the wall, its layers, its bands."""

    machine: Machine
    result: Forecast

    @property
    def svg(self) -> str:
        """The wall in section, the thickness of its layers and, where known, its bands."""
        from plumbrise.drawing.forecast_sheet import forecast_sheet

        return forecast_sheet(self.machine, self.result)

    def __str__(self) -> str:
        from plumbrise.report.foresee import forecast_text

        return forecast_text(self.machine, self.result)

    def _repr_svg_(self) -> str:
        return self.svg

    def _repr_html_(self) -> str:
        return self.svg + _as_text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise foresee --json` gives."""
        from plumbrise.files.forecast import forecast_dict

        return forecast_dict(self.result)


@dataclass(frozen=True, slots=True)
class BandsAnswer:
    """What fits bands that were measured on a print; `result` is the SpacingAnswer."""

    machine: Machine | None
    result: SpacingAnswer

    def __str__(self) -> str:
        from plumbrise.report.band_words import spacing_text

        return spacing_text(self.machine, self.result)

    def _repr_html_(self) -> str:
        return _as_text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise foresee --spacing --json` gives."""
        from plumbrise.files.forecast import spacing_dict

        return spacing_dict(self.result)


@dataclass(frozen=True, slots=True)
class WiringAnswer:
    """Whether a harness may be powered; `result` is the verdict with its findings."""

    harness: Harness
    result: WiringVerdict

    @property
    def svg(self) -> str:
        """The harness drawing."""
        from plumbrise.drawing.harness import harness_drawing

        return harness_drawing(self.harness, self.result, theme="light")

    def __str__(self) -> str:
        from plumbrise.report.wiring import wiring_text

        return wiring_text(self.harness, self.result)

    def _repr_svg_(self) -> str:
        return self.svg

    def _repr_html_(self) -> str:
        return self.svg + _as_text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise wiring --json` gives."""
        from plumbrise.files.wiring import wiring_dict

        return wiring_dict(self.result)


@dataclass(frozen=True, slots=True)
class WorkAnswer:
    """Changes as ordered work, and what is done of it; `result` is the WorkOrder."""

    result: WorkOrder
    progress: Progress

    def enter(self, step: str, said: str, *, when: str) -> WorkAnswer:
        """The same with a step's value entered; outside its limit it is kept and the step stays
        open.

        Args:
            step: its id.
            said: the value, or a word or two where nothing is measured.
            when: date and time as they shall be kept.

        Raises:
            InputError: no such step, no value, or its turn has not come.
        """
        from plumbrise.build import entered

        progress = entered(self.result, self.progress, step, said, when=when)
        return replace(self, progress=replace(progress, changes=self.result.changes))

    def __str__(self) -> str:
        from plumbrise.report.work_order import work_order_text

        return work_order_text(self.result, self.progress)

    def _repr_html_(self) -> str:
        return _as_text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise build --json` gives and `--progress` keeps."""
        from plumbrise.files.work_order import work_order_dict

        return work_order_dict(self.result, self.progress)

    def sheet(self, *, when: str, paper: Literal["a4", "letter"] | None = None) -> str | bytes:
        """The work order with blanks for the values, as HTML; as PDF where a paper is named.

        Args:
            when: the date to print in it.
            paper: for a PDF.
        """
        from plumbrise import __version__
        from plumbrise.report.work_order_sheet import work_order_html, work_order_pdf

        told = (self.result, self.progress)
        if paper is None:
            return work_order_html(*told, when=when, version=__version__)
        return work_order_pdf(*told, when=when, version=__version__, paper=paper)


@dataclass(frozen=True, slots=True)
class ProofAnswer:
    """Sessions after against the one before; `result` holds a Proof for each."""

    before: ProofStage
    afters: tuple[ProofStage, ...]
    result: tuple[Proof, ...]

    def __str__(self) -> str:
        from plumbrise.report.proof import proof_text

        return "\n".join(proof_text(proof) for proof in self.result)

    def _repr_html_(self) -> str:
        return _as_text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise prove --json` gives."""
        from plumbrise.files.proof import proofs_dict

        return proofs_dict(self.result)

    def story(self, *, when: str) -> str:
        """The story as one HTML page to publish, with the data inside."""
        import json

        from plumbrise import __version__
        from plumbrise.files import write_machine, write_readings
        from plumbrise.report.story import Attached, story_page

        files = []
        for i, one in enumerate((self.before, *self.afters)):
            name = "before" if i == 0 else "after" if len(self.afters) == 1 else f"after-{i}"
            machine, readings = write_machine(one.machine), write_readings(one.readings)
            files.append(Attached(f"{name}-machine.toml", "text/plain", machine))
            files.append(Attached(f"{name}-readings.csv", "text/csv", readings))
        told = json.dumps(self.to_dict(), ensure_ascii=False, indent=1)
        files.append(Attached("proof.json", "application/json", told))
        return story_page(self.proved, files=files, when=when, version=__version__)

    @property
    def proved(self) -> Proved:
        """For a report or a page: sessions and proofs together."""
        from plumbrise.report.proof_section import Proved

        return Proved(self.before, self.afters, self.result)


def stage(
    name: str,
    machine: Machine,
    readings: Readings,
    *,
    explanation: Explanation | None = None,
    proposal: Proposal | None = None,
    prints: Sequence[PrintReading] = (),
) -> ProofStage:
    """One session of a story, for `prove`.

    Args:
        name: of the session, as it is to be called.
        machine: as it was at that time.
        readings: what was read.
        explanation: what `explain` made of it: adds where the loss went.
        proposal: what `redesign` would do next: adds whether going on is worth it.
        prints: what was measured on a part printed at that time.
    """
    from plumbrise.prove import Stage as ProofStage

    analysis = analyse(machine, readings).result
    return ProofStage(name, machine, readings, analysis, explanation, proposal, tuple(prints))


def prove(
    before: ProofStage,
    *afters: ProofStage,
    promised: Mapping[str, Mapping[str, Interval]] | None = None,
) -> ProofAnswer:
    """What changed between sessions, figure by figure, and what may be said of each.

    Args:
        before: the session before the work, from `stage`.
        afters: one or more sessions after it; all are minded together.
        promised: predictions of a proposal by figure and station, as
            `files.proposal.read_proposal` reads them back (`predicted`).

    Raises:
        InputError: no session after.

    Example:
        >>> from plumbrise.demo import scenario
        >>> example = scenario()
        >>> same = stage("evening", example.machine, example.readings)
        >>> {str(one.verdict) for one in prove(same, same).result[0].figures} <= {
        ...     "no difference shown", "cannot tell"}
        True
    """
    from plumbrise.errors import InputError
    from plumbrise.prove import prove_all

    if not afters:
        raise InputError(
            place="afters",
            value=0,
            allowed="one session or more",
            remedy="Give a session that was read after the work.",
        )
    return ProofAnswer(before, afters, prove_all(before, afters, promised))


def read_machine(path: StrPath) -> Machine:
    """The machine that a TOML file describes.

    Raises:
        InputErrors: all that is wrong with the file.
        OSError: it cannot be read.
    """
    from plumbrise.files import read_machine as machine_in
    from plumbrise.files.decoding import text_of

    path = Path(path)
    return machine_in(text_of(path.read_bytes(), name=path.name).text, name=path.name)


def read_readings(
    path: StrPath,
    machine: Machine,
    *,
    test: str | None = None,
    station: str | None = None,
    inches: bool = False,
) -> Readings:
    """The readings of a table (CSV or spreadsheet).

    Args:
        path: the file.
        machine: whose stations the table names.
        test: the test kind, for a short table that does not say it.
        station: the station, likewise.
        inches: the table's lengths are in inches.

    Raises:
        InputError: the file is too large for one session.
        InputErrors: all that is wrong with the table.
        OSError: it cannot be read.
    """
    from plumbrise.errors import InputError
    from plumbrise.files.readings_table import LARGEST_FILE
    from plumbrise.files.readings_table import read_readings as readings_in
    from plumbrise.readings import scale_of

    path = Path(path)
    if path.stat().st_size > LARGEST_FILE:  # before it fills the memory
        raise InputError(
            place=path.name,
            value=f"{path.stat().st_size} bytes",
            allowed=f"up to {LARGEST_FILE} bytes",
            remedy="Give one session's table.",
        )
    return readings_in(
        path.read_bytes(),
        name=path.name,
        scale=scale_of(machine),
        test=test,
        station=station,
        unit="inch" if inches else "mm",
        arrangement=machine.arrangement,
    )


def analyse(machine_or_scale: Machine | Scale, readings: Readings) -> AnalysisAnswer:
    """What the readings say by themselves, without a model of the machine."""
    from plumbrise.analyse import analyse as analysed
    from plumbrise.machine import Machine
    from plumbrise.readings import scale_of

    scale = (
        scale_of(machine_or_scale) if isinstance(machine_or_scale, Machine) else machine_or_scale
    )
    return AnalysisAnswer(analysed(readings, scale))


def explain(
    machine: Machine,
    readings: Readings,
    *,
    seed: int = 0,
    progress: Callable[[Explanation], bool] | None = None,
) -> Answer:
    """Which links lose how much, why, how sure that is, and what to read next.

    Args:
        machine: the axis as described; what is left out takes its default.
        readings: the session.
        seed: the same seed gives the same answer.
        progress: gets a first answer early, then better ones; returns False to stop.

    Example:
        >>> from plumbrise.demo import scenario
        >>> example = scenario()
        >>> stop_early = lambda first: False
        >>> answer = explain(example.machine, example.readings, progress=stop_early)
        >>> "mm" in answer.headline
        True
    """
    import numpy as np

    from plumbrise.explain import explain as explained

    result = explained(machine, readings, rng=np.random.default_rng(seed), progress=progress)
    return Answer(machine, readings, analyse(machine, readings).result, result)


def redesign(
    answer: Answer,
    *,
    at_most_mm: Mapping[str, float] | None = None,
    stays_up: bool = False,
    probability: float | None = None,
    budget: float | None = None,
    workshop: Workshop | None = None,
    take: Sequence[str] | None = None,
    seed: int = 0,
) -> ProposalAnswer:
    """Which changes reach the targets for the least money.

    Args:
        answer: what `explain` gave.
        at_most_mm: targets by figure: "lost-motion", "sides", "bands", "home-range", "height",
            "push"; without any, lost motion and sides at most 0.05 mm.
        stays_up: the moving part must stay up with the motors off.
        probability: how sure all targets must be met; 0.7 if left out.
        budget: most money.
        workshop: prices, parts and tools of your own.
        take: ids of the changes that you take instead of the cheapest set.
        seed: the same seed gives the same proposal.

    Raises:
        InputError: the readings tell too little, or there is no such figure.
    """
    import numpy as np

    from plumbrise.redesign import redesign as redesigned
    from plumbrise.redesign import targets_of
    from plumbrise.redesign.redesigning import PROBABILITY

    result = redesigned(
        answer.machine,
        answer.result,
        targets_of(at_most_mm, stays_up=stays_up),
        rng=np.random.default_rng(seed),
        probability=PROBABILITY if probability is None else probability,
        budget=budget,
        workshop=workshop,
        taken=take,
    )
    return ProposalAnswer(answer.machine, result)


def foresee(
    answer: Answer,
    job: Print | None = None,
    *,
    changes: Sequence[str] = (),
    seed: int = 0,
) -> ForecastAnswer:
    """What a print will show: layers, bands, and remedies that cost nothing.

    Args:
        answer: what `explain` gave.
        job: what is printed and how it starts, a `plumbrise.foresee.Print`; ten layers of 0.2 mm
            if left out.
        changes: foretell it as after these changes, by the ids that `plumbrise redesign --list`
            gives; what comes without them is in `result.before`.
        seed: the same seed gives the same forecast.

    Raises:
        InputError: the readings tell too little, the print does not fit the axis, or a change
            does not go with it.
    """
    import numpy as np

    from plumbrise.errors import InputError
    from plumbrise.foresee import Print
    from plumbrise.foresee import foresee as foreseen

    rng = np.random.default_rng(seed)
    job = Print() if job is None else job
    if changes:
        from plumbrise.redesign.foreseen import before_and_after, foresee_after

        believed = answer.result.believed
        if believed is None:
            raise InputError(
                place="changes",
                value="too few readings",
                allowed="readings that explain can answer from",
                remedy="Take the readings that `plan` proposes, then come back.",
            )
        axes = before_and_after(answer.machine, believed, changes, rng)
        return ForecastAnswer(axes.machine, foresee_after(axes, job, rng))
    result = foreseen(answer.machine, answer.result, job, rng=rng, readings=answer.readings)
    return ForecastAnswer(answer.machine, result)


def what_fits(
    spacing_mm: float,
    *,
    layer_mm: float = 0.2,
    layer_s: float | None = None,
    machine: Machine | None = None,
) -> BandsAnswer:
    """Bands were measured on a print, so many mm apart: what fits?

    Args:
        spacing_mm: from band to band; better over ten bands, divided by ten.
        layer_mm: of the print that shows them.
        layer_s: how long one layer took, for heaters.
        machine: whose screw, motor and rollers are tried; common ones if left out.

    Raises:
        InputError: a spacing, a layer or a time that is none.

    Example:
        >>> found = what_fits(8.0)
        >>> found.result.fits[0].maker.words
        'a screw with a lead of 8 mm, once a turn'
    """
    from plumbrise.foresee.spacing import what_fits as fitting

    answer = fitting(machine, spacing_mm=spacing_mm, layer_mm=layer_mm, layer_s=layer_s)
    return BandsAnswer(machine, answer)


def wiring(path: StrPath) -> WiringAnswer:
    """Whether the motor harness that a TOML file describes may be powered.

    Raises:
        InputErrors: all that is wrong with the file.
        OSError: it cannot be read.
    """
    from plumbrise.files.decoding import text_of
    from plumbrise.files.harness_file import read_harness
    from plumbrise.wiring import judge

    path = Path(path)
    harness = read_harness(text_of(path.read_bytes(), name=path.name).text, name=path.name)
    return WiringAnswer(harness, judge(harness))


def build(
    machine: Machine,
    changes: ProposalAnswer | Iterable[str],
    *,
    kept: Mapping[str, Any] | None = None,
) -> WorkAnswer:
    """Chosen changes as ordered work: what accepts each step, wiring first, then power.

    Args:
        machine: the axis as it is, before the changes.
        changes: what `redesign` gave, or ids of changes.
        kept: what `to_dict` gave of this work, to go on from.

    Raises:
        InputError: nothing chosen, an unknown change, or a set that cannot be made together.

    Example:
        >>> from plumbrise.machine import blank
        >>> work = build(blank("one-screw"), ["clean-screw"])
        >>> work.enter("read-before", "in before.csv", when="2026-01-05").to_dict()["next"]
        ['write-down', 'photograph']
    """
    from plumbrise.build import Progress, build_steps
    from plumbrise.errors import InputError
    from plumbrise.files.work_order import progress_in

    if isinstance(changes, ProposalAnswer):
        chosen = changes.result.chosen
        if chosen is None:
            raise InputError(
                place="changes",
                value="nothing chosen",
                allowed="a proposal that chose a set",
                remedy="Ask for other targets, or a larger budget.",
            )
        changes = chosen.line.changes
    order = build_steps(machine, changes)
    progress = Progress(changes=order.changes) if kept is None else progress_in(kept)
    return WorkAnswer(order, progress)


def report(
    answer: Answer,
    path: StrPath,
    *,
    when: str,
    paper: Literal["a4", "letter"] = "a4",
    proposal: ProposalAnswer | None = None,
    forecast: ForecastAnswer | None = None,
    work: WorkAnswer | None = None,
    wired: WiringAnswer | None = None,
) -> Path:
    """Write the report of an answer; the ending of `path` says how, .html or .pdf.

    Args:
        answer: what `explain` gave.
        path: where to write.
        when: the date to print in it.
        paper: for a PDF.
        proposal: what `redesign` gave, to stand in the report.
        forecast: what `foresee` gave, likewise.
        work: what `build` gave, likewise.
        wired: what `wiring` gave, likewise.

    Raises:
        InputError: another ending.
        OSError: it cannot be written.
    """
    from plumbrise import __version__, files
    from plumbrise.errors import InputError
    from plumbrise.report import html_report, pdf_report
    from plumbrise.report.wiring_section import Wired
    from plumbrise.report.work_order_section import WorkDone

    path = Path(path)
    ending = path.suffix.lower()
    if ending not in (".html", ".pdf"):
        raise InputError(
            place="path",
            value=str(path),
            allowed="a name that ends in .html or .pdf",
            remedy="Give it one of these endings.",
        )
    session = (answer.machine, answer.readings, answer.analysis, answer.result)
    about: dict[str, Any] = {
        "when": when,
        "version": __version__,
        "machine_text": files.write_machine(answer.machine),
        "readings_text": files.write_readings(answer.readings),
        "proposal": None if proposal is None else proposal.result,
        "forecast": None if forecast is None else forecast.result,
        "work": None if work is None else WorkDone(work.result, work.progress),
        "wired": None if wired is None else Wired(wired.harness, wired.result),
    }
    if ending == ".html":
        path.write_text(html_report(*session, **about), encoding="utf-8", newline="\n")
    else:
        path.write_bytes(pdf_report(*session, paper=paper, **about))
    return path


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What a pack may hold beside its stages, each the text of a file, "" for none.

    `proposal` is what `redesign --json` printed, `build` what `build --progress` keeps, `harness`
    a harness file. `prints` are tables of what was measured on a print, one for each stage.
    `onward` is what redesign would do next.
    """

    proposal: str = ""
    build: str = ""
    harness: str = ""
    prints: tuple[str, ...] = ()
    onward: Proposal | None = None


def pack(
    answers: Sequence[Answer], path: StrPath, *, when: str, beside: Beside | None = None
) -> Path:
    """Write a pack to publish: machine, readings, results, drawing and report of each stage, and
    where there is a stage after, the proof and the story.

    Args:
        answers: before the change, then after each.
        path: where to write the zip archive.
        when: the day to write in it.
        beside: what else belongs to the story.

    Raises:
        InputError: something beside is not what it should be.
        OSError: it cannot be written.
    """
    path = Path(path)
    path.write_bytes(packed(answers, when=when, beside=beside))
    return path


def packed(answers: Sequence[Answer], *, when: str, beside: Beside | None = None) -> bytes:
    """The same as bytes: all that it says is said of the very files that it holds.

    Raises:
        InputError: no stage, or more than a pack has; something beside that cannot be read.
        InputErrors: all that is wrong with it.
    """
    from plumbrise.errors import InputError
    from plumbrise.files import Pack, Stage, write_machine, write_pack, write_readings
    from plumbrise.files.json_text import json_object
    from plumbrise.files.pack_again import session_in
    from plumbrise.files.pack_beside import beside_again
    from plumbrise.files.pack_names import STAGES

    if not 0 < len(answers) <= len(STAGES):
        raise InputError(
            place="stages",
            value=len(answers),
            allowed=f"one before and up to {len(STAGES) - 1} after",
            remedy="Pack a longer story in parts.",
        )
    more = beside or Beside()
    prints = (*more.prints, *("",) * len(answers))
    stages, again = [], []
    for name, answer, printed in zip(STAGES, answers, prints, strict=False):
        texts = (write_machine(answer.machine), write_readings(answer.readings))
        written = Stage(name, *texts, {}, prints=printed)
        machine, readings = session_in(written)
        again.append(Answer(machine, readings, analyse(machine, readings).result, answer.result))
        stages.append(_shown(written, again[-1], when))
    found = Pack(
        tuple(stages),
        when,
        made_with(),
        proposal=json_object(more.proposal) if more.proposal else None,
        build=json_object(more.build) if more.build else None,
        harness=more.harness,
    )
    beside_again(found, [(one.machine, one.readings) for one in again])  # that it can be read
    if len(again) > 1:
        proof = _proof_in(found, again, more.onward)
        found = replace(found, proof=proof.to_dict(), story=proof.story(when=when))
    return write_pack(found)


def _proof_in(found: Pack, answers: Sequence[Answer], onward: Proposal | None) -> ProofAnswer:
    """The proof of a pack's own files, with where the loss went."""
    from plumbrise.files.pack_beside import chosen_in
    from plumbrise.files.prints_table import read_prints

    before, *afters = [
        stage(
            one.name,
            answer.machine,
            answer.readings,
            explanation=answer.result,
            prints=read_prints(one.prints, name=one.name) if one.prints else (),
        )
        for one, answer in zip(found.stages, answers, strict=True)
    ]
    chosen = chosen_in(found)
    afters[-1:] = [replace(one, proposal=onward) for one in afters[-1:]]
    return prove(before, *afters, promised=chosen.predicted if chosen else None)


def _shown(stage: Stage, answer: Answer, when: str) -> Stage:
    """The stage with its results, drawing and report."""
    from plumbrise import __version__
    from plumbrise.drawing import load_path, mark
    from plumbrise.files.pack_again import results_of
    from plumbrise.report import html_report

    session = (answer.machine, answer.readings, answer.analysis, answer.result)
    marking = mark(answer.machine, answer.readings, answer.result, answer.analysis)
    return replace(
        stage,
        results=results_of(answer.analysis, answer.result),
        drawing=load_path(answer.machine, marking, theme="print"),
        report=html_report(
            *session,
            when=when,
            version=__version__,
            machine_text=stage.machine,
            readings_text=stage.readings,
        ),
    )


def made_with() -> dict[str, str]:
    """The versions that a result depends on."""
    from importlib.metadata import version
    from platform import python_version

    from plumbrise import __version__

    of = {name: version(name) for name in ("numpy", "scipy", "numba")}
    return {"plumbrise": __version__, "python": python_version(), **of}


def _as_text_block(text: str) -> str:
    from html import escape

    return f'<pre style="white-space:pre-wrap">{escape(text)}</pre>'
