"""What a person can get wrong: the place, the value, what is allowed and what to do."""

from __future__ import annotations

from collections.abc import Sequence


class InputError(ValueError):
    """Something given to Plumbrise cannot be used: where, what, what is allowed, what to do.

    The core names the field; each layer outwards adds its own place with `within`.

    Example:
        >>> print(InputError(place="approach", value="upp", allowed="up or down",
        ...                  remedy="Correct the word.").within("row 2").within("evening.csv"))
        evening.csv, row 2, approach: 'upp' given, up or down allowed. Correct the word.
    """

    def __init__(self, *, place: str, value: object, allowed: str, remedy: str) -> None:
        super().__init__(place, value, allowed, remedy)
        self.place, self.value, self.allowed, self.remedy = place, value, allowed, remedy

    def __str__(self) -> str:
        return f"{self.place}: {self._said} given, {self.allowed} allowed. {self.remedy}"

    @property
    def _said(self) -> str:
        """The value as it was given; Python cannot write out every one that a file can hold."""
        try:
            return repr(self.value)
        except (RecursionError, ValueError):
            return "one that is too long to show"

    def within(self, outer: str) -> InputError:
        """The same error seen from outside: a file reader adds its file and row."""
        return InputError(
            place=f"{outer}, {self.place}",
            value=self.value,
            allowed=self.allowed,
            remedy=self.remedy,
        )


class InputErrors(ValueError):
    """All that is wrong with one file, a line each, so that it is mended in one pass."""

    def __init__(self, problems: Sequence[InputError]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(map(str, self.problems)))

    def within(self, outer: str) -> InputErrors:
        """The same errors seen from outside."""
        return InputErrors([problem.within(outer) for problem in self.problems])
