"""What is plugged in while the bench is open, and opened again after a pulled cable."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from functools import partial
from typing import TYPE_CHECKING, TypedDict, Unpack

from plumbrise.cli.taking import controller_on, indicator_on, typed_bytes
from plumbrise.errors import InputError

if TYPE_CHECKING:
    from plumbrise.hardware.controller import Controller
    from plumbrise.hardware.indicator import Indicator
    from plumbrise.web.capture_axis import Axis
    from plumbrise.web.capture_devices import Devices
    from plumbrise.web.capture_gauge import LiveGauge


MOST_GAUGES = 2


class Plugged(TypedDict):
    """The options that say what is plugged in, as the command line has them."""

    indicators: tuple[str, ...]
    indicator_baud: int
    template: str | None
    ask: str
    controller: str | None
    controller_baud: int
    chatter: tuple[str, ...]
    stop_bytes: str
    move_from_anywhere: bool


def devices_on(open_while: ExitStack, **plugged: Unpack[Plugged]) -> Devices:
    """Indicator and axis, closed with `open_while`.

    Raises:
        InputError: a port does not open, or no line of the indicator can be read.
    """
    from plumbrise.web.capture_devices import Devices

    ports = plugged["indicators"]
    if len(ports) > MOST_GAUGES:
        raise InputError(
            place="--indicator",
            value=f"{len(ports)} ports",
            allowed=f"up to {MOST_GAUGES}",
            remedy="One port for each gauge, two gauges at most.",
        )
    gauges = tuple(_gauge(open_while, port, plugged) for port in ports)
    axis = _axis(open_while, plugged)
    if axis is not None:
        axis.at_rest = partial(_afresh, gauges)
    return Devices(gauges, axis)


def _afresh(gauges: Sequence[LiveGauge]) -> None:
    for gauge in gauges:
        gauge.afresh()


def _gauge(open_while: ExitStack, port: str, plugged: Plugged) -> LiveGauge:
    from plumbrise.hardware.indicator import Indicator
    from plumbrise.hardware.port import open_port
    from plumbrise.web.capture_gauge import LiveGauge

    baud, ask = plugged["indicator_baud"], plugged["ask"]
    first = indicator_on(open_while, port, baud, plugged["template"], ask)

    def again() -> Indicator:
        return Indicator(open_port(port, baud=baud), first.pattern, ask=typed_bytes(ask, "--ask"))

    return open_while.enter_context(LiveGauge(first, again))


def _axis(open_while: ExitStack, plugged: Plugged) -> Axis | None:
    from plumbrise.hardware.controller import Controller
    from plumbrise.hardware.port import open_port
    from plumbrise.web.capture_axis import Axis

    port, baud, chatter = plugged["controller"], plugged["controller_baud"], plugged["chatter"]
    stop_bytes = typed_bytes(plugged["stop_bytes"], "--stop-bytes")
    first = controller_on(open_while, port, baud, chatter, stop_bytes)
    if port is None or first is None:
        return None

    def again() -> Controller:
        return Controller(open_port(port, baud=baud), chatter=chatter, stop_bytes=stop_bytes)

    anywhere = plugged["move_from_anywhere"]
    return open_while.enter_context(Axis(first, again, from_elsewhere=anywhere))
