"""What is wrong with a key of a machine file, in words that say how to mend it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from difflib import get_close_matches
from typing import Any

from plumbrise.errors import InputError
from plumbrise.files.header import recognised
from plumbrise.files.machine_fields import FIELDS, Field, stem_of
from plumbrise.files.toml_value import toml_value
from plumbrise.quantity import typed


def bad_syntax(text: str, problem: str) -> InputError:
    """Where TOML ends to be TOML: line and column, and what stands there."""
    found = re.search(r"\(at line (\d+), column (\d+)\)", problem)
    lines = text.splitlines()
    line, column = (int(found[1]), int(found[2])) if found else (max(1, len(lines)), 1)
    what = re.sub(r"\s*\(at .*\)", "", problem).rstrip(".")
    shown = lines[line - 1].strip() if 0 < line <= len(lines) else ""
    remedy = f"{what}."
    if _is_table(lines):
        remedy = "This is a readings table. Give the machine file first, then the readings."
    elif re.search(r"=\s*[-+]?\d+,\d", shown):
        remedy = "Write numbers with a point: 8.5."
    elif re.search(r"=\s*[A-Za-z]", shown) and "alue" in what:
        remedy = "Write words in quotes."
    elif re.search(r"=\s*[-+]?[\d.]+\s*[A-Za-z\"]", shown):
        remedy = "Write the number alone; its unit is part of the key."
    elif "overwrite" in what or "declare" in what:
        remedy = f"{what}: the same key or table stands twice. Keep one."
    return InputError(
        place=f"line {line}, column {column}", value=shown[:60], allowed="TOML", remedy=remedy
    )


def _is_table(lines: Sequence[str]) -> bool:
    """Whether a text begins with the header of a readings table."""
    first = next((line for line in lines if line.strip()), "")
    return recognised(tuple(re.split(r"[,;\t]", first))) > 1


def sentence(part: str, path: tuple[str, ...], key: str, value: Any) -> InputError:
    """What is wrong with one key, in words."""
    place = ".".join((*path, key))
    field = FIELDS.get(f"{part}.{key}")
    if field is None:
        return _unknown_key(part, place, key, value)
    return InputError(
        place=place, value=value, allowed=field.allowed, remedy=_mending(field, value)
    )


def _mending(field: Field, value: Any) -> str:
    if field.takes == "choice":
        near = nearest(plain_word(value), field.choices) if isinstance(value, str) else ""
        return near or "Use one of these words, or leave the key out if you do not know."
    if field.takes == "yes-no":
        return "Write true or false without quotes."
    if field.takes == "lines":
        return (
            f"Write {field.name} = [{', '.join(map(toml_value, field.example))}], or leave it out."
        )
    if isinstance(value, str) and field.takes == "number" and field.measures:
        try:
            number = typed(value, field.measures, field.key)
        except InputError:
            return "Write a number without quotes, or leave the key out if you do not know."
        return f"Write {field.name} = {number:g}, without quotes."
    if isinstance(value, str):
        return "Write a number without quotes, or leave the key out if you do not know."
    return f"{field.words} Leave the key out if you do not know."


def _unknown_key(part: str, place: str, key: str, value: Any) -> InputError:
    names = [f.name for f in FIELDS.values() if f.part == part]
    remedy = nearest(key, names) or "Take the key out."
    for name in names:
        stem = stem_of(name)
        unit = key.removeprefix(stem).lstrip("_")
        field = FIELDS[f"{part}.{name}"]
        if field.measures and key.startswith(stem) and name != key and not unit.startswith("mm"):
            if not unit:
                remedy = f"Write {name}: the unit, {field.unit}, is part of the key."
                break
            try:
                number = typed(f"{value} {unit.replace('_per_', '/')}", field.measures, place)
                remedy = (
                    f"Write {name} = {number:g}: lengths and forces stand in {field.unit} here."
                )
                remedy = (
                    f"Write {name} = {number:g}; this {field.measures} is given in {field.unit}."
                )
            except InputError:
                continue
            break
    else:
        elsewhere = [f.key for f in FIELDS.values() if f.name == key]
        if elsewhere:
            remedy = f"It belongs to another part: {listed(elsewhere)}."
    return InputError(place=place, value=key, allowed=listed(names), remedy=remedy)


def nearest(given: str, names: Iterable[str]) -> str:
    """ "Did you mean ...?" for a word near to one that is known, else nothing."""
    found = get_close_matches(given, list(names), n=1, cutoff=0.6)
    return f"Did you mean {found[0]}?" if found else ""


def plain_word(word: str) -> str:
    """A word of ours however it was typed: "Thrust bearing" is thrust-bearing."""
    return re.sub(r"[\s_]+", "-", word.strip().lower())


def listed(names: Iterable[str]) -> str:
    """Words in a row: "left, right or back"."""
    words = list(names)
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + f" or {words[-1]}"
