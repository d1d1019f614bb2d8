"""What a form sent, read strictly: few fields, each of a size."""

from __future__ import annotations

from urllib.parse import urlencode

from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request

from plumbrise.errors import InputError
from plumbrise.web import fault_words

MOST_FIELDS = 300
MOST_LETTERS = 2_000_000


async def form_of(request: Request) -> FormData:
    """The form. More fields or larger ones than a page of ours has are refused."""
    return await request.form(max_files=2, max_fields=MOST_FIELDS, max_part_size=MOST_LETTERS)


def tidy(request: Request) -> str:
    """The address without fields that were left empty; "" where it has none of these. A form
    that is sent as an address sends them all."""
    pairs = request.query_params.multi_items()
    said = [(name, value) for name, value in pairs if value.strip()]
    if len(said) == len(pairs):
        return ""
    return f"{request.url.path}?{urlencode(said)}" if said else request.url.path


def text(form: FormData, name: str, *, most: int = 2_000) -> str:
    """A field as typed, without control characters; "" where it is missing.

    Raises:
        InputError: it is longer than any real answer.
    """
    value = form.get(name, "")
    if isinstance(value, UploadFile):
        return ""
    if len(value) > most:
        raise InputError(
            place=name,
            value=fault_words.LETTERS.format(len(value)),
            allowed=fault_words.UP_TO.format(most),
            remedy=fault_words.SHORTEN,
        )
    return "".join(c for c in value if c in "\t\n\r" or (c.isprintable() or c == "\u00a0"))


async def upload(form: FormData, name: str) -> tuple[str, bytes]:
    """An uploaded file: its bare name and what is in it; ("", b"") where there is none."""
    value = form.get(name)
    if not isinstance(value, UploadFile) or not value.filename:
        return "", b""
    bare = value.filename.replace("\\", "/").rsplit("/", 1)[-1]
    return "".join(c for c in bare if c.isprintable())[:80], await value.read()
