"""Machine, readings, results and schema: text and bytes to values and back, no paths."""

from plumbrise.files.machine_file import machine_from, read_machine, write_machine
from plumbrise.files.machine_sense import machine_remarks
from plumbrise.files.readings_csv import write_readings
from plumbrise.files.readings_table import read_readings

__all__ = [
    "machine_from",
    "machine_remarks",
    "read_machine",
    "read_readings",
    "write_machine",
    "write_readings",
]
