"""What is plugged into the computer that runs the bench."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.web import capture_words as words
from plumbrise.web.capture_axis import Axis
from plumbrise.web.capture_gauge import LiveGauge


@dataclass(frozen=True, slots=True)
class Devices:
    """Indicators that show their values on the measure sheet, two for two stations read at once,
    and an axis that is moved from it."""

    gauges: tuple[LiveGauge, ...] = ()
    axis: Axis | None = None

    def stop(self) -> None:
        """The bench is being closed: nothing more is moved."""
        if self.axis is not None:
            self.axis.stop(words.BENCH_CLOSES)
