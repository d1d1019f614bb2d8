"""The load path drawing and the charts: values to SVG text."""

from plumbrise.drawing.ledger import LedgerRow, ledger
from plumbrise.drawing.load_path import load_path
from plumbrise.drawing.marking import Marking, mark
from plumbrise.drawing.plots import chart_for, residual_strip, sides_chart

__all__ = [
    "LedgerRow",
    "Marking",
    "chart_for",
    "ledger",
    "load_path",
    "mark",
    "residual_strip",
    "sides_chart",
]
