"""Bands on a wall, sentence by sentence: those that are foretold, and what fits measured ones."""

from __future__ import annotations

from collections.abc import Iterator

from plumbrise.foresee.bands import THRESHOLDS, Band, Bands, Bump, SamePhase
from plumbrise.foresee.spacing import Fit, How, SpacingAnswer
from plumbrise.machine import Machine
from plumbrise.quantity import percent, plain
from plumbrise.report.foresee_words import alike_words, micrometres, span_mm, untold_words

ALIKE = "What else makes bands, and how to tell"
NOTHING_FITS = "Nothing on this axis, as it is described, repeats like this."
NO_COMMON_FITS = "No common screw, motor or roller repeats like this."
MOST_FITS = 8
"""Of many common screws that fit, the nearest are told."""


def band_words(bands: Bands) -> Iterator[str]:
    """Each wave, each single mark, and what another layer height would save."""
    yield from map(wave_words, bands.waves)
    yield from map(mark_words, bands.bumps)
    if bands.same_phase is not None:
        yield same_phase_words(bands.same_phase)


def wave_words(wave: Band) -> str:
    """One wave: what makes it, how far apart its bands stand, and whether they are noticed."""
    where = f" ({wave.end})" if wave.end else ""
    head = f"{wave.words[:1].upper()}{wave.words[1:]}{where}, every {wave.period_mm:g} mm"
    if wave.seen.visible_mm is None:
        return f"{head}: every layer meets the same phase, so no bands."
    apart = f"{wave.seen.visible_mm:.2f} mm apart ({wave.seen.visible_layers:.1f} layers)"
    repeat = ""
    layers = wave.seen.repeat_layers
    if layers is not None and abs(layers - (wave.seen.visible_layers or 0)) > 0.01:
        repeat = f", exactly the same again after {layers} layers ({wave.seen.repeat_mm:.2f} mm)"
    climb = ""
    if wave.climb:
        bands = "one band" if wave.climb == 1 else f"{wave.climb} bands"
        climb = f", climbing by {bands} on the way round the wall"
    size = f"each side swings by ± {micrometres(wave.wall_mm)}"
    likeliest = max(wave.noticed, key=lambda one: wave.noticed[one])
    words = {one.id: one.words for one in THRESHOLDS}[likeliest]
    return f"{head}: {apart}{repeat}{climb}; {size}: {words} ({percent(wave.noticed[likeliest])})."


def mark_words(bump: Bump) -> str:
    """One mark at one height."""
    at = bump.at_mm
    return (
        f"One mark near {at.estimate:.0f} mm ({at.low:.0f} to {at.high:.0f} mm): {bump.words}, "
        f"a layer off by {span_mm(bump.off_mm, 3)} ({percent(bump.probability)})."
    )


def same_phase_words(same: SamePhase) -> str:
    """Which layer heights meet the same motor phase, and what that would save."""
    heights = ", ".join(f"{height:g}" for height in same.heights_mm)
    if same.in_use:
        return f"This layer height meets the same motor phase in every layer (as do {heights} mm)."
    gain = (
        ""
        if same.wall_mm is None
        else f" Each side would lose a swing of ± {micrometres(same.wall_mm)}."
    )
    return (
        f"Layers of {same.nearest_mm:g} mm would meet the same motor phase every time ({heights} "
        f"mm do).{gain} Risk: {same.risk}"
    )


def spacing_text(machine: Machine | None, answer: SpacingAnswer) -> str:
    """What fits bands that were measured so far apart."""
    on = "" if machine is None else f", on {machine.name or machine.arrangement.title}"
    lines = [spacing_head(answer).removesuffix(".") + on, *(f"  {w}" for w in fits_words(answer))]
    lines += map(untold_words, answer.cannot_tell)
    lines += [ALIKE, f"  {answer.heater}"]
    lines += [f"  {title}: {words}" for title, words in alike_words(answer.alike)]
    return "\n".join(lines) + "\n"


def spacing_head(answer: SpacingAnswer) -> str:
    """What was measured, and on what layers."""
    within = plain(answer.within_mm, 2)
    return (
        f"Bands every {answer.spacing_mm:g} mm (± {within} mm) on layers of {answer.layer_mm:g} mm."
    )


def fits_words(answer: SpacingAnswer) -> tuple[str, ...]:
    """What fits, the nearest first; that nothing does."""
    if not answer.fits:
        return (NO_COMMON_FITS if answer.common else NOTHING_FITS,)
    shown = answer.fits[:MOST_FITS]
    left = len(answer.fits) - len(shown)
    return (*map(fit_words, shown), *([f"{left} more fit less well."] if left else []))


def fit_words(fit: Fit) -> str:
    """One thing that fits a spacing, and how to make sure."""
    how = {
        How.WAVE: "",
        How.REPEAT: ", as the length after which its pattern is the same again",
        How.EVERY_SECOND: ", if every second band was counted",
    }[fit.how]
    head = f"{fit.maker.words[:1].upper()}{fit.maker.words[1:]} ({fit.maker.period_mm:.4g} mm)"
    return f"{head}: {fit.visible_mm:.2f} mm apart{how}. {fit.maker.tell}"
