"""The figures of a report: drawn in the drawing room, made fit to stand in a page or a PDF."""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from plumbrise import drawing
from plumbrise.analyse.results import Analysis, RunAnalysis
from plumbrise.drawing.band_chart import band_chart
from plumbrise.drawing.figures import Span
from plumbrise.drawing.forecast_sheet import walls_of
from plumbrise.drawing.harness import harness_drawing
from plumbrise.drawing.harness_panel import NARROW_UNDER_PX
from plumbrise.drawing.layer_chart import layer_chart
from plumbrise.drawing.proof_chart import ChangeRow
from plumbrise.drawing.tokens import THEMES
from plumbrise.drawing.two_stages import common_factor, with_ends
from plumbrise.drawing.wall_section import wall_section
from plumbrise.explain.results import Explanation, RunFit
from plumbrise.foresee import Forecast
from plumbrise.machine import Machine
from plumbrise.prove import Stage
from plumbrise.readings import Readings
from plumbrise.redesign import LOST_MOTION, Choice, Proposal, Target
from plumbrise.report.names import lowered, station_name
from plumbrise.report.tables import Table
from plumbrise.wiring import Harness, WiringVerdict

STAGE_SHARE = 0.52
"""Of the width, for each of two drawings side by side."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing with its spoken words. `narrow` is the same drawn anew for a phone, or ""."""

    svg: str
    spoken: str
    caption: str = ""
    narrow: str = ""


@dataclass(slots=True)
class Pictures:
    """Who draws: one theme, a width, and a second width for phones where there is one (px).

    `follows_page` gives drawings the page's colours instead of their own. Ids are made unique
    over all drawings that one `Pictures` makes.
    """

    theme: str = "print"
    width_px: int = 700
    narrow_px: int | None = None
    follows_page: bool = False
    made: int = field(default=0)

    def load_path(
        self, machine: Machine, readings: Readings, analysis: Analysis, explanation: Explanation
    ) -> Picture:
        """The load path with what each link loses."""
        marking = drawing.mark(machine, readings, explanation, analysis)
        return self._picture(
            lambda width: drawing.load_path(
                machine, marking, theme=self._theme, width_px=width, height_px=_height(width)
            ),
            "The load path of the axis with what each link loses",
            "Drawn to scale. Bars show what each link loses, whiskers the give or take (95 %). "
            "Solid was measured or is there, dashed is computed, dotted is assumed; stripes are "
            "shared by links that cannot be told apart yet.",
        )

    def ledger(
        self, machine: Machine, readings: Readings, analysis: Analysis, explanation: Explanation
    ) -> Table:
        """The drawing's figures as a table."""
        rows = drawing.ledger(drawing.mark(machine, readings, explanation, analysis))
        return Table(
            ("On the drawing", "value ± 95 %", "how known"),
            tuple((row.name, row.value, row.known) for row in rows),
            "The drawing in figures",
            words=1,
            last_is_words=True,
        )

    def chart(self, run: RunAnalysis, fit: RunFit | None) -> Picture | None:
        """A set-up's readings and what is drawn from them; None where there is nothing to plot."""
        if len(run.run.taken) < 2 and run.run.kind.id != "hand-turn":
            return None
        place = station_name(run.run.station.id)
        return self._picture(
            lambda width: drawing.chart_for(run, fit, theme=self._theme, width_px=width),
            f"Chart of the {lowered(run.run.kind.title)} at the {place}",
        )

    def sides(self, analysis: Analysis) -> Picture | None:
        """Side against side over the height."""
        return self._picture(
            lambda width: drawing.sides_chart(analysis, theme=self._theme, width_px=width),
            "Chart of the two sides against each other",
        )

    def residuals(self, explanation: Explanation) -> Picture | None:
        """What is left over at each reading, on the band of reading scatter."""
        if not explanation.fits:
            return None
        return self._picture(
            lambda width: drawing.residual_strip(explanation, theme=self._theme, width_px=width),
            "What is left over at each reading, on the band that reading scatter gives",
        )

    def trade_off(self, proposal: Proposal) -> Picture:
        """What each set of changes costs, against how likely it meets the targets."""
        return self._picture(
            lambda width: drawing.trade_off(proposal, theme=self._theme, width_px=width),
            "What money buys: cost of each set of changes, and how likely it meets all targets",
            "Each ring is a set of changes: what its parts are expected to cost, and how likely it "
            "meets all targets. The steps are the best that so much money gives; the bar through "
            "the large disc is the span of its price.",
        )

    def before_after(self, choice: Choice, targets: tuple[Target, ...]) -> Picture | None:
        """What each end loses now and after the changes; None where that is not told."""
        target = next((t for t in targets if t.figure.id == LOST_MOTION.id), None)
        if not any(one.figure.id == LOST_MOTION.id for one in choice.predictions):
            return None
        return self._picture(
            lambda width: drawing.before_after(choice, target, theme=self._theme, width_px=width),
            "Lost motion at each end, now and after the changes",
            "Hollow is now, dashed is foretold; whiskers are the give or take (95 %).",
        )

    def changed(self, machine: Machine, choice: Choice) -> Picture | None:
        """The axis with the new parts dashed and numbered; None where no part is new."""
        after, marking = drawing.changed(machine, choice)
        if not marking.called:
            return None
        return self._picture(
            lambda width: drawing.load_path(
                after, marking, theme=self._theme, width_px=width, height_px=_height(width)
            ),
            "The axis with the new parts",
            "New parts are dashed. Their numbers are those of the list of parts.",
        )

    def wall(self, machine: Machine, forecast: Forecast) -> Picture:
        """The first layers of a print cut across, to scale."""
        walls = walls_of(machine, forecast)
        return self._picture(
            lambda width: wall_section(walls, theme=self._theme, width_px=width),
            "The first layers cut across, to scale",
            "Each bead to scale, beside where it was told to be.",
        )

    def layers(self, forecast: Forecast) -> Picture:
        """How thick the first layers come out."""
        return self._picture(
            lambda width: layer_chart(forecast, theme=self._theme, width_px=width),
            "Thickness of the first layers",
            "Whiskers are the figures in brackets, widened from 90 to 95 %.",
        )

    def bands(self, forecast: Forecast) -> Picture | None:
        """How the wall swings over its height; None where no wave shows, or none is told."""
        bands, layer_mm = forecast.bands, forecast.job.layer_mm
        if bands is None or all(wave.seen.visible_mm is None for wave in bands.waves):
            return None
        return self._picture(
            lambda width: band_chart(bands, layer_mm, theme=self._theme, width_px=width),
            "How the wall swings over its height",
            "The strongest waves together. Where a wave begins is not foretold, only how far it "
            "swings and how far its bands stand apart.",
        )

    def two_stages(
        self,
        before: Stage,
        after: Stage,
        lost: Mapping[str, Span] | None = None,
        loses: Mapping[str, Span] | None = None,
    ) -> tuple[Picture, Picture, str]:
        """The axis before and after at one factor, and that factor in words.

        Args:
            before: the session before the work.
            after: the one after it.
            lost: by station what was judged of the ends before the work, drawn in place of what
                a session says by itself.
            loses: the same after it.
        """
        drawn = [
            (
                one.machine,
                with_ends(
                    drawing.mark(one.machine, one.readings, one.explanation, one.analysis), told
                ),
            )
            for one, told in ((before, lost or {}), (after, loses or {}))
        ]
        factor = common_factor((drawn[0], drawn[1]))
        width = round(STAGE_SHARE * self.width_px)
        was, now = drawing.two_stages(drawn[0], drawn[1], theme=self._theme, width_px=width)
        scale = f"movement drawn {factor} times" if factor else "nothing moves"
        words = f"To scale, {scale}, in both. The thin broken line is where it was told to be."
        if any(end.station not in (lost or {}) for _, marking in drawn for end in marking.ends):
            words += " What an end loses that is not judged below is what its session says of it."
        return (
            Picture(self._fit(was), spoken_words(was, "The axis before")),
            Picture(self._fit(now), spoken_words(now, "The axis after")),
            words,
        )

    def proof_chart(self, rows: Sequence[ChangeRow], target_mm: float) -> Picture:
        """What was lost before and is lost after, with what was promised."""
        return self._picture(
            lambda width: drawing.proof_chart(
                rows, target_mm=target_mm, theme=self._theme, width_px=width
            ),
            "Before and after",
            "Whiskers are the give or take of the readings (95 %). Verdicts also count what "
            "differs from day to day.",
        )

    def harness(self, harness: Harness, answer: WiringVerdict) -> Picture:
        """Plugs, wires, what was measured and what was found."""
        return self._picture(
            lambda width: harness_drawing(
                harness, answer, theme=self._theme, narrow=width < NARROW_UNDER_PX
            ),
            "The harness with what was measured and found",
        )

    @property
    def _theme(self) -> str:
        return "light" if self.follows_page else self.theme

    def _picture(self, draw: Callable[[int], str], otherwise: str, caption: str = "") -> Picture:
        wide = draw(self.width_px)
        narrow = self._fit(draw(self.narrow_px)) if self.narrow_px else ""
        return Picture(self._fit(wide), spoken_words(wide, otherwise), caption, narrow)

    def _fit(self, svg: str) -> str:
        self.made += 1
        own = with_own_ids(svg, f"d{self.made}")
        if self.follows_page:
            return following_the_page(own)
        return with_signs_shown(with_rims_behind(own))


def _height(width_px: int) -> int:
    return round(width_px * (0.66 if width_px > 500 else 1.1))


_TOKENS = ("sheet", "ink", "soft", "rule", "hair", "meas", "lost", "stop", "sel", "wash")
_LIGHT = THEMES["light"]
_VARIABLES = {
    **{getattr(_LIGHT, name): f"var(--{name})" for name in _TOKENS},
    **{colour: f"var(--l{step})" for step, colour in enumerate(_LIGHT.ramp)},
}
_COLOUR = re.compile(r"#[0-9a-fA-F]{6}\b")
_IDS = re.compile(
    r'(\bid="|url\(#|href="#|aria-labelledby="|aria-describedby="|aria-controls=")([\w-]+)'
)


def following_the_page(svg: str) -> str:
    """The light drawing with the page's colours instead of its own, so that one drawing serves
    light, dark and paper.

    Example:
        >>> following_the_page('<path stroke="#23282b"/>')
        '<path stroke="var(--ink)"/>'
    """
    return _COLOUR.sub(lambda found: _VARIABLES.get(found[0].lower(), found[0]), svg)


def with_own_ids(svg: str, prefix: str) -> str:
    """The drawing with ids that no other drawing of the page has.

    Example:
        >>> with_own_ids('<g id="a" fill="url(#b)"/>', "one")
        '<g id="one-a" fill="url(#one-b)"/>'
    """
    return _IDS.sub(lambda found: f"{found[1]}{prefix}-{found[2]}", svg)


_RIMMED = re.compile(
    r'<text([^>]*) fill="([^"]*)" stroke="([^"]*)"([^>]*) paint-order="stroke">([^<]*)</text>'
)


def with_rims_behind(svg: str) -> str:
    """The drawing with the rim of a text as a text of its own behind it: on paper rims are set
    letter by letter, and would cover the letter before.

    Example:
        >>> with_rims_behind('<text x="1" fill="k" stroke="w" paint-order="stroke">ab</text>')
        '<text x="1" fill="w" stroke="w" aria-hidden="true">ab</text><text x="1" fill="k">ab</text>'
    """
    return _RIMMED.sub(
        r'<text\1 fill="\3" stroke="\3"\4 aria-hidden="true">\5</text><text\1 fill="\2">\5</text>',
        svg,
    )


_LACKING = "\N{MICRO SIGN}\N{GREEK CAPITAL LETTER OMEGA}"
_WITH_SIGN = re.compile(f"<text([^>]*>[^<>]*[{_LACKING}][^<>]*</text>)")


def with_signs_shown(svg: str) -> str:
    """The drawing with texts that hold a sign of micro or ohm, which the text font lacks, in the
    font that stands in for it on paper; left alone they would be set in one that fits neither.

    Example:
        >>> with_signs_shown('<text x="1">5 µm</text>')
        '<text font-family="DejaVu Sans Mono" x="1">5 µm</text>'
    """
    return _WITH_SIGN.sub(r'<text font-family="DejaVu Sans Mono"\1', svg)


def spoken_words(svg: str, otherwise: str) -> str:
    """The words that a drawing says aloud: its label or title, else the words given."""
    for pattern in (r'^<svg[^>]*aria-label="([^"]+)"', r"<title[^>]*>([^<]+)</title>"):
        found = re.search(pattern, svg)
        if found:
            return html.unescape(found[1])
    return otherwise
