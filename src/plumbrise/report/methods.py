"""How the figures come about, in short, with sources."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Method:
    """A method in a few sentences, and where it is described in full."""

    title: str
    words: str
    source: str


METHODS = (
    Method(
        "Give or take",
        "Each ± is the half width of a 95 % interval: Student's factor for the degrees of freedom "
        "times the standard uncertainty. It holds the spread of the readings and the step of the "
        "dial. A lopsided interval is written by its two ends.",
        "Guide to the expression of uncertainty in measurement, JCGM 100:2008, 4, 5.1, 6.2 and G.4",
    ),
    Method(
        "Lost motion from a staircase",
        "After a home from above the axis goes up in steps. Once steps arrive whole, a line is "
        "fitted to what was read against what was told; where that line meets no rise is the lost "
        "motion, so that an error of scale is not counted as loss.",
        "Least squares; settled is where the gain agrees with that of the last third",
    ),
    Method(
        "Positioning and reversal",
        "Every height is reached from below and from above. The mean deviations, their spread and "
        "their difference give reversal value, repeatability and accuracy, signs included.",
        "Terms as in ISO 230-2",
    ),
    Method(
        "Causes",
        "A model of the axis carries the weight from the guides through nut, screw, coupling and "
        "seat, each a spring with play or drag where it may have some. Sets of causes are fitted "
        "to all set-ups at once and weighed by how well they foretell the readings, with a price "
        "for each further cause. A cause counts only if it takes enough to matter.",
        "Evidence by Laplace's approximation: MacKay, Information Theory, Inference, and Learning "
        "Algorithms (2003), chapters 27 and 28",
    ),
    Method(
        "The next test",
        "Each test that could be done is foretold under every likely set of causes. The one that "
        "is expected to settle most in a minute stands first.",
        "Lindley, On a measure of the information provided by an experiment (1956)",
    ),
)
