"""The invented machine's second session: what is kept is what its maker makes."""

import importlib.util
from pathlib import Path

import pytest

SCRIPT = Path(__file__).parents[2] / "scripts" / "demo_after.py"


@pytest.fixture(scope="module")
def maker():
    spec = importlib.util.spec_from_file_location("demo_after", SCRIPT)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_the_machine_after_the_work_is_as_made(maker):
    from plumbrise.files import read_machine

    text = (maker.SESSION / "after-machine.toml").read_text(encoding="utf-8")
    assert read_machine(text, name="after") == maker.machine_after()


def test_the_readings_after_the_work_are_as_made(maker):
    """To a thousandth: another processor may round the last digit otherwise."""
    from plumbrise.files import read_readings
    from plumbrise.readings import scale_of

    machine = maker.machine_after()
    kept = read_readings(
        (maker.SESSION / "after-readings.csv").read_bytes(),
        name="after",
        scale=scale_of(machine),
        arrangement=machine.arrangement,
    )
    made = maker.readings_after()
    assert [run.name for run in kept.runs] == [run.name for run in made.runs]
    for one, two in zip(kept.runs, made.runs, strict=True):
        for a, b in zip(one.readings, two.readings, strict=True):
            assert a.reading_mm == pytest.approx(b.reading_mm, abs=0.0011)
