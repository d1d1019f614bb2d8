"""Zip archives of other people, read strictly: bytes to members, and all that is wrong at once.

Nothing is unpacked before the places of all entries were looked at, and never more of it than the
entry may have.
What two zip readers might take for two different things (entries that overlap, bytes between them,
a second name) is refused, whatever it is.

The format: APPNOTE.TXT, ".ZIP File Format Specification" 6.3.10, sections 4.3.7 (local header),
4.3.9 (data descriptor), 4.3.12 (central directory) and 4.3.16 (its end).
"""

from __future__ import annotations

import struct
import zlib
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from plumbrise.errors import InputError

END = struct.Struct("<4s4H2LH")
CENTRAL = struct.Struct("<4s6H3L5H2L")
LOCAL = struct.Struct("<4s5H3L2H")
ENCRYPTED, SIZES_BEHIND = 1 << 0, 1 << 3
FLAGS = SIZES_BEHIND | 1 << 1 | 1 << 2 | 1 << 11
"""Sizes behind the data, how hard it was pressed, a name in UTF-8: all that a plain entry needs."""
STORED, DEFLATED = 0, 8
BEHIND = 16
"""Bytes that a data descriptor takes at most."""
KIND, FILE, FOLDER, LINK = 0o170000, 0o100000, 0o040000, 0o120000
SECOND_NAME, LARGE = 0x7075, 0x0001
REMEDY = "Ask its maker for the pack again, or make it anew."


@dataclass(frozen=True, slots=True)
class Bounds:
    """Sizes in bytes and the number of entries, none to be passed."""

    packed: int
    unpacked: int
    entries: int


@dataclass(frozen=True, slots=True)
class Entry:
    """What the central directory says of one member; `start` is where its local header stands."""

    raw_name: bytes
    flags: int
    method: int
    crc: int
    packed: int
    unpacked: int
    mode: int
    extra: bytes
    start: int

    @property
    def name(self) -> str:
        """The name in letters that are safe to show."""
        return shown(self.raw_name)


def shown(raw: bytes) -> str:
    """A name that somebody else made up, for a message: plain letters, and not too many.

    Example:
        >>> shown(b"before/\\x1b[2Jm")
        'before/\\\\x1b[2Jm'
    """
    text = raw.decode("ascii", "backslashreplace")
    safe = "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)
    return safe if len(safe) <= 60 else f"{safe[:57]}..."


def fault(place: str, value: object, allowed: str, remedy: str = REMEDY) -> InputError:
    """Something wrong with an archive."""
    return InputError(place=place, value=value, allowed=allowed, remedy=remedy)


def members_of(
    data: bytes, *, most: Callable[[str], int | None], bounds: Bounds
) -> tuple[dict[str, bytes], tuple[InputError, ...]]:
    """The members that are in order, and a fault for each that is not.

    Args:
        data: the archive.
        most: the most bytes that a member of this name may have; None for a name that none has.
        bounds: of the whole.
    """
    try:
        entries, directory_at = _entries(data, bounds)
    except InputError as problem:
        return {}, (problem,)
    faults = [*_twice(entries), *_wrong_places(data, entries, directory_at)]
    if sum(entry.unpacked for entry in entries) > bounds.unpacked:
        faults.append(fault("archive", "more", f"up to {bounds.unpacked} bytes unpacked"))
    whole = not faults
    found: dict[str, bytes] = {}
    for entry in entries:
        wrong = tuple(_wrong_with(entry, most))
        faults += wrong
        if whole and not wrong and not entry.name.endswith("/"):
            try:
                found[entry.name] = _unpacked(data, entry)
            except InputError as problem:
                faults.append(problem)
    return found, tuple(faults)


def _entries(data: bytes, bounds: Bounds) -> tuple[list[Entry], int]:
    """The central directory, and where it begins; it must end where its end says."""
    if len(data) > bounds.packed:
        raise fault("archive", f"{len(data)} bytes", f"up to {bounds.packed}")
    at = len(data) - END.size
    if at < 0 or data[at : at + 4] != b"PK\5\6":
        raise fault("archive", "no zip archive, or a cut one", "a whole zip archive")
    _, disk, first, here, count, size, start, words = END.unpack_from(data, at)
    if disk or first or here != count or start + size != at or words:
        raise fault("archive", "a list that does not fit its end", "one part, listed once")
    if count > bounds.entries:
        raise fault("archive", f"{count} entries", f"up to {bounds.entries}")
    found, here = [], start
    for _ in range(count):
        if here + CENTRAL.size > at or data[here : here + 4] != b"PK\1\2":
            raise fault("archive", "a broken list of members", "a whole one")
        v = CENTRAL.unpack_from(data, here)
        name_at = here + CENTRAL.size
        extra_at = name_at + v[10]
        here = extra_at + v[11] + v[12]
        if here > at:
            raise fault("archive", "a broken list of members", "a whole one")
        found.append(
            Entry(
                data[name_at:extra_at], v[3], v[4], v[7], v[8], v[9], v[15] >> 16,
                data[extra_at : extra_at + v[11]], v[16],
            )
        )  # fmt: skip
    if here != at:
        raise fault("archive", "bytes behind the list of members", "none")
    return found, start


def _twice(entries: list[Entry]) -> Iterator[InputError]:
    for raw, count in Counter(entry.raw_name for entry in entries).items():
        if count > 1:
            yield fault(shown(raw), f"{count} members of this name", "one")


def _wrong_with(entry: Entry, most: Callable[[str], int | None]) -> Iterator[InputError]:
    """What an entry says of itself that no member of ours would."""
    if trouble := _name_trouble(entry.raw_name):
        yield fault(entry.name, trouble, "a plain name of a pack")
        return
    largest = most(entry.name)
    if largest is None:
        yield fault(entry.name, "an unknown member", "what a pack holds, nothing else")
        return
    folder = entry.name.endswith("/")
    kind = entry.mode & KIND
    if kind not in (0, FOLDER if folder else FILE):
        yield fault(entry.name, "a link" if kind == LINK else "no plain file", "plain files")
    if entry.flags & ENCRYPTED:
        yield fault(entry.name, "encrypted", "open members")
    elif entry.flags & ~FLAGS:
        yield fault(entry.name, f"flags {entry.flags:#06x}", "a plain member")
    if entry.method not in (STORED, DEFLATED):
        yield fault(entry.name, f"packed by method {entry.method}", "stored or deflated")
    if entry.unpacked > largest:
        yield fault(entry.name, f"{entry.unpacked} bytes", f"up to {largest}")
    if not _plain_extra(entry.extra):
        yield fault(entry.name, "a second name or size", "one")


def _name_trouble(raw: bytes) -> str:
    """Why nobody should make a file of this name; "" for a name that leads nowhere."""
    try:
        name = raw.decode("utf-8")
    except UnicodeDecodeError:
        return "a name that is not UTF-8"
    if name.startswith(("/", "\\")) or name[1:2] == ":":
        return "an absolute name"
    if ".." in name.replace("\\", "/").split("/"):
        return "a name that leads out of its folder"
    if "\\" in name or not name.isprintable():
        return "a name with odd letters"
    return ""


def _plain_extra(extra: bytes) -> bool:
    """No field that gives the member another name or another size."""
    at = 0
    while at + 4 <= len(extra):
        kind, size = struct.unpack_from("<2H", extra, at)
        if kind in (SECOND_NAME, LARGE):
            return False
        at += 4 + size
    return at == len(extra)


def _wrong_places(data: bytes, entries: list[Entry], directory_at: int) -> Iterator[InputError]:
    """Members must lie one behind the other from the first byte on, each as its header says."""
    end, spare = 0, 0
    for entry in sorted(entries, key=lambda entry: entry.start):
        if not end <= entry.start <= end + spare:
            yield fault(
                entry.name,
                "overlaps another" if entry.start < end else "bytes before it that no member has",
                "members one behind the other",
            )
        begin = _data_start(data, entry)
        if begin is None:
            yield fault(entry.name, "a header that says otherwise than the list", "one answer")
            return
        end = begin + entry.packed
        spare = BEHIND if entry.flags & SIZES_BEHIND else 0
    if not directory_at - spare <= end <= directory_at:
        yield fault("archive", "bytes that no member has, or too few", "none")


def _data_start(data: bytes, entry: Entry) -> int | None:
    """Where the data begins; None unless the local header says the same as the directory."""
    if entry.start + LOCAL.size > len(data) or data[entry.start : entry.start + 4] != b"PK\3\4":
        return None
    v = LOCAL.unpack_from(data, entry.start)
    name_at = entry.start + LOCAL.size
    begin = name_at + v[9] + v[10]
    said = (entry.crc, entry.packed, entry.unpacked)
    behind = entry.flags & SIZES_BEHIND
    alike = (
        data[name_at : name_at + v[9]] == entry.raw_name
        and (v[2], v[3]) == (entry.flags, entry.method)
        and (v[6:9] == said or (behind and v[6:9] == (0, 0, 0)))
        and _plain_extra(data[name_at + v[9] : begin])
        and begin + entry.packed <= len(data)
    )
    return begin if alike else None


def _unpacked(data: bytes, entry: Entry) -> bytes:
    """The member, of exactly the size and checksum that it claims."""
    begin = _data_start(data, entry)
    assert begin is not None
    packed = data[begin : begin + entry.packed]
    made, whole = packed, True
    if entry.method == DEFLATED:
        opener = zlib.decompressobj(-zlib.MAX_WBITS)
        try:
            made = opener.decompress(packed, entry.unpacked + 1)
        except zlib.error:
            raise fault(entry.name, "broken data", "whole data") from None
        whole = opener.eof and not opener.unused_data and not opener.unconsumed_tail
    if len(made) != entry.unpacked or not whole:
        raise fault(entry.name, "another size than it says", f"{entry.unpacked} bytes")
    if zlib.crc32(made) != entry.crc:
        raise fault(entry.name, "data that was changed", "what its checksum says")
    return made
