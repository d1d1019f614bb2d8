"""The working process: explains, plans and weighs changes beside the page, so that the page always
answers and what is no longer wanted can be ended at once.

Started as `python -m plumbrise.web.working`; speaks parcels on its standard input and output.
"""

from __future__ import annotations

import logging
import os
import sys
from collections.abc import Callable
from importlib import import_module
from typing import Any, BinaryIO

from plumbrise.errors import InputError, InputErrors
from plumbrise.web import fault_words
from plumbrise.web.parcel import receive, send

Tell = Callable[[str, Any], None]


def _explain(tell: Tell, machine: Any, readings: Any) -> Any:
    import numpy as np

    from plumbrise.explain import Explanation, explain

    def progress(so_far: Explanation) -> bool:
        tell("so far", so_far)
        return True

    return explain(machine, readings, rng=np.random.default_rng(0), progress=progress)


def _plan(_tell: Tell, machine: Any, asked: dict[str, Any]) -> Any:
    import numpy as np

    from plumbrise.explain.plan import plan

    return plan(machine, rng=np.random.default_rng(0), **asked)


def _prospects(_tell: Tell, machine: Any, explanation: Any) -> Any:
    import numpy as np

    from plumbrise.redesign import prospects_for

    return prospects_for(machine, explanation, rng=np.random.default_rng(0))


TASKS: dict[str, Callable[..., Any]] = {
    "explain": _explain,
    "plan": _plan,
    "prospects": _prospects,
}


def serve(source: BinaryIO, to: BinaryIO) -> None:
    """Do what comes in, one after the other, until the other end is gone."""
    _warm_up()
    while True:
        try:
            number, task, arguments = receive(source)
        except EOFError:
            return

        def tell(what: str, value: Any, number: int = number) -> None:
            send(to, (number, what, value))

        try:
            tell("done", TASKS[task](tell, *arguments))
        except OSError:
            return  # the page is gone, and nobody waits for this
        except (InputError, InputErrors) as problem:  # what a person can mend has its words
            tell("failed", str(problem))
        except Exception:  # the process serves the next job; where it broke is in the log
            logging.getLogger("plumbrise").exception("%s broke off", task)
            tell("failed", fault_words.BROKE_OFF)


def _warm_up() -> None:
    """Load what explaining needs, and use it once, before somebody waits for it."""
    import numpy as np

    import_module("plumbrise.explain.plan")
    from plumbrise.demo import scenario
    from plumbrise.explain import explain

    example = scenario()
    rng = np.random.default_rng(0)
    explain(example.machine, example.readings, rng=rng, progress=lambda _: False)


def main() -> None:
    """Keep the pipes to ourselves: whatever else prints goes to the error stream."""
    source = sys.stdin.buffer
    to = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    serve(source, to)


if __name__ == "__main__":
    main()
