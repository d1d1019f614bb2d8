"""Machine, readings, results, packs and schema: text and bytes to values and back, no paths."""

from plumbrise.files.machine_file import machine_from, read_machine
from plumbrise.files.machine_sense import machine_remarks
from plumbrise.files.machine_writing import machine_dict, write_machine
from plumbrise.files.pack import Pack, PackNotWhole, Stage, read_pack, write_pack
from plumbrise.files.readings_csv import write_readings
from plumbrise.files.readings_table import read_readings
from plumbrise.files.schemas import schema

__all__ = [
    "Pack",
    "PackNotWhole",
    "Stage",
    "machine_dict",
    "machine_from",
    "machine_remarks",
    "read_machine",
    "read_pack",
    "read_readings",
    "schema",
    "write_machine",
    "write_pack",
    "write_readings",
]
