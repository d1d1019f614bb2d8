"""Hazards of this work, and the words that warn of them: written once, used everywhere."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Hazard:
    """One way to be hurt, and the act that prevents it."""

    id: str
    title: str
    words: str


MAINS = Hazard(
    "mains",
    "Mains voltage",
    "Mains can kill. Switch off and pull the mains plug before a cover comes off, and wait until "
    "stored charge has gone. Work on mains wiring belongs to a qualified person and follows the "
    "electrical code of the place; this program does not replace either.",
)
FALLING_GANTRY = Hazard(
    "falling-gantry",
    "Falling gantry or bed",
    "What the screws carry, gantry or bed, can run down by itself when the motor is off, the nut "
    "or coupling is loose, or drag was taken away. Put blocks under every end before you loosen "
    "anything or switch off.",
)
PINCH = Hazard(
    "pinch",
    "Fingers, hair and sleeves",
    "A screw, belt or beam crushes fingers. Keep hands, hair and sleeves clear while anything can "
    "move, wear no gloves near a turning screw, and keep one hand at the switch.",
)
HOT_PARTS = Hazard(
    "hot-parts",
    "Hot nozzle and bed",
    "Nozzle and bed burn. Measure cold, heaters off, and let everything cool first.",
)
METAL_CHIPS = Hazard(
    "metal-chips",
    "Metal chips",
    "Chips cut skin and eyes and short electronics. Cut and drill away from the machine, wear eye "
    "protection, cover the electronics, and brush and vacuum before power returns.",
)
HUNG_MASS = Hazard(
    "hung-mass",
    "Hung masses",
    "A hung mass falls on feet and bed. Tie it, hang it low, and keep hands and feet out from "
    "under it.",
)
STORED_TENSION = Hazard(
    "stored-tension",
    "Springs and belts under tension",
    "A wound spring or tight belt lets go at once. Slacken it slowly with the face turned away.",
)
PLUGGING = Hazard(
    "plugging",
    "Plugging under power",
    "A motor unplugged or plugged in under power burns its driver, and so does one turned fast by "
    "hand. Switch off, pull the mains plug and wait a minute until the lamps on the board are out; "
    "then touch connectors, and turn shafts slowly with the motor unplugged.",
)
STORED_CHARGE = Hazard(
    "stored-charge",
    "Charge left in a supply",
    "A supply holds charge after its plug is out. Keep its cover on, wait a minute, and hold the "
    "meter only to plugs that are unplugged from the board.",
)

HAZARDS = {
    hazard.id: hazard
    for hazard in (
        MAINS,
        FALLING_GANTRY,
        PINCH,
        HOT_PARTS,
        METAL_CHIPS,
        HUNG_MASS,
        STORED_TENSION,
        PLUGGING,
        STORED_CHARGE,
    )
}

MEASURING = (PINCH, FALLING_GANTRY, HOT_PARTS, HUNG_MASS)
"""What to say before anybody reads a gauge on a live machine."""

DEFER = (
    "Local electrical and safety codes and licensed practice come before anything this program "
    "says."
)
