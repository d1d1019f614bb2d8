"""What limits an answer, in sentences."""

from __future__ import annotations

from plumbrise.explain.causes_seen import Depth
from plumbrise.explain.results import Unexplained
from plumbrise.explain.search import Found
from plumbrise.readings import Readings

MOST_SIGNS = 2
"""So many signs of something else are told; the others are weaker and often the same thing."""


def doubts_of(readings: Readings, depth: Depth, found: Found, left: Unexplained) -> tuple[str, ...]:
    """What limits this answer."""
    said: list[str] = []
    if not depth.lead:
        said.append(
            "The lead is not known: errors once a turn and of the motor's steps cannot be told."
        )
    if depth.name == "short":
        said.append(
            "A short table gives the loss of each side and little more: take the groups and the "
            "next test, not a single cause."
        )
    elif depth.name == "gantry":
        said.append(
            "Only the moving part was read: seat, coupling and bracket act as one spring there."
        )
    if depth.long_travel and "gauge-check" not in depth.kinds:
        said.append("Without a gauge check, lead error and a tilted gauge look the same.")
    if not depth.timed and depth.name != "short":
        said.append("No times were written down: drift cannot be taken out.")
    if any(run.stand_on not in ("frame", "") for run in readings.runs):
        said.append("Some stands did not rest on the frame; what their base does is not modelled.")
    said += [f"Something else goes on: {sign.words}." for sign in left.signs[:MOST_SIGNS]]
    if left.verdict == "some" and not left.signs:
        said.append(
            f"Something else goes on: {left.rms_mm:.3f} mm is left over where "
            f"{left.expected_rms_mm:.3f} mm was expected ({left.worst})."
        )
    if not found.finished:
        said.append("The search was stopped early.")
    return tuple(said)
