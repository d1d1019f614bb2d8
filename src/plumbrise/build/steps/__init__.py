"""The steps of building: one record each, from which work order, sheet and page draw.

Times are those of a person with a little practice, tools and limits of light machines: common
practice, no source, unless a limit says where it comes from. The order within a stage is the
order of the table wherever nothing else decides.
"""

from __future__ import annotations

from plumbrise.build.steps.brought_by import EVERY, OPENS
from plumbrise.build.steps.closing import CLOSING
from plumbrise.build.steps.fitting import FITTING
from plumbrise.build.steps.frame import FRAME
from plumbrise.build.steps.holding import HOLDING
from plumbrise.build.steps.nut import NUT
from plumbrise.build.steps.power import POWER
from plumbrise.build.steps.preparing import PREPARING
from plumbrise.build.steps.read_before import READ_BEFORE
from plumbrise.build.steps.screw import SCREW
from plumbrise.build.steps.second_screw import SECOND_SCREW
from plumbrise.build.steps.settling import SETTLING
from plumbrise.build.steps.wiring import WIRING

__all__ = ["EVERY", "OPENS", "PLACE", "STEPS"]

_ALL = (
    *PREPARING, *READ_BEFORE, *FITTING, *HOLDING, *FRAME, *SECOND_SCREW, *SCREW, *NUT, *CLOSING,
    *WIRING, *POWER, *SETTLING,
)  # fmt: skip
STEPS = {step.id: step for step in _ALL}
"""By id, in the order of the work."""
PLACE = {step.id: number for number, step in enumerate(_ALL)}
"""Where a step stands in the table."""
