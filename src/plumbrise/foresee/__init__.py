"""What a print will show: layers, beads, bands, and what can be done about them for nothing."""

from plumbrise.foresee.axes import Axes, axes_of, one_axis, same_axes
from plumbrise.foresee.foreseeing import foresee, foresee_from_readings, foresee_on
from plumbrise.foresee.printing import Lift, Print, Start
from plumbrise.foresee.results import Forecast, Layer, LayerAt, Remedy

__all__ = [
    "Axes",
    "Forecast",
    "Layer",
    "LayerAt",
    "Lift",
    "Print",
    "Remedy",
    "Start",
    "axes_of",
    "foresee",
    "foresee_from_readings",
    "foresee_on",
    "one_axis",
    "same_axes",
]
