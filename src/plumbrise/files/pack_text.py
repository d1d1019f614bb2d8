"""Members of a pack as text and as JSON, both ways; what comes from elsewhere is read strictly."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from math import isfinite
from typing import Any

from plumbrise.files.archive import fault
from plumbrise.files.decoding import text_of
from plumbrise.files.pack_names import DEEPEST, MOST_VALUES, Json
from plumbrise.files.showable import STEERS, odd_texts, walked

_ODD = re.compile("[\0\x80-\x84\x86-\x9f]")
"""Letters that no text holds, though UTF-8 has them; some steer a terminal like an escape."""


def json_text(value: Json) -> str:
    """JSON as a pack holds it."""
    return json.dumps(value, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def text_in(members: Mapping[str, bytes], name: str) -> str:
    """Text in UTF-8 without control characters; anything else could be another kind of file."""
    try:
        text = members[name].decode("utf-8")
    except UnicodeDecodeError:
        raise fault(name, "no text", "text in UTF-8") from None
    if _ODD.search(text):
        raise fault(name, "no text", "text in UTF-8")
    return text_of(members[name], name=name).text


def json_in(members: Mapping[str, bytes], name: str) -> Json:
    """A JSON object of bounded depth and size, without the numbers that JSON does not have."""

    def never(said: str) -> Any:
        raise ValueError(said)

    def finite(said: str) -> float:
        return float(said) if isfinite(float(said)) else never(said)

    text = text_in(members, name)
    if sum(map(text.count, "[{,")) > MOST_VALUES:
        raise fault(name, "too many values", f"up to {MOST_VALUES}")
    try:
        found = json.loads(text, parse_constant=never, parse_float=finite)
    except (ValueError, RecursionError):
        raise fault(name, "broken JSON", "a JSON object") from None
    if not isinstance(found, dict):
        raise fault(name, "no object", "a JSON object")
    if any(len(path) > DEEPEST for path, _ in walked(found)):
        raise fault(name, "lists in lists without end", f"up to {DEEPEST} in each other")
    for _, odd in odd_texts(found, STEERS):
        raise fault(name, odd[:60], "letters that can be shown")
    return found
