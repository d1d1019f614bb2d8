"""What an indicator shows now, for every page that looks on, and the port opened again when it is
back. One thread reads the port, one follows what it read; pages only look at the last of it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass

from plumbrise.errors import InputError
from plumbrise.hardware.indicator import Indicator, Trouble
from plumbrise.measure.stillness import StillnessRule, Watch, taken, watched

FINEST_MM = 0.001
OPEN_AGAIN_S = 2.0
LOOK_S = 0.25


@dataclass(frozen=True, slots=True)
class Shown:
    """What there is to show: `mm` is None where nothing fresh came, `still_mm` the value at rest
    or None, `words` what is wrong, empty if nothing."""

    mm: float | None = None
    still_mm: float | None = None
    words: str = ""


class LiveGauge:
    """Follows an indicator until it is closed; `watchers` are called at every change.

    Args:
        indicator: an open one; it is closed with this.
        again: opens it anew once its port has gone.
        rule: what counts as still; the indicator's resolution and the usual times if left out.
    """

    def __init__(
        self,
        indicator: Indicator,
        again: Callable[[], Indicator],
        *,
        rule: StillnessRule | None = None,
    ) -> None:
        self.shown = Shown()
        self.watchers: list[Callable[[], None]] = []
        self._indicator, self._again, self._rule = indicator, again, rule
        self._watch: Watch = ()
        self._number = 0
        self._ends = threading.Event()
        self._from_s = 0.0
        self._looks = threading.Lock()
        """Held from a look at what came to the showing of it: `afresh` is before or after it."""
        self._thread = threading.Thread(target=self._follow, name="gauge", daemon=True)
        self._thread.start()

    def __enter__(self) -> LiveGauge:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Stop following and let go of the port."""
        self._ends.set()
        self._thread.join(timeout=5.0)
        self._indicator.close()

    def afresh(self) -> None:
        """The axis has moved: only what comes from now on can be at rest."""
        with self._looks:
            self._from_s = self._indicator.now()
            self._show(Shown(self.shown.mm, None, self.shown.words))

    def _follow(self) -> None:
        while not self._ends.is_set():
            for heard in self._indicator.since(self._number, wait_s=LOOK_S):
                self._number = heard.number
                rule = self._rule_for(heard.value.resolution_mm)
                self._watch = watched(rule, self._watch, heard.value.mm, heard.time_s)
            health = self._indicator.health()
            with self._looks:
                self._show(self._now(health.words if health.trouble is not None else ""))
            if health.trouble is Trouble.LOST:
                self._open_again()

    def _now(self, words: str) -> Shown:
        latest = self._indicator.latest
        if latest is None:
            return Shown(words=words)
        rule = self._rule_for(latest.value.resolution_mm)
        fresh = not words and self._indicator.now() - latest.time_s <= rule.gap_s
        still = taken(rule, tuple(seen for seen in self._watch if seen.time_s > self._from_s))
        return Shown(
            latest.value.mm if fresh else None,
            still.mm if fresh and still is not None else None,
            words,
        )

    def _rule_for(self, resolution_mm: float) -> StillnessRule:
        return self._rule or StillnessRule(within_mm=max(resolution_mm, FINEST_MM))

    def _show(self, shown: Shown) -> None:
        if shown == self.shown:
            return
        self.shown = shown
        for watcher in list(self.watchers):
            watcher()

    def _open_again(self) -> None:
        self._indicator.close()
        while not self._ends.wait(OPEN_AGAIN_S):
            try:
                self._indicator = self._again()
            except InputError:
                continue  # still out
            self._watch, self._number = (), 0
            return
