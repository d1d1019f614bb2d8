"""`python -m plumbrise`."""

from plumbrise.cli import run

run()
