"""The changes that can be made to an axis: one record each, from which choosing, parts list, work
order, page and report draw.

Effects, prices and hours are typical of light screw axes: common practice, no source, unless a
note says otherwise. Prices are not offers; a person's own come from a file of theirs.
"""

from __future__ import annotations

from plumbrise.redesign.catalogue.carrying import (
    BALL_IN_COUPLING,
    RIGID_COUPLING,
    THRUST_BEARING,
    TIGHTEN_CLAMPS,
)
from plumbrise.redesign.catalogue.frame_and_guides import (
    BRACE_FRAME,
    COUNTERWEIGHT,
    SET_ROLLERS,
    SQUARE_FRAME,
    STIFF_CARRIAGES,
)
from plumbrise.redesign.catalogue.homing_and_settings import (
    FOUR_STEP_LAYERS,
    SLOW_SECOND_TOUCH,
    STEPS_PER_MM,
    STIFF_SWITCH,
)
from plumbrise.redesign.catalogue.nuts import (
    ALIGN_NUT,
    FLOATING_NUT,
    NEW_NUT,
    SPLIT_NUT,
    STIFF_BRACKET,
)
from plumbrise.redesign.catalogue.screws import (
    CLEAN_SCREW,
    FREE_TOP,
    SHORT_LEAD_SCREW,
    STRAIGHT_SCREW,
)
from plumbrise.redesign.catalogue.second_screw import (
    SECOND_SCREW_MOTOR,
    SECOND_SCREW_TIED,
)
from plumbrise.redesign.catalogue.several_screws import (
    LARGER_PULLEYS,
    LEVEL_SCREWS,
    TENSION_BELT,
)

_ALL = (
    CLEAN_SCREW,
    SQUARE_FRAME,
    SET_ROLLERS,
    ALIGN_NUT,
    FREE_TOP,
    TIGHTEN_CLAMPS,
    BALL_IN_COUPLING,
    RIGID_COUPLING,
    THRUST_BEARING,
    STIFF_BRACKET,
    NEW_NUT,
    SPLIT_NUT,
    FLOATING_NUT,
    STRAIGHT_SCREW,
    SHORT_LEAD_SCREW,
    STIFF_CARRIAGES,
    COUNTERWEIGHT,
    SECOND_SCREW_TIED,
    SECOND_SCREW_MOTOR,
    TENSION_BELT,
    LARGER_PULLEYS,
    LEVEL_SCREWS,
    BRACE_FRAME,
    STEPS_PER_MM,
    FOUR_STEP_LAYERS,
    SLOW_SECOND_TOUCH,
    STIFF_SWITCH,
)
CATALOGUE = {change.id: change for change in _ALL}
"""By id, in the order of merit that practice goes by: free things first."""
