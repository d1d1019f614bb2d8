"""Plumbrise finds out what a screw-raised vertical axis loses, where, why, and how sure that is."""

__version__ = "0.1.0"
