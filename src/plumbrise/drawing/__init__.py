"""The load path drawing and the charts: values to SVG text."""

from plumbrise.drawing.ledger import LedgerRow, ledger
from plumbrise.drawing.load_path import load_path
from plumbrise.drawing.marking import Marking, mark

__all__ = ["LedgerRow", "Marking", "ledger", "load_path", "mark"]
