"""The load path drawing and the charts: values to SVG text."""

from plumbrise.drawing.before_after import before_after
from plumbrise.drawing.ledger import LedgerRow, ledger
from plumbrise.drawing.load_path import load_path
from plumbrise.drawing.marking import Marking, mark
from plumbrise.drawing.new_parts import changed
from plumbrise.drawing.plots import chart_for, residual_strip, sides_chart
from plumbrise.drawing.proof_chart import proof_chart
from plumbrise.drawing.trade_off import trade_off
from plumbrise.drawing.two_stages import two_stages

__all__ = [
    "LedgerRow",
    "Marking",
    "before_after",
    "changed",
    "chart_for",
    "ledger",
    "load_path",
    "mark",
    "proof_chart",
    "residual_strip",
    "sides_chart",
    "trade_off",
    "two_stages",
]
