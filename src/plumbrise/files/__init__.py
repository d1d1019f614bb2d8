"""Machine, readings, results and schema: text and bytes to values and back, no paths."""

from plumbrise.files.machine_file import machine_from, read_machine, write_machine
from plumbrise.files.machine_sense import machine_remarks

__all__ = [
    "machine_from",
    "machine_remarks",
    "read_machine",
    "write_machine",
]
