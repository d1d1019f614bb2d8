"""One decorator for everything that is compiled.

It keeps the compiled code from one start to the next where there is a place to keep it, and goes
without where there is none: numba refuses to cache, at import, when it finds no folder that it
may write. Which folder that is, is settled before numba is imported, at the edge of the program
(`plumbrise.cli.compiled_cache`); this room never touches the disk by itself.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

import numba

FunctionT = TypeVar("FunctionT", bound=Callable[..., Any])


def compiled(function: FunctionT) -> FunctionT:
    """Compile when first called; releases the interpreter lock, keeps strict arithmetic."""
    try:
        made = numba.njit(cache=True, nogil=True, error_model="numpy")(function)
    except RuntimeError:  # no folder to cache in
        made = numba.njit(nogil=True, error_model="numpy")(function)
    return cast(FunctionT, made)


def inlined(function: FunctionT) -> FunctionT:
    """Compile into each caller: for what runs in the innermost loop."""
    return cast(FunctionT, numba.njit(inline="always", error_model="numpy")(function))
