"""The shelf: machines, plans, runs, readings and results on disk, in one SQLite file."""

from plumbrise.store.place import shelf_path
from plumbrise.store.records import (
    Kept,
    Mark,
    ShelvedMachine,
    ShelvedPlan,
    ShelvedResult,
    ShelvedRun,
)
from plumbrise.store.shelf import Shelf
from plumbrise.store.troubles import ShelfDamaged, ShelfError

__all__ = [
    "Kept",
    "Mark",
    "Shelf",
    "ShelfDamaged",
    "ShelfError",
    "ShelvedMachine",
    "ShelvedPlan",
    "ShelvedResult",
    "ShelvedRun",
    "shelf_path",
]
