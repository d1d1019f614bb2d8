"""A proof in words, as text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from plumbrise.prove import Compared, Proof, Verdict
from plumbrise.report.figures_said import measured_words
from plumbrise.report.layout import columns, folded, hung
from plumbrise.report.proof_borne import borne_words, why_words
from plumbrise.report.proof_words import (
    LINKS_TITLE,
    ORDER,
    advice_words,
    also_row,
    fair_lines,
    fairness_words,
    figure_words,
    link_rows,
    machine_rows,
    promise_row,
    ratio_words,
    uncompared_words,
    value_words,
)

WIDTH = 78


def proof_text(proof: Proof, *, whole: bool = False) -> str:
    """What changed, how sure that is, and whether the comparison is fair.

    Args:
        proof: one session against the one before the work.
        whole: add the figures that get no verdict.
    """
    lines = [f"{proof.before} against {proof.after}", "", *folded(proof.headline, WIDTH), ""]
    lines += [*folded(fairness_words(proof.fairness), WIDTH), ""]
    for verdict in ORDER:
        some = [one for one in proof.figures if one.verdict is verdict]
        if some:
            lines += [_heading(verdict), *(line for one in some for line in _said(one)), ""]
    lines += _promises(proof)
    lines += _table(LINKS_TITLE, link_rows(proof))
    lines += _table("What is another part now", machine_rows(proof))
    lines += ["Was it a fair comparison?", *_fair(proof)]
    if whole:
        rows = [also_row(one) for one in proof.also]
        lines += _table("Without a verdict: they follow from the above, or say it again", rows, "")
    lines += ["What is left", *hung("  ", advice_words(proof), WIDTH)]
    return "\n".join(lines) + "\n"


def _heading(verdict: Verdict) -> str:
    words = str(verdict)
    return words[0].upper() + words[1:]


def _said(one: Compared) -> Iterator[str]:
    yield from hung("  ", figure_words(one), WIDTH)
    yield from hung(
        "      ",
        f"{value_words(one, one.before)} before, {value_words(one, one.after)} after",
        WIDTH,
    )
    if one.verdict in (Verdict.BETTER, Verdict.WORSE):
        ratio, borne = ratio_words(one), borne_words(one)
        said = f"{one.verdict} by {_size(one)}{f', {ratio}' if ratio else ''}"
        yield from hung("      ", said, WIDTH)
        if borne:
            yield from hung("      ", borne, WIDTH)
    else:
        yield from hung("      ", why_words(one), WIDTH)


def _size(one: Compared) -> str:
    return measured_words(replace(one.change, value=abs(one.change.value)))


def _promises(proof: Proof) -> list[str]:
    rows = [promise_row(one) for one in proof.promises]
    return _table("Promised, and come", rows)


def _table(title: str, rows: list[tuple[str, ...]], foot: str = "") -> list[str]:
    """Rows in columns where these fit, else each row in lines of its own."""
    if not rows:
        return []
    lines = [f"  {line}" for line in columns(rows)]
    if max(len(line) for line in lines) > WIDTH:
        lines = []
        for first, *rest in rows:
            lines += [*hung("  ", first, WIDTH)]
            lines += hung("      ", ", ".join(cell for cell in rest if cell), WIDTH)
    return [title, *lines, foot] if foot else [title, *lines, ""]


def _fair(proof: Proof) -> Iterator[str]:
    for mark, words in fair_lines(proof.fairness):
        yield from hung(f"  {mark:<6}", words, WIDTH)
    uncompared = uncompared_words(proof.fairness)
    if uncompared:
        yield from hung("  ", uncompared, WIDTH)
    yield ""
