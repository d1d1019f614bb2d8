"""What is plugged in while the bench is open, and opened again after a pulled cable."""

from __future__ import annotations

from contextlib import ExitStack
from typing import TYPE_CHECKING, TypedDict, Unpack

from plumbrise.cli.taking import controller_on, indicator_on, typed_bytes

if TYPE_CHECKING:
    from plumbrise.hardware.controller import Controller
    from plumbrise.hardware.indicator import Indicator
    from plumbrise.web.capture_axis import Axis
    from plumbrise.web.capture_devices import Devices
    from plumbrise.web.capture_gauge import LiveGauge


class Plugged(TypedDict):
    """The options that say what is plugged in, as the command line has them."""

    indicator: str | None
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

    gauge = _gauge(open_while, plugged)
    axis = _axis(open_while, plugged)
    if gauge is not None and axis is not None:
        axis.at_rest = gauge.afresh
    return Devices(gauge, axis)


def _gauge(open_while: ExitStack, plugged: Plugged) -> LiveGauge | None:
    from plumbrise.hardware.indicator import Indicator
    from plumbrise.hardware.port import open_port
    from plumbrise.web.capture_gauge import LiveGauge

    port, baud, ask = plugged["indicator"], plugged["indicator_baud"], plugged["ask"]
    first = indicator_on(open_while, port, baud, plugged["template"], ask)
    if port is None or first is None:
        return None

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
