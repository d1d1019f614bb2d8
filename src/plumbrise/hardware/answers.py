"""What a motion controller answers, sorted by the words that such answers begin with: a table."""

from __future__ import annotations

import re
from enum import Enum


class Answer(Enum):
    """What one line from a controller means to the sender."""

    DONE = "done"
    BUSY = "busy"
    REFUSED = "refused"
    ALARM = "alarm"
    RESTARTED = "restarted"
    ECHO = "echo"
    CHATTER = "chatter"
    OTHER = "other"


ANSWERS = (
    (Answer.DONE, ("ok",)),
    (Answer.BUSY, ("busy", "echo:busy", "echo: busy")),
    (Answer.REFUSED, ("error", "resend", "rs", "unknown command", "echo:unknown command")),
    (Answer.ALARM, ("alarm", "fault", "halt", "halted", "kill", "killed", "fatal", "!!")),
    (Answer.CHATTER, ("wait", "idle", "t:", "b:", "x:", "//", ";")),
    (Answer.RESTARTED, ("start", "starting", "boot", "booting", "reset", "restart", "power up")),
)
"""Meaning -> the words that such a line begins with, in any case, after any marks such as [ or <.
A line that greeted on opening and comes again means a restart too. OTHER is text that nothing
explains: perhaps the greeting of a controller that has begun anew."""

_LEADING = re.compile(r"^[\s\[<(|*#>-]+")


def answer(
    line: str,
    *,
    sent: tuple[str, ...] = (),
    greeting: frozenset[str] = frozenset(),
    chatter: tuple[str, ...] = (),
) -> Answer:
    """What a line means.

    Args:
        line: without its end.
        sent: lines sent lately: the same line coming back is an echo.
        greeting: what the controller said once on opening.
        chatter: beginnings of further lines that mean nothing, from the person.

    Example:
        >>> answer("ok T:21.0"), answer("[ALARM] end stop"), answer("okay then")
        (<Answer.DONE: 'done'>, <Answer.ALARM: 'alarm'>, <Answer.OTHER: 'other'>)
    """
    bare = line.strip()
    if bare.upper().removeprefix("ECHO:").strip() in sent:
        return Answer.ECHO
    words = _LEADING.sub("", bare).lower()
    for meaning, beginnings in ANSWERS:
        for begins in beginnings:
            ends_word = not (begins[-1:] + words[len(begins) : len(begins) + 1]).isalnum()
            if words.startswith(begins) and (ends_word or len(words) == len(begins)):
                return meaning
    if bare in greeting:
        return Answer.RESTARTED
    return Answer.CHATTER if chatter and bare.startswith(chatter) else Answer.OTHER
