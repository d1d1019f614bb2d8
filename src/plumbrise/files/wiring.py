"""The verdict on a harness as JSON."""

from __future__ import annotations

from typing import Any

from plumbrise.wiring import FRAME, Finding, NextReading, Swap, WiringVerdict

VERSION = 1
Json = dict[str, Any]


def wiring_dict(answer: WiringVerdict) -> Json:
    """What `wiring --json` prints; the schema is "wiring"."""
    return {
        "version": VERSION,
        "verdict": answer.verdict.value,
        "findings": [_finding(one) for one in answer.findings],
        "swaps": [_swap(one) for one in answer.swaps],
        "next_measurement": _next(answer.next_reading),
        "reasons": list(answer.reasons),
        "lines": [
            {
                "line": one.line,
                "verdict": one.verdict.value,
                "ways_left": one.possible,
                "ways_harmful": one.harmful,
                "next_measurement": _next(one.next_reading),
            }
            for one in answer.lines
        ],
        "taken_on_word": list(answer.on_word),
        "cannot_see": list(answer.unseen),
    }


def _finding(one: Finding) -> Json:
    return {
        "finding": one.kind.id,
        "title": one.kind.title,
        "line": one.line or None,
        "at": one.at,
        "contacts": list(one.contacts),
        "refuses": one.kind.refuses,
        "known": one.known,
        "words": one.kind.words,
        "detail": one.detail,
    }


def _swap(one: Swap) -> Json:
    return {"line": one.line, "end": one.end, "contacts": list(one.contacts)}


def _next(one: NextReading | None) -> Json | None:
    if one is None:
        return None
    between = None
    if one.between is not None:
        between = ["frame" if contact == FRAME else contact for contact in one.between]
    return {
        "line": one.line,
        "way": one.way,
        "at": one.at,
        "between": between,
        "settles": None if one.settles is None else round(one.settles, 3),
        "why": one.why,
    }
