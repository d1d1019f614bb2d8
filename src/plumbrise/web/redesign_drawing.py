"""The pictures of the redesign sheet: new parts on the axis, what money buys, before and after."""

from __future__ import annotations

from dataclasses import dataclass

from plumbrise.drawing import before_after, changed, load_path, trade_off
from plumbrise.machine import Machine
from plumbrise.redesign import LOST_MOTION, Choice, Proposal
from plumbrise.report.pictures import following_the_page
from plumbrise.web.sheet_drawing import with_addresses

WIDE_PX, AXIS_PX, NARROW_PX = 430, 400, 350
BARS_PX = 840


@dataclass(frozen=True, slots=True)
class Picture:
    """One picture, for wide and narrow windows."""

    wide: str
    narrow: str


@dataclass(frozen=True, slots=True)
class Pictures:
    """`axis` is None where nothing is to be put in, `bars` where lost motion cannot be told."""

    axis: Picture | None
    money: Picture
    bars: Picture | None


def pictures_of(proposal: Proposal, axis: Picture | None) -> Pictures:
    """All pictures of a proposal, beside the axis with its new parts."""
    chosen = proposal.chosen
    target = next((t for t in proposal.targets if t.figure is LOST_MOTION), None)
    told = chosen is not None and any(p.figure is LOST_MOTION for p in chosen.predictions)
    return Pictures(
        axis=axis,
        money=Picture(
            _followed(trade_off(proposal, width_px=WIDE_PX, prefix="money-wide-")),
            _followed(trade_off(proposal, width_px=NARROW_PX, prefix="money-narrow-")),
        ),
        bars=Picture(
            _followed(before_after(chosen, target, width_px=BARS_PX, prefix="bars-wide-")),
            _followed(before_after(chosen, target, width_px=NARROW_PX, prefix="bars-narrow-")),
        )
        if chosen is not None and told
        else None,
    )


def axis_with(machine: Machine, chosen: Choice) -> Picture:
    """The axis after a set of changes, new parts dashed and numbered as in its parts list."""
    after, marking = changed(machine, chosen)

    def drawn(prefix: str, width: int) -> str:
        svg = load_path(
            after, marking, theme="light", width_px=width, height_px=width, prefix=prefix
        )
        return _followed(svg)

    return Picture(drawn("new-wide-", AXIS_PX), drawn("new-narrow-", NARROW_PX))


def _followed(svg: str) -> str:
    """In the page's colours, without a style of its own."""
    return with_addresses(following_the_page(svg), "")
