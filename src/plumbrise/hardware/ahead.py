"""The lines sent to a controller that are not reckoned done, and the most it may still move."""

from __future__ import annotations

from dataclasses import dataclass, field

from plumbrise.hardware.outcomes import Bound, Timing
from plumbrise.hardware.steps import MOVES, Step, StepKind


@dataclass(slots=True)
class Sent:
    """A line that was sent, and when it is reckoned done."""

    step: Step
    sent_s: float
    done_s: float
    acknowledged: bool = False


@dataclass(slots=True)
class Ahead:
    """Lines sent, in order; `free_s` is when all of them are reckoned done. Every `now` is of one
    clock, s."""

    timing: Timing
    free_s: float
    lines: list[Sent] = field(default_factory=list)

    def sends(self, step: Step, now: float) -> None:
        """Count a line, before it goes out: the bound may say too much, never too little."""
        lasts_s = 0.0
        if step.seconds:
            lasts_s = step.seconds * self.timing.slack + self.timing.margin_s
        self.free_s = max(now, self.free_s) + lasts_s
        self.lines.append(Sent(step, now, self.free_s))

    @property
    def waiting(self) -> Sent | None:
        """The first line that is not acknowledged."""
        return next((sent for sent in self.lines if not sent.acknowledged), None)

    @property
    def moving(self) -> list[Sent]:
        """The moves among them."""
        return [sent for sent in self.lines if sent.step.kind in MOVES]

    def let_go_of_done(self, now: float) -> None:
        """Forget the first lines, as far as they are acknowledged and their time is over."""
        while self.lines and self.lines[0].acknowledged and now >= self.lines[0].done_s:
            del self.lines[0]

    def home_acknowledged(self, sent: Sent, now: float) -> float:
        """Seconds that a home is given since it cannot be over yet, 0 where it can be."""
        lasts_s = 0.0
        if now - sent.sent_s < self.timing.home_at_once_s:
            lasts_s = self.timing.home_s
            if sent.step.far_mm:
                lasts_s = sent.step.far_mm / self.timing.home_mm_per_s
        sent.done_s = self.free_s = max(now + lasts_s, sent.done_s)
        return lasts_s

    def bound(self, now: float) -> Bound:
        """The most that may still be moved."""
        self.let_go_of_done(now)
        moving = self.moving
        far = [sent.step.far_mm for sent in moving]
        known = [one for one in far if one is not None]
        homes_s = sum(self.timing.home_s for s in moving if s.step.kind is StepKind.HOME)
        late_s = sum(sent.step.seconds for sent in self.lines if not sent.acknowledged)
        left_s = max(0.0, self.free_s - now, late_s) if self.lines else 0.0
        mm = sum(known) if len(known) == len(far) else None
        return Bound(len(moving), mm, homes_s + left_s)

    def comes_to_rest(self) -> str:
        """Where the axis comes to rest, in words, when nothing went wrong."""
        moving = [sent.step for sent in self.lines if sent.step.kind is StepKind.MOVE]
        if not moving or moving[-1].height_mm is None:
            return "The axis stands where it was told."
        return (
            f"The axis comes to rest at {moving[-1].height_mm:.3f} mm, if the controller moves on."
        )
