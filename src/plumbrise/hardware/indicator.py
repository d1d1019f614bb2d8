"""A digital indicator on a serial port: its values, and what is wrong when they do not come."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum

from plumbrise.hardware.lines import Line, LineKind, LineSplitter
from plumbrise.hardware.port import Port, read_some
from plumbrise.measure.indicator_line import LinePattern, Value, parse
from plumbrise.measure.stillness import Still, StillnessRule, Watch, taken, watched

KEPT = 4096
"""Values held for who reads slowly; older ones are dropped and counted."""
JUDGED_LINES = 24
"""The latest lines, from which the share of unreadable ones is judged."""
FEWEST_JUDGED = 6
BAD_SHARE = 0.5
ENDLESS_BYTES = 32
"""So many bytes without a readable line in a time of silence are no half line."""


class Trouble(Enum):
    """What can be wrong with an indicator, worst first."""

    LOST = "lost"
    WRONG_BAUD = "wrong-baud"
    WRONG_PATTERN = "wrong-pattern"
    SILENT = "silent"


@dataclass(frozen=True, slots=True)
class Counts:
    """All that arrived since opening. Every line is in exactly one of the counts after `bytes`
    and `nulls`; `dropped` are values that nobody fetched in time."""

    bytes: int = 0
    nulls: int = 0
    values: int = 0
    garbled: int = 0
    overlong: int = 0
    unfit: int = 0
    echoes: int = 0
    cut_off: int = 0
    dropped: int = 0

    @property
    def lines(self) -> int:
        """Lines in all, readable or not."""
        return self.values + self.garbled + self.overlong + self.unfit + self.echoes + self.cut_off


@dataclass(frozen=True, slots=True)
class Health:
    """How the indicator does now: `trouble` is None when all is well, `words` say it."""

    trouble: Trouble | None
    words: str
    counts: Counts
    silent_s: float


@dataclass(frozen=True, slots=True)
class Heard:
    """One value, when it came, and its number since opening, counted from 1."""

    number: int
    time_s: float
    value: Value


@dataclass(frozen=True, slots=True)
class Taken:
    """A value taken at rest, mm."""

    mm: float
    resolution_mm: float
    still: Still


@dataclass(frozen=True, slots=True)
class NotTaken:
    """No value, and why. `last_mm` is what the indicator showed last, for the eye only."""

    words: str
    trouble: Trouble | None
    last_mm: float | None = None


class Indicator:
    """Reads an indicator in a thread of its own, so that no line is missed while others wait.

    Args:
        port: an open port; it is closed with the indicator.
        pattern: how the lines are read.
        ask: the bytes that make the indicator send one value; empty if it sends by itself.
        ask_every_s: how often it is asked. The next request waits for the answer, or for
            `answer_s`.
        silence_s: after so long without a line it is called silent.
        clock: seconds that only go forward.
    """

    def __init__(
        self,
        port: Port,
        pattern: LinePattern,
        *,
        ask: bytes = b"",
        ask_every_s: float = 0.2,
        answer_s: float = 1.0,
        silence_s: float = 3.0,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self.pattern = pattern
        self._port, self._ask, self._clock = port, ask, clock
        self._ask_every_s, self._answer_s, self._silence_s = ask_every_s, answer_s, silence_s
        self._splitter = LineSplitter(from_middle=not ask, most_characters=128)
        self._changed = threading.Condition()
        self._heard: deque[Heard] = deque(maxlen=KEPT)
        self._latest_kinds: deque[str] = deque(maxlen=JUDGED_LINES)
        self._count = dict.fromkeys(Counts.__dataclass_fields__, 0)
        self._last_line_s = clock()
        self._bytes_since_line = 0
        self._asked_s: float | None = None
        self._next_ask_s = clock()
        self._lost = ""
        self._ends = threading.Event()
        self._thread = threading.Thread(target=self._listen, name="indicator", daemon=True)
        self._thread.start()

    def __enter__(self) -> Indicator:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Stop listening and let go of the port."""
        self._ends.set()
        if threading.current_thread() is not self._thread:
            self._thread.join(timeout=5.0)
        self._port.close()

    def now(self) -> float:
        """The indicator's clock, seconds."""
        return self._clock()

    def since(self, number: int, wait_s: float = 0.0) -> list[Heard]:
        """The values after the one of this number, waiting for the first at most so long."""
        deadline = time.monotonic() + wait_s
        with self._changed:
            while not self._lost and not (self._heard and self._heard[-1].number > number):
                left = deadline - time.monotonic()
                if left <= 0 or not self._changed.wait(left):
                    break
            return [heard for heard in self._heard if heard.number > number]

    @property
    def number(self) -> int:
        """The number of the newest value; 0 before the first."""
        with self._changed:
            return self._count["values"]

    @property
    def latest(self) -> Heard | None:
        """The newest value, for showing. It may be old: see `health`."""
        with self._changed:
            return self._heard[-1] if self._heard else None

    def health(self) -> Health:
        """How the indicator does, in words that say what to look at."""
        with self._changed:
            silent_s = max(0.0, self._clock() - self._last_line_s)
            counts = Counts(**self._count)
            lost, kinds = self._lost, list(self._latest_kinds)
            endless = self._bytes_since_line > ENDLESS_BYTES
        trouble = _trouble(lost, kinds, silent_s >= self._silence_s, endless)
        return Health(trouble, _words(trouble, lost, kinds, silent_s, counts), counts, silent_s)

    # The thread that listens.

    def _listen(self) -> None:
        try:
            while not self._ends.is_set():
                self._ask_if_due()
                data = read_some(self._port)
                if data:
                    self._arrived(data)
        except OSError:
            if self._ends.is_set():
                return
            with self._changed:
                half = self._splitter.drop_pending()
                self._count["cut_off"] += half
                self._lost = _how_lost(half)
                self._changed.notify_all()

    def _ask_if_due(self) -> None:
        now = self._clock()
        waits = self._asked_s is not None and now - self._asked_s < self._answer_s
        if self._ask and not waits and now >= self._next_ask_s:
            self._port.write(self._ask)
            self._asked_s, self._next_ask_s = now, now + self._ask_every_s

    def _arrived(self, data: bytes) -> None:
        now = self._clock()
        with self._changed:
            self._bytes_since_line += len(data)
            lines = self._splitter.feed(data)
            self._count["bytes"] += len(data)
            self._count["nulls"] = self._splitter.nulls
            self._count["cut_off"] = self._splitter.cut_off
            for line in lines:
                self._sort(line, now)
            if lines:
                self._changed.notify_all()

    def _sort(self, line: Line, now: float) -> None:
        if line.kind is not LineKind.TEXT:
            self._count[line.kind.value] += 1
            self._latest_kinds.append(line.kind.value)
            return
        self._bytes_since_line = 0
        if self._ask and line.text.strip() == self._ask.decode("ascii", "replace").strip():
            self._count["echoes"] += 1
            return
        self._last_line_s, self._asked_s = now, None
        value = parse(self.pattern, line.text)
        self._latest_kinds.append("unfit" if value is None else "values")
        if value is None:
            self._count["unfit"] += 1
            return
        self._count["values"] += 1
        self._count["dropped"] += len(self._heard) == KEPT
        self._heard.append(Heard(self._count["values"], now, value))


def take(
    indicator: Indicator,
    rule: StillnessRule,
    *,
    timeout_s: float = 10.0,
    stop: threading.Event | None = None,
) -> Taken | NotTaken:
    """The value at rest, from lines that came after this call.

    Returns within `timeout_s`; `stop`, set from another thread, ends the wait sooner.
    """
    return take_together({"": indicator}, rule, timeout_s=timeout_s, stop=stop)[""]


def take_together(
    indicators: Mapping[str, Indicator],
    rule: StillnessRule,
    *,
    timeout_s: float = 10.0,
    stop: threading.Event | None = None,
) -> dict[str, Taken | NotTaken]:
    """The values of several indicators at rest at the same time.

    All must be still at once. If that does not come about in time, those that are still then are
    taken and the others say why not: a value that was there is not lost with its neighbour.
    """
    deadline = time.monotonic() + timeout_s
    watches: dict[str, Watch] = dict.fromkeys(indicators, ())
    seen = {name: indicator.number for name, indicator in indicators.items()}
    while True:
        for name, indicator in indicators.items():
            for heard in indicator.since(seen[name], wait_s=0.02):
                seen[name] = heard.number
                watches[name] = watched(rule, watches[name], heard.value.mm, heard.time_s)
        found = {
            name: _result(indicator, rule, watches[name], timeout_s)
            for name, indicator in indicators.items()
        }
        waits_for = [
            result
            for result in found.values()
            if isinstance(result, NotTaken) and result.trouble is not Trouble.LOST
        ]
        if not waits_for or time.monotonic() >= deadline or (stop is not None and stop.is_set()):
            return found


def _result(
    indicator: Indicator, rule: StillnessRule, watch: Watch, timeout_s: float
) -> Taken | NotTaken:
    still = taken(rule, watch)
    latest = indicator.latest
    fresh = still is not None and 0 <= indicator.now() - still.to_s <= rule.gap_s
    if still is not None and fresh and latest is not None:
        return Taken(still.mm, latest.value.resolution_mm, still)
    health = indicator.health()
    last_mm = latest.value.mm if latest is not None else None
    if health.trouble is not None:
        return NotTaken(health.words, health.trouble, last_mm)
    return NotTaken(
        f"Not still within {rule.within_mm:g} mm for {rule.seconds:g} s, waited {timeout_s:g} s.",
        None,
        last_mm,
    )


def _trouble(lost: str, kinds: list[str], silent: bool, endless: bool) -> Trouble | None:
    if lost:
        return Trouble.LOST
    if silent and endless:
        return Trouble.WRONG_BAUD
    if len(kinds) >= FEWEST_JUDGED and not silent:
        bad = [kind for kind in kinds if kind != "values"]
        if len(bad) > BAD_SHARE * len(kinds):
            damaged = sum(kind != "unfit" for kind in bad)
            return Trouble.WRONG_BAUD if 2 * damaged > len(bad) else Trouble.WRONG_PATTERN
    return Trouble.SILENT if silent else None


def _words(
    trouble: Trouble | None, lost: str, kinds: list[str], silent_s: float, counts: Counts
) -> str:
    bad = sum(kind != "values" for kind in kinds)
    share = f"{bad} of the last {len(kinds)} lines"
    if trouble is Trouble.LOST:
        return lost
    if trouble is Trouble.WRONG_BAUD and not bad:
        return "Bytes come, but no whole line: the baud rate, or parity, looks wrong."
    if trouble is Trouble.WRONG_BAUD:
        return f"{share} cannot be read: the baud rate, or parity, looks wrong."
    if trouble is Trouble.WRONG_PATTERN:
        return f"{share} do not fit the pattern: learn the pattern again."
    if trouble is Trouble.SILENT:
        what = "Bytes came but no whole line" if counts.bytes and not counts.lines else "No line"
        return f"{what} for {silent_s:.0f} s: is the indicator on, and its cable in at both ends?"
    told = [
        f"{count} {what}"
        for count, what in (
            (counts.garbled + counts.overlong, "damaged"),
            (counts.unfit, "not fitting the pattern"),
            (counts.dropped, "not fetched in time"),
        )
        if count
    ]
    return f"{counts.values} values." + (f" Left out: {', '.join(told)}." if told else "")


def _how_lost(half: bool) -> str:
    tail = " The line that was being sent was cut and is left out." if half else ""
    return f"The port has gone: the cable is out or the indicator off.{tail}"
