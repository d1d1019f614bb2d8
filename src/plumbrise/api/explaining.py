"""What the readings say of the causes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from plumbrise.api.reading import analyse
from plumbrise.api.showing import text_block

if TYPE_CHECKING:
    from plumbrise.analyse import Analysis
    from plumbrise.explain import Explanation
    from plumbrise.machine import Machine
    from plumbrise.readings import Readings


@dataclass(frozen=True, slots=True)
class Answer:
    """What the readings say of the causes; `result` is the Explanation. `headline` is the answer
    in a line, `svg` the load path drawing."""

    machine: Machine
    readings: Readings
    analysis: Analysis
    result: Explanation

    @property
    def headline(self) -> str:
        """The answer in a line, with its number."""
        from plumbrise.report import headline

        return headline(self.machine, self.readings, self.analysis, self.result)

    @property
    def svg(self) -> str:
        """The load path drawing with what each link loses."""
        from plumbrise.drawing import load_path, mark

        marking = mark(self.machine, self.readings, self.result, self.analysis)
        return load_path(self.machine, marking, theme="light")

    def __str__(self) -> str:
        from plumbrise.report import answer_text

        return answer_text(self.machine, self.readings, self.analysis, self.result)

    def _repr_svg_(self) -> str:
        return self.svg

    def _repr_html_(self) -> str:
        return self.svg + text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise explain --json` gives."""
        from plumbrise.files.results import explanation_dict

        return explanation_dict(self.result)


def explain(
    machine: Machine,
    readings: Readings,
    *,
    seed: int = 0,
    progress: Callable[[Explanation], bool] | None = None,
) -> Answer:
    """Which links lose how much, why, how sure that is, and what to read next.

    Args:
        machine: the axis as described; what is left out takes its default.
        readings: the session.
        seed: the same seed gives the same answer.
        progress: gets a first answer early, then better ones; returns False to stop.

    Example:
        >>> from plumbrise.demo import scenario
        >>> example = scenario()
        >>> stop_early = lambda first: False
        >>> answer = explain(example.machine, example.readings, progress=stop_early)
        >>> "mm" in answer.headline
        True
    """
    import numpy as np

    from plumbrise.explain import explain as explained

    result = explained(machine, readings, rng=np.random.default_rng(seed), progress=progress)
    return Answer(machine, readings, analyse(machine, readings).result, result)
