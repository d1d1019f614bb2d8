"""A forecast of a print, sentence by sentence: said the same in the text, on the page and in the
report."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from plumbrise.explain import Interval
from plumbrise.foresee import Forecast, Layer, LayerAt, Print, Remedy
from plumbrise.foresee.bands import LookAlike
from plumbrise.foresee.foreseeing import STAIRCASE
from plumbrise.foresee.heights import PART
from plumbrise.foresee.layers import AS_TOLD_SHARE
from plumbrise.foresee.printing import LIFT_WORDS, START_WORDS, Lift
from plumbrise.machine import Machine
from plumbrise.quantity import percent, plain
from plumbrise.redesign import CATALOGUE
from plumbrise.report.headline import NOT_READ
from plumbrise.report.names import as_sentence, lowered, station_name

MOST_LINES = 12
WORTH_SAYING = 0.05
"""A chance below this is not said layer by layer."""
TITLE = "What a print will show"
REMEDIES = "Remedies that cost nothing"
NO_REMEDY = "No other start, offset or lift would make this print better."
BEFORE_LINES = "Before any line is run"
PROVED = (
    "Lines, proved safe on this machine as described, the offset counted in; run them once cold, "
    "a hand at the switch."
)
HOW_SURE = (
    "Figures in brackets hold 90 % of prints: beside what the readings leave open, drag differs "
    "from print to print."
)
HOW_SURE_STAIRCASE = (
    "Figures in brackets are meant to hold 90 % of prints; straight from a staircase they held "
    "about {} % on simulated machines."
)
EXPECTED_SAID = (
    "Per cent after what to expect: in how many prints out of a hundred. The nozzle scrapes what "
    "it laid where a layer comes out under half as thick as told."
)
STAIRCASE_HELD = 85
"""In percent, as the benchmark of forecasts found."""


def job_words(job: Print) -> str:
    """The print that was asked for, in a sentence."""
    lifts = "a spiral without a seam" if job.spiral else LIFT_WORDS[job.lift]
    if job.lift is not Lift.NONE:
        lifts += f", by {job.lift_mm:g} mm"
    return (
        f"Layers of {job.layer_mm:g} mm, lines {job.width_mm:g} mm wide; "
        f"{START_WORDS[job.start]}; {lifts}."
    )


def how_sure(forecast: Forecast) -> str:
    """What the figures in brackets hold, and what the chances beside a layer are."""
    brackets = HOW_SURE
    if forecast.source == STAIRCASE:
        brackets = HOW_SURE_STAIRCASE.format(STAIRCASE_HELD)
    chances = any(expected(layer.at[p]) for layer in forecast.layers for p in forecast.places)
    return f"{brackets} {EXPECTED_SAID}" if chances else brackets


def changes_words(machine: Machine, forecast: Forecast) -> tuple[str, ...]:
    """For which changes this is foretold, and what comes of the print without them; nothing where
    it is the axis as it is."""
    if not forecast.changes:
        return ()
    titles = ", ".join(lowered(CATALOGUE[one].title) for one in forecast.changes)
    said = [f"After: {titles}."]
    if forecast.before is not None:
        last = forecast.before.places[-1]
        whole = span_mm(forecast.before.total_mm[last])
        said.append(
            f"As the axis is now: {lowered(headline(machine, forecast.before))} The whole is off "
            f"by {whole} {place_at(machine, last)}."
        )
    return tuple(said)


def unsure_words(forecast: Forecast) -> tuple[str, ...]:
    """What cannot be told, and what was taken as given."""
    untold = (*forecast.cannot_tell, *(forecast.bands.cannot_tell if forecast.bands else ()))
    return (
        *map(untold_words, untold),
        *(f"Taken as given: {words}." for words in forecast.assumed),
    )


def untold_words(untold: str) -> str:
    """One thing that cannot be told."""
    return f"Cannot tell yet: {untold}."


def headline(machine: Machine, forecast: Forecast) -> str:
    """The answer in a sentence: the worst layer, and from which layer on all is well; beside it
    what is computed to be worse where nothing was read."""
    number, place, _ = worst(forecast)
    if number == 0:
        return "Every layer comes out within a tenth of its told thickness."
    tail = (
        f"From layer {forecast.settled} on all is as told."
        if forecast.settled
        else f"After {len(forecast.layers)} layers it has not settled."
    )
    said = [f"Layer {number} comes out {_comes_out(machine, forecast, number, place)}"]
    beside, where, _ = _furthest(forecast, forecast.places)
    if where != place:
        said.append(f"layer {beside} {_comes_out(machine, forecast, beside, where)}")
    return f"{'; '.join(said)}. {tail}"


def _comes_out(machine: Machine, forecast: Forecast, number: int, place: str) -> str:
    layer = forecast.layers[number - 1]
    gap = layer.at[place].gap_mm
    return (
        f"{'thin' if gap.estimate < layer.nominal_mm else 'thick'} {place_at(machine, place)}: "
        f"{span_mm(gap)} where {layer.nominal_mm:g} mm are told{_unread(forecast, place)}"
    )


def worst(forecast: Forecast) -> tuple[int, str, LayerAt]:
    """The layer and the place that are furthest off, of those that are not as told while there
    are any; number 0 where all are. A place at an end that was read comes first."""
    read = [place for place in forecast.places if place not in forecast.computed]
    found = _furthest(forecast, read) if read else None
    return found if found is not None and found[0] else _furthest(forecast, forecast.places)


def _furthest(forecast: Forecast, places: Sequence[str]) -> tuple[int, str, LayerAt]:
    def off(pair: tuple[Layer, str]) -> float:
        return abs(pair[0].at[pair[1]].gap_mm.estimate - pair[0].nominal_mm)

    pairs = [(layer, place) for layer in forecast.layers for place in places]
    other = [pair for pair in pairs if off(pair) > AS_TOLD_SHARE * pair[0].nominal_mm]
    layer, place = max(other or pairs, key=off)
    return layer.number if other else 0, place, layer.at[place]


def place_title(machine: Machine, forecast: Forecast, place: str) -> str:
    """A place of the print as a heading, with whether its end was read."""
    return f"{place_name(machine, place)}{_unread(forecast, place)}"


def _unread(forecast: Forecast, place: str) -> str:
    return f", {NOT_READ}" if place in forecast.computed else ""


def place_name(machine: Machine, place: str) -> str:
    """A place of the print for people."""
    if place == PART:
        return "Part's place"
    name = station_name(f"{machine.arrangement.body}-{place}")
    return name[0].upper() + name[1:]


def place_at(machine: Machine, place: str) -> str:
    """The same inside a sentence."""
    return f"at the {lowered(place_name(machine, place))}"


def span_mm(interval: Interval, places: int = 2) -> str:
    """An estimate and its interval: 0.12 (0.09 to 0.15) mm."""
    return (
        f"{plain(interval.estimate, places)} "
        f"({plain(interval.low, places)} to {plain(interval.high, places)}) mm"
    )


def micrometres(interval: Interval) -> str:
    """A small length: 3 (1 to 6) µm."""
    low, middle, high = (1000 * x for x in (interval.low, interval.estimate, interval.high))
    places = 0 if high >= 2 else 1
    return f"{middle:.{places}f} ({low:.{places}f} to {high:.{places}f}) µm"


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


def not_listed(forecast: Forecast) -> str:
    """That layers above the first are left out, "" where none is."""
    count = len(forecast.layers)
    return f"The first {MOST_LINES} layers of {count} are listed." if count > MOST_LINES else ""


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
        found.append(f"nozzle scrapes: {percent(at.scrapes)}")
    if at.open_gap > WORTH_SAYING:
        found.append(f"leaves a gap: {percent(at.open_gap)}")
    elif at.bonds_poorly > WORTH_SAYING:
        found.append(f"bonds poorly: {percent(at.bonds_poorly)}")
    if at.within_mm.estimate > 0.02:
        found.append(f"differs by {at.within_mm.estimate:.2f} mm within the layer")
    return ", ".join(found)


def as_it_is_words(remedies: Sequence[Remedy]) -> str:
    """By how much the worst layer is off before any of the remedies; that there is none."""
    if not remedies:
        return NO_REMEDY
    before = span_mm(remedies[0].worst_before_mm)
    return f"As it is, the worst of the first layers is off by {before}."


def remedy_title(one: Remedy) -> str:
    """A remedy and the figure by which remedies are compared."""
    return f"{one.title}: worst layer off by {span_mm(one.worst_mm)}"


def gives_words(one: Remedy) -> str:
    """What a remedy gives on layer one and on the whole."""
    return f"Layer one {span_mm(one.first_gap_mm)}, the whole off by {span_mm(one.total_mm)}."


def risk_words(one: Remedy) -> str:
    """What a remedy risks."""
    return f"Risk: {one.risk}"


def lines_words(one: Remedy) -> str:
    """What is to be said before its motion lines, or why there are none."""
    return PROVED if one.lines else f"No lines: {as_sentence(one.not_proved)}"


def alike_words(found: Sequence[LookAlike]) -> tuple[tuple[str, str], ...]:
    """What also makes bands: its name, and what it is with how to tell it."""
    return tuple((one.title, f"{one.words} {one.tell}") for one in found)
