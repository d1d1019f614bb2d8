"""One part on its sheet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from plumbrise.api.showing import text_block

if TYPE_CHECKING:
    from plumbrise.elements.worked import Sheet


@dataclass(frozen=True, slots=True)
class SizeAnswer:
    """A part sized; `result` is the Sheet. Figures by name: answer["sag_mm"]."""

    result: Sheet

    def __getitem__(self, name: str) -> float | str:
        return self.result.worked[name]

    def __str__(self) -> str:
        from plumbrise.report.sizing import sheet_text

        return sheet_text(self.result, whole=True)

    def _repr_html_(self) -> str:
        return text_block(str(self))

    def to_dict(self) -> dict[str, Any]:
        """The same as `plumbrise size KIND --json` gives."""
        from plumbrise.files.sizing import sheet_dict

        return sheet_dict(self.result)


def size(kind: str, **inputs: object) -> SizeAnswer:
    """Work one part out on its sheet; no machine is needed.

    Args:
        kind: beam, frame, screw and so on, as after `plumbrise size`.
        inputs: by the names of its options (span_mm=340), in their units; a list of dicts where
            an option is given several times. What is left out takes its default.

    Raises:
        InputError: no such kind, or inputs that do not go together.
        InputErrors: all inputs that cannot be used.

    Example:
        >>> round(size("beam", case="cantilever", span_mm=300, force_n=10)["sag_mm"], 3)
        0.03
    """
    from plumbrise.elements.calculators import calculator
    from plumbrise.elements.worked import sheet

    return SizeAnswer(sheet(calculator(kind), inputs))
