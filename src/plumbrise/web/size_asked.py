"""What a calculator's form asks and what was typed into it, as fields for a template."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from starlette.datastructures import QueryParams

from plumbrise.elements.asked import Asked
from plumbrise.elements.worked import Calculator
from plumbrise.errors import InputError
from plumbrise.report.sizing import said
from plumbrise.web import size_words as words
from plumbrise.web.slides import fault
from plumbrise.web.worked_said import texts_of

MACHINE = "machine"
MOST_ITEMS = 60
Texts = Mapping[str, Sequence[str]]


@dataclass(frozen=True, slots=True)
class Field:
    """One input as the form asks for it: what stands in it (an item of a list: its parts), what
    is taken where it stays empty, and what is wrong with it."""

    asked: Asked
    value: str
    rows: tuple[tuple[str, ...], ...]
    if_empty: str
    wrong: str

    @property
    def label(self) -> str:
        """Its words with a capital."""
        return self.asked.words[:1].upper() + self.asked.words[1:]


@dataclass(frozen=True, slots=True)
class Group:
    """Inputs that belong together, under their heading."""

    title: str
    fields: tuple[Field, ...]


def typed_in(query: QueryParams, asked: Iterable[Asked]) -> dict[str, list[str]]:
    """What an address says of these inputs, by name; items of a list as a:b:c.

    Example:
        >>> parts = (Asked("name", "name"), Asked("at_mm", "place", "mm"))
        >>> many = Asked("stop", "stops", each=parts)
        >>> typed_in(QueryParams("stop.0.name=low&stop.0.at_mm=4&stop=high:9&x=1"), [many])
        {'stop': ['high:9', 'low:4']}
    """
    found = {}
    for one in asked:
        texts = [text.strip() for text in query.getlist(one.name) if text.strip()]
        if one.each:
            texts = [text.rstrip(":") for text in (*texts, *_items(query, one))]
        texts = [text for text in texts if text][:MOST_ITEMS]
        if texts:
            found[one.name] = texts if one.each else texts[-1:]
    return found


def _items(query: QueryParams, asked: Asked) -> Iterable[str]:
    """Items typed part by part, in fields such as stop.0.at_mm."""
    place = re.compile(rf"{re.escape(asked.name)}\.([0-9]{{1,2}})\.([a-z0-9_]+)")
    cells: dict[int, dict[str, str]] = {}
    for name, value in query.multi_items():
        fits = place.fullmatch(name)
        if fits and value.strip():
            cells.setdefault(int(fits[1]), {})[fits[2]] = value.strip().replace(":", " ")
    for number in sorted(cells):
        yield ":".join(cells[number].get(part.name, "") for part in asked.each)


def address(path: str, texts: Texts, machine: int | None) -> str:
    """The sheet's address: what was typed, nothing else."""
    pairs = [] if machine is None else [(MACHINE, str(machine))]
    pairs += [(name, text) for name, several in texts.items() for text in several]
    return f"{path}?{urlencode(pairs)}" if pairs else path


def groups_of(
    made: Calculator,
    texts: Texts,
    known: Mapping[str, object],
    problems: Sequence[InputError],
) -> tuple[Group, ...]:
    """The form: groups in the order in which their first inputs are asked, the rest last."""
    grouped: dict[str, list[Field]] = {}
    for one in made.asked:
        grouped.setdefault(one.group, []).append(_field(one, texts, known, problems))
    rest = grouped.pop("", None)
    found = [Group(title, tuple(fields)) for title, fields in grouped.items()]
    if rest:
        found.append(Group(words.OTHERS if found else words.WHAT_GOES_IN, tuple(rest)))
    return tuple(found)


def others(made: Calculator, problems: Iterable[InputError]) -> tuple[str, ...]:
    """What is wrong that belongs to no field."""
    return tuple(_wrong(p) for p in problems if not any(_is_of(p, one) for one in made.asked))


def _field(
    asked: Asked, texts: Texts, known: Mapping[str, object], problems: Sequence[InputError]
) -> Field:
    typed = list(texts.get(asked.name, ()))
    if not typed and asked.name in known:
        typed = texts_of(asked, known[asked.name])
    wrong = " ".join(_wrong(p, asked) for p in problems if _is_of(p, asked))
    rows = _rows(asked, typed) if asked.each else ()
    value = typed[-1] if typed and not asked.each else ""
    return Field(asked, value, rows, _if_empty(asked), wrong)


def _rows(asked: Asked, typed: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    width = len(asked.each)
    filled = [tuple((text.split(":") + [""] * width)[:width]) for text in typed]
    return (*filled, *[("",) * width] * (1 if filled else max(2, asked.fewest)))


def _if_empty(asked: Asked) -> str:
    if asked.default is not None:
        taken = said(asked.default, asked.unit)
        return (
            f"{taken}, {asked.trust}" if asked.choices else words.TAKEN.format(taken, asked.trust)
        )
    if asked.each:
        return words.ONE_OF_LIST
    if asked.optional:
        return words.NOT_KNOWN if asked.choices else words.OPTIONAL
    return words.NEEDED


def _is_of(problem: InputError, asked: Asked) -> bool:
    return problem.place == asked.name or problem.place.startswith(f"{asked.name} ")


def _wrong(problem: InputError, asked: Asked | None = None) -> str:
    """A problem at its field: the place is seen, unless it is one item of several."""
    if asked is None or asked.each:
        return str(problem).replace("_", " ")
    if problem.value == "nothing":
        return problem.remedy
    return fault("", problem)
