"""Progress on the error stream, so that standard output holds only the answer."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

import click


class Line:
    """One line that says what is being worked out; `say` changes it."""

    def __init__(self, words: str) -> None:
        self._live = None
        self._said_so_far = False
        if sys.stderr.isatty():
            from rich.console import Console

            self._live = Console(stderr=True).status(words, spinner="line")
            self._live.start()
        else:
            click.echo(words, err=True)

    def say(self, words: str) -> None:
        """Another thing is being done, or a first answer is there."""
        if self._live is not None:
            self._live.update(words)
        else:
            click.echo(words, err=True)

    def better(self, words: str) -> None:
        """A better answer to what was said before: on a terminal it takes the old one's place,
        elsewhere only the first is kept."""
        if self._live is not None or not self._said_so_far:
            self.say(words)
        self._said_so_far = True

    def close(self) -> None:
        """Take the line away."""
        if self._live is not None:
            self._live.stop()


@contextmanager
def working(words: str, *, quiet: bool = False) -> Iterator[Line | None]:
    """Say what is being done for as long as it takes; `quiet` says nothing."""
    if quiet:
        yield None
        return
    line = Line(words)
    try:
        yield line
    finally:
        line.close()
