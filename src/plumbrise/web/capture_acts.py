"""What each act of a page does, and what an act has to hold to be one."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING, Any

from plumbrise.measure.dial import LARGEST_MM
from plumbrise.measure.expecting import expected, suspicion
from plumbrise.measure.session import Session
from plumbrise.store.breaks import untouched
from plumbrise.store.counting import turn_round, written_down
from plumbrise.web import capture_words as words

if TYPE_CHECKING:
    from plumbrise.web.capture import Capture

LONGEST_AWAY_S = 7 * 86_400.0
DONE, AGAIN, ASKS, ELSEWHERE, WRONG = "done", "again", "asks", "elsewhere", "wrong"
Act = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of an act: done, done before, asked about, not possible any more, not a reading.

    `value_mm` is what was kept or would be.
    """

    said: str
    words: str = ""
    value_mm: float | None = None
    question: str = ""


def is_act(session: Session, act: Act) -> bool:
    """Whether an act has what its doing asks for, each of its kind, at a reading that is, or of a
    set-up that is no more (see `gone`)."""
    asked = _ASKED.get(act["do"]) if isinstance(act.get("do"), str) else None
    if asked is None or not all(_FIELDS[name](act.get(name)) for name in asked):
        return False
    if not all(_FIELDS[name](act[name]) for name in _MAY if act.get(name) is not None):
        return False
    if "at" not in asked:
        return True
    name, reading = act["at"]
    run = next((run for run in session.runs if run.name == name), None)
    return reading >= 0 and (run is None or reading < len(run.readings))


def gone(session: Session, act: Act) -> str:
    """What to say of an act for a set-up that was done again, where that was taken back since."""
    name, _ = act.get("at") or ("", 0)
    if not name or any(run.name == name for run in session.runs):
        return ""
    return words.set_up_gone(name, act.get("text") or act.get("words") or "")


def _keep(capture: Capture, act: Act) -> Outcome:
    sitting, token = capture.sitting, act["token"]
    known = sitting.sent(token)
    if known is not None:
        return Outcome(AGAIN, value_mm=known.reading.reading_mm)
    run, reading = capture.place(act)
    heard = sitting.session.hear(act["text"], at=(run, reading))
    value, shown = heard.heard.value_mm, act.get("shown_mm")
    if act.get("sure") and shown is not None:
        value = round(float(shown), 6)  # what the person saw, and kept
    if not sitting.session.is_open(run, reading):
        return _read_elsewhere(capture, run, reading, value)
    if not act.get("sure"):
        if shown is not None and abs(shown - value) > 1e-6:
            return Outcome(ASKS, value_mm=value, question=words.taken_otherwise(value))
        if heard.words:
            return Outcome(ASKS, value_mm=value, question=heard.words)
    with sitting.together():
        sitting.keep(value, at=(run, reading), token=token, ago_s=_ago_s(act))
        if sitting.session.runs[run].name in sitting.session.counts_down:
            written_down(sitting, run)
    capture.last_at = capture.now()
    about = expected(sitting.session.runs[run], reading)
    return Outcome(DONE, value_mm=value, words=suspicion(value, about))


def _pass(capture: Capture, act: Act) -> Outcome:
    sitting, token = capture.sitting, act["token"]
    if sitting.sent(token) is not None:
        return Outcome(AGAIN)
    at = capture.place(act)
    if not sitting.session.is_open(*at):
        return Outcome(ELSEWHERE, words.READ_ELSEWHERE)
    sitting.cannot_read(at=at, token=token, ago_s=_ago_s(act))
    return Outcome(DONE)


def _read_elsewhere(capture: Capture, run: int, reading: int, value: float) -> Outcome:
    """Two pages read the same: the first stands, the other is kept beside it and told."""
    beside = capture.sitting.beside((run, reading), value)
    stands = beside.stands_mm
    if stands is not None and abs(stands - value) < 1e-6:
        return Outcome(ELSEWHERE, words.same_elsewhere(beside.number, value), value)
    return Outcome(ELSEWHERE, words.other_elsewhere(beside.number, stands, value), value)


def _note(capture: Capture, act: Act) -> Outcome:
    said = act["words"].strip()
    run, reading = capture.place(act)
    noted = capture.sitting.session.runs[run].readings[reading].note
    if not said or noted == said or noted.endswith(f"; {said}"):
        return Outcome(AGAIN)
    last = capture.sitting.session.last_read
    if last != (run, reading):
        capture.sitting.mark(run, "note", f"reading {reading + 1}: {said}")
        return Outcome(DONE)
    capture.sitting.note(said)
    return Outcome(DONE)


def _mend(capture: Capture, act: Act) -> Outcome:
    sitting, token = capture.sitting, act["token"]
    if sitting.sent(token) is not None:
        return Outcome(AGAIN)
    run, reading = capture.place(act)
    heard = sitting.session.hear(act["text"], at=(run, reading))
    if heard.words and not act.get("sure"):
        return Outcome(ASKS, value_mm=heard.heard.value_mm, question=heard.words)
    sitting.mend(run, reading, heard.heard.value_mm, token=token)
    return Outcome(DONE, value_mm=heard.heard.value_mm)


def _leave(capture: Capture, act: Act) -> Outcome:
    """Leave the rest of a set-up, or do it again; of two that are read together both."""
    sitting = capture.sitting
    run, _ = capture.place(act)
    asks = sitting.session.asks
    if asks is None or asks.run != run:
        return Outcome(AGAIN)
    names = [sitting.session.runs[number].name for number in capture.read_now()]
    leave = sitting.skip if act["do"] == "skip" else sitting.repeat
    with sitting.together():
        for name in names:
            leave(sitting.place(name, 0)[0])
    return Outcome(DONE)


def _stands(capture: Capture, act: Act) -> Outcome:
    """A half-read set-up is gone on with: its gauge was not touched since."""
    run, _ = capture.place(act)
    asks = capture.sitting.session.asks
    if asks is None or asks.run != run or asks.begins:
        return Outcome(AGAIN)
    now = capture.now()
    untouched(capture.sitting, capture.read_now(), now)
    capture.last_at = now
    return Outcome(DONE)


def _turn(capture: Capture, act: Act) -> Outcome:
    """The gauge of a set-up counts down, or up again; what was read with it is turned round."""
    sitting = capture.sitting
    run, _ = capture.place(act)
    down = bool(act["down"])
    if (sitting.session.runs[run].name in sitting.session.counts_down) == down:
        return Outcome(AGAIN)
    gauge = capture.gauge_of(run)
    turned = turn_round(sitting, run, down=down)
    capture.counts_down[gauge] = down
    return Outcome(DONE, words.turned(turned) if turned else "")


def _undo(capture: Capture, act: Act) -> Outcome:
    sitting, of = capture.sitting, act["of"]
    known = sitting.sent(of)
    if known is not None and known.taken_back_at is not None:
        return Outcome(AGAIN)
    now = capture.undoes()
    if now is None or of != now["of"]:
        return Outcome(ELSEWHERE, words.NOT_THE_LAST)
    capture.touched = sitting.session.runs[sitting.session.acts[-1].run].name
    sitting.undo_all()
    return Outcome(DONE)


DOES: dict[str, Callable[[Capture, Act], Outcome]] = {
    "keep": _keep,
    "pass": _pass,
    "note": _note,
    "mend": _mend,
    "skip": _leave,
    "repeat": _leave,
    "stands": _stands,
    "turn": _turn,
    "undo": _undo,
}


def _ago_s(act: Act) -> float:
    return min(max(float(act.get("ago_s") or 0.0), 0.0), LONGEST_AWAY_S)


def _number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)


def _place(value: object) -> bool:
    if not isinstance(value, list | tuple) or len(value) != 2:
        return False
    name, reading = value
    return isinstance(name, str) and isinstance(reading, int) and not isinstance(reading, bool)


_FIELDS: dict[str, Callable[[object], bool]] = {
    "at": _place,
    "token": lambda value: isinstance(value, str) and 8 <= len(value) <= 80,
    "text": lambda value: isinstance(value, str),
    "words": lambda value: isinstance(value, str),
    "of": lambda value: isinstance(value, str),
    "down": lambda value: isinstance(value, bool),
    "shown_mm": lambda value: _number(value) and abs(float(str(value))) <= LARGEST_MM,
    "ago_s": _number,
}
"""What each field of an act may be."""
_ASKED = {
    "keep": ("at", "token", "text"),
    "pass": ("at", "token"),
    "mend": ("at", "token", "text"),
    "note": ("at", "words"),
    "skip": ("at",),
    "repeat": ("at",),
    "stands": ("at",),
    "turn": ("at", "down"),
    "undo": ("of",),
}
"""What each doing asks for."""
_MAY = ("shown_mm", "ago_s")
