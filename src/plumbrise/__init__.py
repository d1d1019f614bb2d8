"""Plumbrise finds out what a screw-raised vertical axis loses, where, why, and how sure that is.

machine = plumbrise.read_machine("machine.toml")
readings = plumbrise.read_readings("readings.csv", machine)
print(plumbrise.explain(machine, readings))
"""

from __future__ import annotations

import sys
from types import ModuleType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from plumbrise.api import (
        Answer,
        analyse,
        build,
        explain,
        foresee,
        pack,
        prove,
        read_machine,
        read_readings,
        redesign,
        report,
        size,
        stage,
        what_fits,
        wiring,
    )

__version__ = "0.1.0"
__all__ = [
    "Answer",
    "__version__",
    "analyse",
    "build",
    "explain",
    "foresee",
    "pack",
    "prove",
    "read_machine",
    "read_readings",
    "redesign",
    "report",
    "size",
    "stage",
    "what_fits",
    "wiring",
]


def __getattr__(name: str) -> object:
    """The public names, loaded when first asked for: `import plumbrise` itself stays light."""
    if name in __all__:
        from plumbrise import api

        return getattr(api, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})


class _Package(ModuleType):
    """Keeps `plumbrise.explain` and its like the verbs they are for people. Python would bind the
    room of the same name over them as soon as it is imported; `from plumbrise.explain import ...`
    finds the room all the same."""

    def __setattr__(self, name: str, value: object) -> None:
        if not (name in __all__ and isinstance(value, ModuleType)):
            super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Package
