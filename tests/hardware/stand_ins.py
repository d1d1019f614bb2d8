"""The far end of a serial line: an indicator and a motion controller that misbehave on purpose.

Each runs in a thread on the far side of a pseudo-terminal pair; the program under test opens the
near side, `name`, as it would any serial port.
"""

from __future__ import annotations

import os
import pty
import re
import select
import threading
import time
import tty
from collections.abc import Callable

HOMING_S = 0.06
QUICK = {
    "slack": 0.0,
    "margin_s": 0.02,
    "guard_s": 0.01,
    "quiet_s": 0.03,
    "home_at_once_s": 0.04,
    "greet_s": 0.1,
}
"""The timing of a sender to a stand-in that moves many times faster than it is told: what it says
is done is done."""


def at_wrong_baud(data: bytes, ratio: float) -> bytes:
    """What a receiver at `ratio` times the sender's baud rate makes of these bytes (8N1).

    The line is drawn bit by bit and sampled in the middle of the receiver's own bits; a byte whose
    stop bit is wrong is passed on as it was sampled, as serial ports do.
    """
    drawn = [1, 1]
    for byte in data:
        drawn += [0, *((byte >> bit) & 1 for bit in range(8)), 1]
    drawn += [1] * 40

    def level(at: float) -> int:
        return drawn[int(at)] if at < len(drawn) else 1

    wide, at, made = 1.0 / ratio, 1.0, bytearray()
    while at < len(drawn) - 1:
        if level(at) == 1:
            at = int(at) + 1.0 if level(int(at) + 1.0) == 0 else at + 1.0
            continue
        bits = [level(at + (1.5 + bit) * wide) for bit in range(8)]
        made.append(sum(bit << place for place, bit in enumerate(bits)))
        at += 9.5 * wide
    return bytes(made)


class FarEnd:
    """A pseudo-terminal pair: what `send` writes arrives at the port called `name`."""

    def __init__(self) -> None:
        self.master, self._near = pty.openpty()
        tty.setraw(self.master)
        tty.setraw(self._near)
        self.name = os.ttyname(self._near)
        self._closed = threading.Event()
        self._lock = threading.Lock()

    def send(self, data: bytes) -> None:
        """Write these bytes; nothing once unplugged."""
        with self._lock:
            if self.master < 0:
                return
            try:
                while data:
                    data = data[os.write(self.master, data) :]
            except OSError:
                return

    def receive(self, wait_s: float = 0.01) -> bytes:
        """What the near end wrote."""
        if self.master < 0:
            return b""
        try:
            ready, _, _ = select.select([self.master], [], [], wait_s)
            return os.read(self.master, 4096) if ready else b""
        except (OSError, ValueError):
            return b""

    def unplug(self) -> None:
        """Pull the cable: the near end gets an error from here on."""
        with self._lock:
            for handle in (self._near, self.master):
                if handle >= 0:
                    os.close(handle)
            self.master = self._near = -1

    def close(self) -> None:
        """End the stand-in."""
        self._closed.set()
        self.unplug()

    @property
    def ended(self) -> bool:
        """True once it is to stop."""
        return self._closed.is_set() or self.master < 0


class StandInIndicator(FarEnd):
    """Sends its value, `every_s` by itself or once per request `ask`.

    `show` may be set while it runs: mm or a function of the seconds since it began. `spoil` maps
    the bytes of one line to those that are sent (damage, delay, doubling); None sends nothing.
    """

    def __init__(
        self,
        *,
        show: float | Callable[[float], float] = 1.25,
        every_s: float = 0.01,
        ask: bytes = b"",
        form: str = "{:+.3f} mm\r\n",
        spoil: Callable[[int, bytes], bytes | None] = lambda _, line: line,
        echo: bool = False,
    ) -> None:
        super().__init__()
        self.show, self.every_s, self.ask = show, every_s, ask
        self.form, self.spoil, self.echo = form, spoil, echo
        self.sent: list[float] = []
        """The values of all lines that went out, damaged or not."""
        self.asked = 0
        self._began_s = time.monotonic()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def close(self) -> None:
        self._closed.set()
        self._thread.join(5)
        super().close()

    def _run(self) -> None:
        heard = b""
        while not self.ended:
            if not self.ask:
                self._say()
                time.sleep(self.every_s)
                continue
            heard += self.receive()
            while self.ask in heard:
                _, heard = heard.split(self.ask, 1)
                self.asked += 1
                if self.echo:
                    self.send(self.ask)
                time.sleep(self.every_s)
                self._say()

    def _say(self) -> None:
        seconds = time.monotonic() - self._began_s
        value = self.show(seconds) if callable(self.show) else self.show
        self.sent.append(round(value, 3))
        line = self.spoil(len(self.sent), self.form.format(value).encode())
        if line is not None:
            self.send(line)


class StandInController(FarEnd):
    """Takes lines, moves in time, and acknowledges; `faults` says when it goes wrong.

    A move lasts distance over feed (times `slow`, which may be set while it runs); lines queue up to `queue` deep and are
    acknowledged when they enter the queue, or, with `queue=0`, when they are done. `faults` maps
    the number of a line, counted from 1, to one of: "double", "none", "late", "error", "alarm",
    "unplug", "half-unplug", "restart", "garbage", "long", "echo", "nul", "busy".
    """

    GREETING = (b"Bench mover 7 begins\r\n", b"travel 250 mm\r\n")

    def __init__(
        self,
        *,
        faults: dict[int, str] | None = None,
        queue: int = 0,
        slow: float = 1.0,
        quick: float = 50.0,
        end: bytes = b"\n",
        echo: bool = False,
        answer: bytes = b"ok",
        dwell_s_per_p: float = 0.001,
        greets: bool = True,
        on_height: Callable[[float], None] = lambda _: None,
    ) -> None:
        super().__init__()
        self.faults, self.queue, self.slow, self.quick = faults or {}, queue, slow, quick
        self.end, self.echo, self.answer = end, echo, answer
        self.dwell_s_per_p, self.on_height = dwell_s_per_p, on_height
        self.got: list[str] = []
        self.height_mm, self.homed, self.relative = 0.0, False, False
        self.feed_mm_per_min = 60.0
        self.most_ahead = 0
        """The most moves that had arrived beyond the one being done."""
        self._todo: list[tuple[int, str]] = []
        self._more = threading.Condition()
        self._halted = False
        if greets:  # a little later: what comes before the near side opens is thrown away
            threading.Timer(0.03, lambda: [self.send(line) for line in self.GREETING]).start()
        self._threads = [
            threading.Thread(target=run, daemon=True) for run in (self._listen, self._move)
        ]
        for thread in self._threads:
            thread.start()

    def close(self) -> None:
        self._closed.set()
        with self._more:
            self._more.notify_all()
        for thread in self._threads:
            thread.join(5)
        super().close()

    def clear_alarm(self) -> None:
        """As a person does at the machine."""
        self._halted = False

    def restart(self) -> None:
        """As after a dip of the supply: forgets all and greets anew."""
        with self._more:
            self._todo.clear()
            self.homed = False
        for line in self.GREETING:
            self.send(line)

    def _listen(self) -> None:
        heard = b""
        while not self.ended:
            heard += self.receive()
            while b"\n" in heard:
                line, heard = heard.split(b"\n", 1)
                self._arrived(line.decode().strip())

    def _arrived(self, line: str) -> None:
        self.got.append(line)
        number = len(self.got)
        if self.echo:
            self.send(line.encode() + self.end)
        fault = self.faults.get(number, "")
        with self._more:
            self._todo.append((number, line))
            moves = sum(bool(re.match("G(0|1|28)\\b", one)) for _, one in self._todo)
            self.most_ahead = max(self.most_ahead, moves - 1)
            self._more.notify_all()
        if self.queue:
            while len(self._todo) > self.queue and not self.ended:
                time.sleep(0.002)
            self._acknowledge(fault)

    def _move(self) -> None:
        while not self.ended:
            with self._more:
                while not self._todo and not self.ended:
                    self._more.wait(0.1)
                if self.ended:
                    return
                number, line = self._todo[0]
            if not self._halted:
                self._do(line, self.faults.get(number, ""))
            with self._more:
                if self._todo and self._todo[0][0] == number:
                    del self._todo[0]
            if not self.queue and not self._halted:
                self._acknowledge(self.faults.get(number, ""))

    def _acknowledge(self, fault: str) -> None:
        ok = self.answer + self.end
        if fault == "half-unplug":
            self.send(b"o")
            time.sleep(0.05)
            self.unplug()
            return
        if fault in ("late",):
            time.sleep(0.4)
        if fault == "busy":
            for _ in range(3):
                self.send(b"busy: processing" + self.end)
                time.sleep(0.15)
        said = {
            "double": ok + ok,
            "none": b"",
            "error": b"error: bad line" + self.end,
            "garbage": b"\xf3\x9a\x11\x81" + self.end + ok,
            "long": b"x" * 5000 + self.end + ok,
            "nul": b"\0o\0k\0" + self.end,
        }.get(fault, ok)
        if not self._halted:
            self.send(said)

    def _do(self, line: str, fault: str) -> None:
        words = dict(re.findall(r"([A-Z])(-?[\d.]+)", line))
        code = f"G{words['G']}" if "G" in words else f"M{words.get('M', '')}"
        if code in ("G90", "G91"):
            self.relative = code == "G91"
        if "F" in words:
            self.feed_mm_per_min = float(words["F"])
        if code == "G28":
            self.homed, target = True, 0.0
        elif code in ("G0", "G1") and "Z" in words:
            target = float(words["Z"]) + (self.height_mm if self.relative else 0.0)
        else:
            if code == "G4":
                time.sleep(float(words.get("P", 0)) * self.dwell_s_per_p)
            target = self.height_mm
        far_mm = target - self.height_mm
        told_s = abs(far_mm) / (self.feed_mm_per_min / 60.0)
        least_s = HOMING_S if code == "G28" else 0.0
        pieces = max(1, round(max(told_s * self.slow, least_s) / 0.01))
        for piece in range(pieces):
            if self.ended:
                return
            self.height_mm += far_mm / pieces
            self.on_height(self.height_mm)
            time.sleep(max(told_s * self.slow, least_s) / pieces)
            if piece == pieces // 2:
                self._in_the_middle(fault)
                if self._halted or fault == "restart":
                    return
        self.height_mm = target
        self.on_height(target)

    def _in_the_middle(self, fault: str) -> None:
        if fault == "alarm":
            self._halted = True
            self.send(b"ALARM: stopped" + self.end)
        elif fault == "unplug":
            self.unplug()
        elif fault == "restart":
            self.restart()
