"""Plumbrise from Python: read, analyse, explain, report. What comes back shows itself in a
notebook, prints as text, and turns into plain dicts."""

from __future__ import annotations

from plumbrise.api.changing import ProposalAnswer, WiringAnswer, WorkAnswer, build, redesign, wiring
from plumbrise.api.explaining import Answer, explain
from plumbrise.api.foreseeing import BandsAnswer, ForecastAnswer, foresee, what_fits
from plumbrise.api.packing import Beside, made_with, pack, packed
from plumbrise.api.proving import ProofAnswer, prove, stage
from plumbrise.api.reading import AnalysisAnswer, analyse, read_machine, read_readings
from plumbrise.api.reporting import report
from plumbrise.api.sizing import SizeAnswer, size

__all__ = [
    "AnalysisAnswer",
    "Answer",
    "BandsAnswer",
    "Beside",
    "ForecastAnswer",
    "ProofAnswer",
    "ProposalAnswer",
    "SizeAnswer",
    "WiringAnswer",
    "WorkAnswer",
    "analyse",
    "build",
    "explain",
    "foresee",
    "made_with",
    "pack",
    "packed",
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
