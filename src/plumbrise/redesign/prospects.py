"""What every set of changes would make of the figures of an axis, draw by draw.

Figures fall into blocks that different changes alter (motion, bands, homing, scale, frame). Each
block is worked out once for every set of its own changes; a set of all changes is then a row of
each block. So all sets are looked at, and none is simulated twice.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from plumbrise.errors import InputError
from plumbrise.machine import Machine
from plumbrise.redesign.axes import Drawn
from plumbrise.redesign.blocks import MAKERS, alters
from plumbrise.redesign.changes import Change
from plumbrise.redesign.figures import FIGURES
from plumbrise.redesign.sets import Masks, allowed_sets

Vector = NDArray[np.float64]
Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """One block of figures: `bits` of the changes that alter it, the sets of these (`masks`,
    sorted), and for each figure the values (sets, draws) and their middle over the draws."""

    bits: int
    masks: Masks
    values: Mapping[str, Matrix]
    middles: Mapping[str, Vector]

    def rows(self, masks: Masks) -> NDArray[np.int64]:
        """The row of each set of all changes."""
        return np.asarray(np.searchsorted(self.masks, masks & self.bits), dtype=np.int64)


@dataclass(frozen=True, slots=True, eq=False)
class Prospects:
    """All sets of changes on one machine. `blocks` by name; figures that nothing read so far
    lets us tell are in none of them (`untold` says which, and why)."""

    machine: Machine
    draws: Drawn
    changes: tuple[Change, ...]
    masks: Masks
    blocks: Mapping[str, Block]
    untold: Mapping[str, str]

    def block_of(self, figure: str) -> Block:
        """The block that holds a figure.

        Raises:
            KeyError: the figure cannot be told of this machine.
        """
        for block in self.blocks.values():
            if figure in block.values:
                return block
        raise KeyError(figure)

    def narrowed(self, figures: frozenset[str], also: int = 0) -> Prospects:
        """Only the sets of changes that alter one of these figures, or are among `also` (bits)."""
        bits = also
        for block in self.blocks.values():
            if figures & set(block.values):
                bits |= block.bits
        return replace(self, masks=self.masks[(self.masks & ~bits) == 0])

    def bits_of(self, changes: Collection[str]) -> int:
        """These changes as bits.

        Raises:
            InputError: one that this machine cannot have, or that alters no figure of it.
        """
        place = {change.id: bit for bit, change in enumerate(self.changes)}
        for one in sorted(changes):
            if one not in place:
                raise InputError(
                    place="changes taken",
                    value=one,
                    allowed="one of " + ", ".join(place),
                    remedy="Leave it out: ruled out, not for this machine, or no figure shows it.",
                )
        return sum(1 << place[one] for one in set(changes))

    def place(self, mask: int) -> int | None:
        """Where a set stands among all, None if it cannot be made."""
        at = int(np.searchsorted(self.masks, mask))
        return at if at < len(self.masks) and self.masks[at] == mask else None

    def of(self, figure: str, mask: int) -> Vector:
        """A figure after one set, a value a draw."""
        block = self.block_of(figure)
        row = block.rows(np.array([mask], dtype=np.int64))[0]
        return np.asarray(block.values[figure][row])


def prospects_of(
    machine: Machine, draws: Drawn, changes: Sequence[Change], figures: frozenset[str]
) -> Prospects:
    """Work out every set of the changes that alter one of these figures on this machine."""
    open_to = [c for c in changes if c.applies_to(machine)]
    wanted = [name for name in MAKERS if any(FIGURES[f].block == name for f in figures)]
    useful = [c for c in open_to if any(alters(c, name) for name in wanted)]
    masks = allowed_sets(useful)
    blocks: dict[str, Block] = {}
    untold: dict[str, str] = {}
    for name in wanted:
        bits = sum(1 << k for k, c in enumerate(useful) if alters(c, name))
        own = np.unique(masks & bits)
        values, missing = MAKERS[name](machine, draws, useful, own)
        untold |= missing
        if values:
            middles = {figure: np.median(made, axis=1) for figure, made in values.items()}
            blocks[name] = Block(bits, own, values, middles)
    return Prospects(machine, draws, tuple(useful), masks, blocks, untold)
