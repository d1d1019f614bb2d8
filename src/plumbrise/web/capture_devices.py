"""What is plugged into the computer that runs the bench."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.web import capture_words as words
from plumbrise.web.capture_axis import Axis
from plumbrise.web.capture_gauge import LiveGauge


@dataclass(frozen=True, slots=True)
class Devices:
    """An indicator that shows its value on the measure sheet, an axis that is moved from it."""

    gauge: LiveGauge | None = None
    axis: Axis | None = None

    def stop(self) -> None:
        """The bench is being closed: nothing more is moved."""
        if self.axis is not None:
            self.axis.stop(words.BENCH_CLOSES)
