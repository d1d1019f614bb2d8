"""A forecast of a print in words, as text."""

from __future__ import annotations

from collections.abc import Iterator

from plumbrise.explain import Interval
from plumbrise.foresee import Forecast, Layer, LayerAt, Print, Remedy
from plumbrise.foresee.bands import THRESHOLDS, Band, Bands, SamePhase
from plumbrise.foresee.heights import PART
from plumbrise.foresee.printing import LIFT_WORDS, START_WORDS
from plumbrise.foresee.spacing import Fit, How, SpacingAnswer
from plumbrise.machine import Machine
from plumbrise.quantity import percent, plain
from plumbrise.report.names import station_name

MOST_LINES = 12
WORTH_SAYING = 0.05
"""A chance below this is not said layer by layer."""
NO_REMEDY = "none that would make this print better."
LINES_PROVED = "Lines, proved safe on this machine as described, the offset counted in;"
LINES_RUN = "run them once cold, a hand at the switch:"


def forecast_text(machine: Machine, forecast: Forecast) -> str:
    """What the print will show, layer by layer, and what can be done for nothing."""
    return "\n".join(_lines(machine, forecast)) + "\n"


def _lines(machine: Machine, forecast: Forecast) -> Iterator[str]:
    yield f"What {machine.name or machine.arrangement.title} will print"
    yield job_words(forecast.job)
    yield ""
    yield headline(machine, forecast)
    for place in forecast.places:
        yield ""
        yield from _table(machine, forecast, place)
    yield ""
    yield from _remedies(forecast)
    if forecast.bands is not None:
        yield ""
        yield from _bands(forecast.bands)
    yield ""
    yield from unsure_words(forecast)


def job_words(job: Print) -> str:
    """The print that was asked for, in a sentence."""
    return (
        f"Layers of {job.layer_mm:g} mm, lines {job.width_mm:g} mm wide; "
        f"{START_WORDS[job.start]}; {LIFT_WORDS[job.lift]}."
    )


def unsure_words(forecast: Forecast) -> Iterator[str]:
    """What cannot be told, and what was taken as given."""
    untold = (*forecast.cannot_tell, *(forecast.bands.cannot_tell if forecast.bands else ()))
    yield from (f"Cannot tell yet: {words}." for words in untold)
    yield from (f"Taken as given: {words}." for words in forecast.assumed)


def headline(machine: Machine, forecast: Forecast) -> str:
    """The answer in a sentence: the worst layer, and from which layer on all is well."""
    number, place, at = worst(forecast)
    if number == 0:
        return "Every layer comes out within a tenth of its told thickness."
    told = forecast.layers[number - 1].nominal_mm
    off = at.gap_mm.estimate - told
    tail = (
        f"From layer {forecast.settled} on all is as told."
        if forecast.settled
        else f"After {len(forecast.layers)} layers it has not settled."
    )
    return (
        f"Layer {number} comes out {'thin' if off < 0 else 'thick'} at the "
        f"{place_name(machine, place).lower()}: {span_mm(at.gap_mm)} where {told:g} mm are told. "
        + tail
    )


def worst(forecast: Forecast) -> tuple[int, str, LayerAt]:
    """The layer and the place that are furthest off; number 0 where all are within a tenth."""

    def off(layer: Layer, place: str) -> float:
        return abs(layer.at[place].gap_mm.estimate - layer.nominal_mm)

    layer, place = max(
        ((layer, place) for layer in forecast.layers for place in forecast.places),
        key=lambda pair: off(*pair),
    )
    number = layer.number if off(layer, place) > 0.1 * layer.nominal_mm else 0
    return number, place, layer.at[place]


def place_name(machine: Machine, place: str) -> str:
    """A place of the print for people."""
    if place == PART:
        return "Part's place"
    name = station_name(f"{machine.arrangement.body}-{place}")
    return name[0].upper() + name[1:]


def span_mm(interval: Interval, places: int = 2) -> str:
    """An estimate and its interval: 0.12 (0.09 to 0.15) mm."""
    return (
        f"{plain(interval.estimate, places)} "
        f"({plain(interval.low, places)} to {plain(interval.high, places)}) mm"
    )


def _table(machine: Machine, forecast: Forecast, place: str) -> Iterator[str]:
    yield f"{place_name(machine, place)}"
    yield "  layer  told at   layer comes out             line wide   side    what to expect"
    for number, told, out, wide, side, expect in layer_rows(forecast, place):
        yield (
            f"  {number:>5}  {told:>7}   {out + ' mm':<27} {wide:>9}   {side:>5}   {expect}"
        ).rstrip()
    yield f"  {whole_words(forecast, place)}"


def layer_rows(forecast: Forecast, place: str) -> Iterator[tuple[str, ...]]:
    """Of each of the first layers at a place: its number, where it is told, how thick it comes
    out, how wide the line and how far each side, all in mm, and what to expect."""
    for layer in forecast.layers[:MOST_LINES]:
        at = layer.at[place]
        yield (
            str(layer.number),
            plain(layer.told_mm, 2),
            span_mm(at.gap_mm, 3).removesuffix(" mm"),
            "-" if at.width_mm is None else plain(at.width_mm.estimate, 2),
            "-" if at.bulge_mm is None else signed(at.bulge_mm.estimate),
            expected(at),
        )


def whole_words(forecast: Forecast, place: str) -> str:
    """By how much the print's top is off at a place, and what differs from print to print."""
    scatter = forecast.scatter_mm[place]
    told = ""
    if scatter is not None:
        half = 1.96 * scatter
        by = "less than 0.01 mm" if half < 0.01 else f"± {half:.2f} mm"
        told = f"; layer one differs by {by} from print to print"
    return f"The whole is off by {span_mm(forecast.total_mm[place])}{told}."


def signed(value: float) -> str:
    """A length with its sign to hundredths, never "-0.00".

    Example:
        >>> signed(0.144), signed(-0.002)
        ('+0.14', '0.00')
    """
    return plain(value, 2) if abs(value) < 0.005 else f"{value:+.2f}"


def expected(at: LayerAt) -> str:
    """What a layer will look like, in a few words."""
    found = []
    if at.scrapes > WORTH_SAYING:
        found.append(f"scrapes {percent(at.scrapes)}")
    if at.open_gap > WORTH_SAYING:
        found.append(f"leaves a gap {percent(at.open_gap)}")
    elif at.thin > WORTH_SAYING:
        found.append(f"bonds poorly {percent(at.thin)}")
    if at.within_mm.estimate > 0.02:
        found.append(f"differs by {at.within_mm.estimate:.2f} mm within the layer")
    return ", ".join(found)


def _remedies(forecast: Forecast) -> Iterator[str]:
    if not forecast.remedies:
        yield f"Remedies that cost nothing: {NO_REMEDY}"
        return
    before = forecast.remedies[0].worst_before_mm
    yield f"Remedies that cost nothing (the worst layer is off by {span_mm(before)} as it is)"
    for number, one in enumerate(forecast.remedies, start=1):
        yield f"  {number}. {one.title}: worst layer off by {span_mm(one.worst_mm)}"
        yield f"     {one.words}"
        yield f"     {gives_words(one)}"
        yield f"     Risk: {one.risk}"
        if one.lines:
            yield f"     {LINES_PROVED}"
            yield f"     {LINES_RUN}"
            yield from (f"       {line}" for line in one.lines)
        else:
            yield f"     No lines: {one.not_proved}"


def gives_words(one: Remedy) -> str:
    """What a remedy gives on layer one and on the whole."""
    return f"Layer one {span_mm(one.first_gap_mm)}, the whole off by {span_mm(one.total_mm)}."


def _bands(bands: Bands) -> Iterator[str]:
    yield "Bands"
    yield from (f"  {words}" for words in band_words(bands))
    yield "What else makes bands, and how to tell"
    yield from (f"  {one.title}: {one.words} {one.tell}" for one in bands.alike)


def band_words(bands: Bands) -> Iterator[str]:
    """Each wave, each single mark, and what another layer height would save."""
    yield from map(wave_words, bands.waves)
    for bump in bands.bumps:
        yield (
            f"One mark near {bump.at_mm.estimate:.0f} mm ({bump.at_mm.low:.0f} to "
            f"{bump.at_mm.high:.0f} mm): {bump.words}, a layer off by {span_mm(bump.off_mm, 3)} "
            f"({percent(bump.probability)})."
        )
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
    size = f"each side swings by ± {micrometres(wave.wall_mm)}"
    likeliest = max(wave.noticed, key=lambda one: wave.noticed[one])
    words = {one.id: one.words for one in THRESHOLDS}[likeliest]
    return f"{head}: {apart}{repeat}; {size}: {words} ({percent(wave.noticed[likeliest])})."


def micrometres(interval: Interval) -> str:
    """A small length: 3 (1 to 6) µm."""
    low, middle, high = (1000 * x for x in (interval.low, interval.estimate, interval.high))
    places = 0 if high >= 2 else 1
    return f"{middle:.{places}f} ({low:.{places}f} to {high:.{places}f}) µm"


def same_phase_words(same: SamePhase) -> str:
    """Which layer heights meet the same motor phase, and what that would save."""
    heights = ", ".join(f"{height:g}" for height in same.heights_mm)
    if same.in_use:
        return f"This layer height meets the same motor phase in every layer (as do {heights} mm)."
    gain = "" if same.ripple_mm is None else f" It would take away {micrometres(same.ripple_mm)}."
    return (
        f"Layers of {same.nearest_mm:g} mm would meet the same motor phase every time ({heights} "
        f"mm do).{gain} Risk: {same.risk}"
    )


def spacing_text(machine: Machine, answer: SpacingAnswer) -> str:
    """What fits bands that were measured so far apart."""
    lines = [
        f"Bands every {answer.spacing_mm:g} mm on layers of {answer.layer_mm:g} mm "
        f"(± {answer.within_mm:.2f} mm), on {machine.name or machine.arrangement.title}"
    ]
    if not answer.fits:
        lines.append("Nothing on this axis, as it is described, repeats like this.")
    lines += [f"  {fit_words(fit)}" for fit in answer.fits]
    lines += [f"Cannot tell yet: {words}." for words in answer.cannot_tell]
    lines += ["What else makes bands, and how to tell", f"  {answer.heater}"]
    lines += [f"  {one.title}: {one.words} {one.tell}" for one in answer.alike]
    return "\n".join(lines) + "\n"


def fit_words(fit: Fit) -> str:
    """One thing that fits a spacing, and how to make sure."""
    how = {
        How.WAVE: "",
        How.REPEAT: ", as the length after which its pattern is the same again",
        How.EVERY_SECOND: ", if every second band was counted",
    }[fit.how]
    head = f"{fit.maker.words[:1].upper()}{fit.maker.words[1:]} ({fit.maker.period_mm:.4g} mm)"
    return f"{head}: {fit.visible_mm:.2f} mm apart{how}. {fit.maker.tell}"
