"""A proof in words, as text."""

from __future__ import annotations

from collections.abc import Iterator

from plumbrise.prove import Compared, Fairness, Proof, Verdict
from plumbrise.report.amounts import loss_words
from plumbrise.report.layout import columns, folded
from plumbrise.report.names import figure_name, link_title, station_name, test_title

ORDER = (Verdict.WORSE, Verdict.BETTER, Verdict.NO_DIFFERENCE)


def proof_text(proof: Proof) -> str:
    """What changed, how sure that is, and whether the comparison is fair."""
    lines = [f"{proof.before} against {proof.after}", "", *folded(proof.headline), ""]
    for verdict in ORDER:
        some = [one for one in proof.figures if one.verdict is verdict]
        if some:
            lines += [_heading(verdict), *columns([_row(one) for one in some]), ""]
    unsure = sum(one.verdict is Verdict.CANNOT_TELL for one in proof.figures)
    if unsure:
        lines += folded(
            f"Of {unsure} more figures nothing can be told: what these sessions could have shown "
            "is more than half of what was there."
        )
        lines.append("")
    lines += _promises(proof)
    lines += _links(proof)
    lines += _fairness(proof.fairness)
    lines += ["", *folded(proof.advice)]
    return "\n".join(lines) + "\n"


def _heading(verdict: Verdict) -> str:
    words = str(verdict)
    return words[0].upper() + words[1:]


def _row(one: Compared) -> tuple[str, ...]:
    name = figure_name(one.figure, one.detail)
    ratio = ""
    if one.ratio is not None:
        ratio = f"× {one.ratio.estimate:.2f} ({max(one.ratio.low, 0):.2f} to {one.ratio.high:.2f})"
    return (
        f"  {name}, {station_name(one.station)} ({test_title(one.kind).lower()})",
        f"{one.before}",
        f"→ {one.after}",
        ratio,
    )


def _promises(proof: Proof) -> list[str]:
    if not proof.promises:
        return []
    rows = []
    for one in proof.promises:
        kept = {True: "kept", False: "not kept", None: "not read"}[one.kept]
        rows.append(
            (
                f"  {station_name(one.station)}",
                f"promised {loss_words(one.promised)}",
                f"came {one.came}" if one.came is not None else "",
                kept,
            )
        )
    return ["Lost motion against the promise", *columns(rows), ""]


def _links(proof: Proof) -> list[str]:
    rows = [
        (
            f"  {link_title(one.link)} ({one.side}), {station_name(one.station)}",
            loss_words(one.before),
            f"→ {loss_words(one.after)}",
        )
        for one in proof.links
    ]
    return ["What each link loses", *columns(rows), ""] if rows else []


def _fairness(fair: Fairness) -> list[str]:
    return ["Is it fair?", *_fair(fair)]


def _fair(fair: Fairness) -> Iterator[str]:
    yield f"  {len(fair.both)} tests are in both sessions."
    for title, some in (("before", fair.only_before), ("after", fair.only_after)):
        if some:
            named = ", ".join(f"{test_title(k).lower()} at {station_name(s)}" for k, s in some)
            yield from folded(f"  Only {title}: {named}.")
    for one in fair.differs:
        bound = "" if one.effect_mm is None else f" At most {one.effect_mm:g} mm."
        where = ", ".join(f"{test_title(k).lower()} at {station_name(s)}" for k, s in one.runs)
        yield from folded(
            f"  {one.what}{f' ({where})' if where else ''}: {one.before} before, {one.after} "
            f"after. {one.words}{bound}"
        )
    if not fair.differs:
        yield "  Nothing that was written down differs between them."
