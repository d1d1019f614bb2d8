"""What can be found in a harness: a registry of kinds, each with its words."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class FindingKind:
    """One thing that can be found; `refuses` where power must wait for it."""

    id: str
    title: str
    words: str
    refuses: bool = True


PAIR_SPLIT = FindingKind(
    "pair-split",
    "Coil pair split across phases",
    "One coil ends on contacts of both pairs that the board drives. The motor only buzzes, and "
    "each phase drives into the other.",
)
CONTACTS_CROSSED = FindingKind(
    "contacts-crossed",
    "Contacts crossed",
    "Wires sit in each other's places.",
)
CONTACT_OPEN = FindingKind(
    "contact-open",
    "Contact open",
    "Nothing is joined to this contact: a wire broken, a contact not seated, or a wire in an "
    "empty place. A motor on one coil jerks, and a contact that opens under current can kill the "
    "driver.",
)
COIL_OPEN = FindingKind(
    "coil-open",
    "Pair open",
    "A pair that the board drives is open: one of its two wires or the coil itself.",
)
PAIR_APART = FindingKind(
    "pair-apart",
    "Driven pair not joined",
    "The two contacts of a pair that the board drives are apart: the coil pair is split across "
    "the phases, or a contact is open.",
)
PHASES_JOINED = FindingKind(
    "phases-joined",
    "Contacts of two phases joined",
    "Contacts that different phases drive are joined: a coil pair is split, or the coils touch.",
)
COILS_JOINED = FindingKind(
    "coils-joined",
    "Short between coils",
    "Three or more contacts are joined: the two coils, or their wires, touch.",
)
FRAME_JOINED = FindingKind(
    "frame-joined",
    "Short to the frame",
    "A contact is joined to the frame or the motor's body. The driver would feed the frame.",
)
COIL_RESISTANCE = FindingKind(
    "coil-resistance",
    "Coil of wrong resistance",
    "Too low: turns or wires touch. Too high: a bad contact, a thin wire, or another motor.",
)
COILS_UNLIKE = FindingKind(
    "coils-unlike",
    "Coils not alike",
    "The two coils of one motor differ by more than a tenth.",
)
WIRE_RESISTANCE = FindingKind(
    "wire-resistance",
    "Wire of too high resistance",
    "One wire reads more than its copper and two contacts: a contact is bad.",
)
COMES_AND_GOES = FindingKind(
    "comes-and-goes",
    "Contact comes and goes",
    "The same two contacts read differently at different times. Under current that kills drivers.",
)
EXCHANGED = FindingKind(
    "exchanged",
    "Cables of two motors exchanged",
    "This socket turns another line's motor.",
)
REVERSED = FindingKind(
    "reversed",
    "Motor turns the other way",
    "As described this motor turns against what its socket says. That can also be set in the "
    "controller.",
    refuses=False,
)
AGAINST = FindingKind(
    "against-each-other",
    "Motors turn against each other",
    "As described two motors of one axis turn opposite ways: they rack the gantry at the first "
    "move.",
)
OVER_CURRENT = FindingKind(
    "over-current",
    "Driver current above the motor's rating",
    "The motor overheats.",
)
CURRENT_UNKNOWN = FindingKind(
    "current-unknown",
    "Current not checked",
    "Set current, rated current, or the part of it that this motor gets is not known. Compare them "
    "before power.",
    refuses=False,
)
SHARED = FindingKind(
    "shared-driver",
    "Two motors on one driver",
    "What each motor gets of the driver's current.",
    refuses=False,
)
DRIVE_NOT_AS_TOLD = FindingKind(
    "drive-not-as-told",
    "Motors not joined as described",
    "The reading at the driver's plug does not go with what is said of how the motors are joined.",
)
WIRE_DROP = FindingKind(
    "wire-drop",
    "What the cable takes",
    "There and back.",
    refuses=False,
)
THIN_WIRE = FindingKind(
    "thin-wire",
    "Wire thin for its current",
    "Over 10 A/mm² a bundled wire grows warm. Common practice, no source.",
    refuses=False,
)
NOT_AS_TOLD = FindingKind(
    "not-as-told",
    "Readings against the description",
    "No wiring as described gives these readings: a reading was taken elsewhere, or the "
    "description is wrong.",
)
CONTRADICTION = FindingKind(
    "contradiction",
    "Readings against each other",
    "No wiring at all gives these readings together.",
)
DOES_NOT_SUIT = FindingKind(
    "does-not-suit",
    "Wiring that does not suit the board",
    "As described, the driven pairs cannot each have a whole coil: wires sit on taps or in "
    "empty places.",
)
NO_SOUND_WIRING = FindingKind(
    "no-sound-wiring",
    "Not the wiring of a sound motor",
    "No cable and motor in order give these readings.",
)

FINDINGS = {
    kind.id: kind
    for kind in (
        PAIR_SPLIT,
        CONTACTS_CROSSED,
        CONTACT_OPEN,
        COIL_OPEN,
        PAIR_APART,
        PHASES_JOINED,
        COILS_JOINED,
        FRAME_JOINED,
        COIL_RESISTANCE,
        COILS_UNLIKE,
        WIRE_RESISTANCE,
        COMES_AND_GOES,
        EXCHANGED,
        REVERSED,
        AGAINST,
        OVER_CURRENT,
        CURRENT_UNKNOWN,
        SHARED,
        DRIVE_NOT_AS_TOLD,
        WIRE_DROP,
        THIN_WIRE,
        NOT_AS_TOLD,
        CONTRADICTION,
        DOES_NOT_SUIT,
        NO_SOUND_WIRING,
    )
}
"""Everything that can be found, by its id."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing found: in which line, at which place and contacts (0 is the frame), how it is
    known, and what was read or computed.

    `known` is "measured" where every completion has it, "described" where it follows from what
    the owner wrote.
    """

    kind: FindingKind
    line: str
    at: str = "board"
    contacts: tuple[int, ...] = ()
    known: str = "measured"
    detail: str = ""
