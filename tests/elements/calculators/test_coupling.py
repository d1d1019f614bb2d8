"""The sheet of a coupling."""

from plumbrise.elements.calculators import calculator
from plumbrise.elements.worked import sheet


def _worked(**given):
    return sheet(calculator("coupling"), {"lead_mm": 8, **given}).worked


def test_a_coupling_that_only_turns_is_not_stretched_and_not_asked_to_carry():
    carrying = _worked(kind="slotted-disc", carries="motor")
    assert carrying["stretch_mm"] > 0
    assert any("not made to carry" in one.words for one in carrying.verdicts)
    for carries in ("ball", "thrust-bearing"):
        turning = _worked(kind="slotted-disc", carries=carries)
        assert turning["stretch_mm"] == 0
        assert not any("not made to carry" in one.words for one in turning.verdicts)
