"""Packs for tests: a small one that is in order, and ways to spoil it."""

import json
import struct
import warnings
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from hashlib import sha256
from io import BytesIO

from plumbrise.analyse import analyse
from plumbrise.build import Progress, build_steps
from plumbrise.files import Pack, Stage, write_pack
from plumbrise.files.pack_again import results_of, session_in
from plumbrise.files.pack_beside import chosen_in, proved
from plumbrise.files.proof import proofs_dict
from plumbrise.files.work_order import work_order_dict
from plumbrise.readings import scale_of

MACHINE = 'format = 1\nname = "Heron"\narrangement = "one-screw"\nscrew = { lead_mm = 8.0 }\n'
TABLE = "run,test,station,seq,target_mm,reading_mm\n" + "".join(
    f"left,coarse-steps,gantry-left,{i},{i},{max(0, i - 0.4):.2f}\n" for i in range(7)
)
CHECKSUMS = "checksums.sha256"
READINGS = "before/readings.csv"


def stage(name: str = "before", table: str = TABLE) -> Stage:
    written = Stage(name, MACHINE, table, {}, "<svg/>", "<!doctype html>")
    machine, readings = session_in(written)
    results = results_of(analyse(readings, scale_of(machine)), None)
    return Stage(name, MACHINE, table, results, written.drawing, written.report)


def pack(*names: str) -> Pack:
    stages = tuple(stage(name) for name in names or ("before",))
    return Pack(stages, "2026-11-26", {"plumbrise": "0.1.0", "python": "3.11.7"})


WHOLE = write_pack(pack("before", "after-1"))


def members(data: bytes = WHOLE) -> dict[str, bytes]:
    with zipfile.ZipFile(BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def zipped(contents, *, summed: bool = True, level: int = zipfile.ZIP_DEFLATED) -> bytes:
    """A zip of (name or ZipInfo, bytes), with checksums that fit."""
    pairs = list(contents.items() if isinstance(contents, dict) else contents)
    if summed:
        pairs = [(n, d) for n, d in pairs if n != CHECKSUMS]
        lines = [f"{sha256(d).hexdigest()}  {getattr(n, 'filename', n)}\n" for n, d in pairs]
        pairs.append((CHECKSUMS, "".join(lines).encode()))
    made = BytesIO()
    with warnings.catch_warnings(), zipfile.ZipFile(made, "w", level) as archive:
        warnings.simplefilter("ignore")  # a name twice is what some of these are for
        for name, data in pairs:
            archive.writestr(name, data)
    return made.getvalue()


def added(name: str, data: bytes = b"x", **of) -> bytes:
    info = zipfile.ZipInfo(name)
    for key, value in of.items():
        setattr(info, key, value)
    return zipped([*members().items(), (info, data)])


HARNESS = '[[line]]\nname = "left"\nmotor = { coil_ohm = 2.6 }\n'
PRINTS = "what,place,told_mm,read_mm\n" + "layer 1,left,0.2,0.1\n" * 3
LESS = "run,test,station,seq,target_mm,reading_mm\n" + "".join(
    f"left,coarse-steps,gantry-left,{i},{i},{max(0, i - 0.1):.2f}\n" for i in range(7)
)
PROMISED = {"estimate": 0.1, "low": 0.05, "high": 0.2, "level": 0.95}


@cache
def told_pack() -> Pack:
    """A story with all that a pack may hold."""
    stages = (
        replace(stage("before"), prints=PRINTS),
        replace(stage("after-1", LESS), prints=PRINTS.replace("0.1\n", "0.19\n")),
    )
    opened = [session_in(one) for one in stages]
    proposal = {
        "version": 1,
        "chosen": {
            "changes": ["new-nut"],
            "predicted": {"lost-motion": {"gantry-left": PROMISED}},
        },
    }
    made = Pack(stages, "2026-11-26", {"plumbrise": "0.1.0"}, proposal=proposal, harness=HARNESS)
    order = build_steps(opened[0][0], ["new-nut"])
    return replace(
        made,
        build=plain(work_order_dict(order, Progress(changes=order.changes))),
        proof=plain(proofs_dict(proved(stages, opened, chosen_in(made)))),
        story="<!doctype html>",
    )


def plain(value):
    """As JSON gives it back."""
    return json.loads(json.dumps(value))


def opened_of(pack: Pack):
    """Machine and readings of each stage."""
    return [session_in(one) for one in pack.stages]


TOLD = write_pack(told_pack())


def changed(name: str, data: bytes | None, *, summed: bool = True) -> bytes:
    """The pack with another content of a member, or without it."""
    return changed_of(WHOLE, name, data, summed=summed)


def changed_of(whole: bytes, name: str, data: bytes | None, *, summed: bool = True) -> bytes:
    """The same of any pack."""
    found = members(whole) | ({name: data} if data is not None else {})
    if data is None:
        del found[name]
    return zipped(found, summed=summed)


def renamed(old: str, new: bytes) -> bytes:
    """The name of a member put otherwise in both its headers, letter for letter."""
    assert len(new) == len(old)
    return WHOLE.replace(old.encode(), new)


def central(name: str, at: int, kind: str, value: int, data: bytes = WHOLE) -> bytes:
    """A field of a member's entry in the central directory put otherwise."""
    begin = data.rindex(name.encode()) - 46
    assert data[begin : begin + 4] == b"PK\1\2"
    made = bytearray(data)
    struct.pack_into(kind, made, begin + at, value)
    return bytes(made)


def both(name: str, local: int, listed: int, kind: str, value: int, data: bytes = WHOLE) -> bytes:
    """The same field in the member's own header as well."""
    made = bytearray(central(name, listed, kind, value, data))
    begin = data.index(name.encode()) - 30
    assert data[begin : begin + 4] == b"PK\3\4"
    struct.pack_into(kind, made, begin + local, value)
    return bytes(made)


def end(at: int, kind: str, value: int) -> bytes:
    made = bytearray(WHOLE)
    struct.pack_into(kind, made, len(made) - 22 + at, value)
    return bytes(made)


def _flipped(name: str) -> bytes:
    """A letter of a stored member put otherwise, its CRC left as it was."""
    data = zipped(members(), level=zipfile.ZIP_STORED)
    at = data.index(members()[name]) + 3
    return data[:at] + bytes([data[at] ^ 1]) + data[at + 1 :]


def _shared() -> bytes:
    """Two entries of the list that share one member's bytes."""
    start = struct.unpack_from("<L", WHOLE, WHOLE.rindex(READINGS.encode()) - 46 + 42)[0]
    return central("after-1/readings.csv", 42, "<L", start)


def _overlapping() -> bytes:
    """A member whose data takes in the header of the next."""
    size = struct.unpack_from("<L", WHOLE, WHOLE.rindex(READINGS.encode()) - 46 + 20)[0]
    return both(READINGS, 18, 20, "<L", size + 60)


def _many() -> bytes:
    return zipped([(f"before/{i}.csv", b"") for i in range(5_000)], summed=False)


def _named(name: str) -> bytes:
    return changed("before/machine.toml", MACHINE.replace("Heron", name).encode())


@dataclass(frozen=True)
class Hostile:
    title: str
    made: Callable[[], bytes]
    told: str


HOSTILE = (
    Hostile("nothing", lambda: b"", "no zip archive"),
    Hostile("no zip", lambda: b"told,read\n0,0\n" * 9, "no zip archive"),
    Hostile("cut off", lambda: WHOLE[:-30], "no zip archive"),
    Hostile("bytes before it", lambda: b"MZ" + WHOLE, "a list that does not fit"),
    Hostile("bytes behind it", lambda: WHOLE + b"#!/bin/sh", "no zip archive"),
    Hostile("words of the archive", lambda: end(20, "<H", 0)[:-2] + b"\4\0evil", "no zip archive"),
    Hostile("a part of several disks", lambda: end(4, "<H", 1), "a list that does not fit"),
    Hostile("a list that begins elsewhere", lambda: end(16, "<L", 7), "a list that does not fit"),
    Hostile("fewer listed than there are", lambda: end(8, "<H", 2), "a list that does not fit"),
    Hostile("a list cut short", lambda: end(10, "<H", 2).replace(b"PK\5\6\0\0\0\0\x0c", b"PK\5\6\0\0\0\0\2"), "bytes behind the list"),
    Hostile("a way out", lambda: added("../../etc/cron.d/x"), "leads out of its folder"),
    Hostile("a way out in the middle", lambda: added("before/../../x"), "leads out of its folder"),
    Hostile("a way out with backslashes", lambda: added("before\\..\\..\\x"), "leads out of its folder"),
    Hostile("an absolute name", lambda: added("/etc/passwd"), "an absolute name"),
    Hostile("a drive", lambda: added("C:\\x"), "an absolute name"),
    Hostile("a share of the network", lambda: added("\\\\evil\\x"), "an absolute name"),
    Hostile("a name with an end mark", lambda: renamed(READINGS, b"before/readings\0csv"), "odd letters"),
    Hostile("a name that moves the cursor", lambda: renamed(READINGS, b"before/read\x1b[2J.csv"), "odd letters"),
    Hostile("a name that is no UTF-8", lambda: renamed(READINGS, b"before/readings\xff\xfe\xfd\xfc"), "not UTF-8"),
    Hostile("an unknown file", lambda: added("setup.py"), "an unknown member"),
    Hostile("a figure of no stage", lambda: added("figures/evil.svg"), "an unknown member"),
    Hostile("another capital", lambda: added("before/Machine.toml"), "an unknown member"),
    Hostile("a nested archive", lambda: added("before/more.zip", WHOLE), "an unknown member"),
    Hostile("a link", lambda: added("figures/after-2.svg", b"/etc/passwd", external_attr=0o120777 << 16), "a link"),
    Hostile("a pipe", lambda: added("figures/after-2.svg", b"", external_attr=0o010644 << 16), "no plain file"),
    Hostile("a file that is a folder", lambda: added("before/", b"x"), "1 bytes"),
    Hostile("a name twice", lambda: added(READINGS, TABLE.encode()), "2 members of this name"),
    Hostile("encrypted", lambda: both(READINGS, 6, 8, "<H", 1), "encrypted"),
    Hostile("flags nobody needs", lambda: both(READINGS, 6, 8, "<H", 1 << 13), "flags 0x2000"),
    Hostile("another way of packing", lambda: both(READINGS, 8, 10, "<H", 14), "packed by method 14"),
    Hostile("the list and the member differ", lambda: central(READINGS, 10, "<H", 0), "says otherwise"),
    Hostile("a second name", lambda: added("figures/after-2.svg", b"", extra=b"\x75\x70\x05\0\1\0\0\0\0"), "a second name"),
    Hostile("a second size", lambda: added("figures/after-2.svg", b"", extra=b"\1\0\0\0"), "a second name"),
    Hostile("entries that overlap", _overlapping, "overlaps another"),
    Hostile("two names for the same bytes", _shared, "says otherwise than the list"),
    Hostile("a member outside the file", lambda: both(READINGS, 18, 20, "<L", 2**31), "says otherwise"),
    Hostile("many entries", _many, "entries"),
    Hostile("a bomb of zeros", lambda: changed("report/before.html", b"\0" * 30_000_000), "30000000 bytes"),
    Hostile("a bomb in parts", lambda: zipped({f"report/{s}.html": b"\0" * 9_900_000 for s in ("before", *(f"after-{i}" for i in range(1, 8)))}), "unpacked"),
    Hostile("a bomb that says it is small", lambda: both("report/before.html", 22, 24, "<L", 40, changed("report/before.html", b"\0" * 9_000_000)), "another size than it says"),
    Hostile("a size that is too large", lambda: both(READINGS, 22, 24, "<L", 3_000_000), "another size than it says"),
    Hostile("a letter changed", lambda: _flipped(READINGS), "what its checksum says"),
    Hostile("a CRC that is wrong", lambda: both(READINGS, 14, 16, "<L", 7), "what its checksum says"),
    Hostile("data that is no stream", lambda: _garbled(), "broken data"),
    Hostile("changed and zipped anew", lambda: changed(READINGS, TABLE.encode() + b"\n", summed=False), "data that was changed"),
    Hostile("a file without a checksum", lambda: zipped(members() | {"figures/after-1.svg": b"<svg/>"} | {CHECKSUMS: b""}, summed=False), "no checksum"),
    Hostile("a checksum without its file", lambda: changed(CHECKSUMS, members()[CHECKSUMS] + b"0" * 64 + b"  x\n", summed=False), "what checksums.sha256 lists"),
    Hostile("a checksum twice", lambda: changed(CHECKSUMS, members()[CHECKSUMS] * 2, summed=False), "each name once"),
    Hostile("checksums that are none", lambda: changed(CHECKSUMS, b"\xff\xfe" * 400, summed=False), "a checksum and a name"),
    Hostile("no readings", lambda: changed(READINGS, None), "a pack that has it"),
    Hostile("no versions", lambda: changed("versions.json", None), "a pack that has it"),
    Hostile("nothing but its checksums", lambda: zipped({}), "a pack that has it"),
    Hostile("a stage left out", lambda: zipped({n.replace("after-1", "after-3"): d for n, d in members().items()}), "stages without a gap"),
    Hostile("a report of no stage", lambda: added("report/after-4.html", b"x"), "without its stage"),
    Hostile("a format to come", lambda: zipped(members() | {"versions.json": b'{"format": 2}', "story.html": b"x"}), "Get a newer version"),
    Hostile("a format that is none", lambda: changed("versions.json", b'{"format": true}'), "no format"),
    Hostile("versions that are markup", lambda: changed("versions.json", b'{"format": 1, "packed_on": "2026-11-26", "versions": {"plumbrise": "<b>"}}'), "odd versions"),
    Hostile("a day that is none", lambda: changed("versions.json", b'{"format": 1, "packed_on": "2026-13-99", "versions": {}}'), "a day"),
    Hostile("a machine that is a picture", lambda: changed("before/machine.toml", b"\x89PNG\r\n\x1a\n\0\0"), "no text"),
    Hostile("readings that are a spreadsheet", lambda: changed(READINGS, b"PK\3\4" + b"a" * 90), "a zip archive"),
    Hostile("readings that move the cursor", lambda: changed(READINGS, TABLE.encode() + b"\x1b[2J"), "text"),
    Hostile("readings that move the cursor in one letter", lambda: changed(READINGS, TABLE.encode() + b"\xc2\x9b2J"), "text"),
    Hostile("a machine of a name that moves the cursor", lambda: _named(r"\u001b[2J"), "letters that can be shown"),
    Hostile("a machine of a name that runs backwards", lambda: _named(r"\u202e"), "letters that can be shown"),
    Hostile("a machine with a key of thousands", lambda: changed("before/machine.toml", b".".join([b"a"] * 60_000) + b" = 1"), "nested too deep"),
    Hostile("results that cannot be written out", lambda: changed("before/results.json", rb'{"analysis": {"\ud800": 1}}'), "letters that can be shown"),
    Hostile("results that move the cursor", lambda: changed("before/results.json", rb'{"analysis": {"a": ["\u001b[2J"]}}'), "letters that can be shown"),
    Hostile("results deeper than any", lambda: changed("before/results.json", b'{"analysis": {}, "x": ' + b"[" * 200 + b"]" * 200 + b"}"), "lists without end"),
    Hostile("results without end", lambda: changed("before/results.json", b"[" * 200_000), "broken JSON"),
    Hostile("results deep in themselves", lambda: changed("before/results.json", b'{"a":' * 90_000 + b"1" + b"}" * 90_000), "broken JSON"),
    Hostile("results of a million lists", lambda: changed("before/results.json", b'{"analysis": {}, "x": [' + b"[]," * 10**6 + b"[]]}"), "too many values"),
    Hostile("results with a number of a million digits", lambda: changed("before/results.json", b'{"analysis": ' + b"9" * 10**6 + b"}"), "broken JSON"),
    Hostile("results that are no numbers", lambda: changed("before/results.json", b'{"analysis": {"u": NaN}}'), "broken JSON"),
    Hostile("results that are a list", lambda: changed("before/results.json", b"[]"), "no object"),
    Hostile("results of nothing", lambda: changed("before/results.json", b"{}"), "no analysis"),
)  # fmt: skip


def _garbled() -> bytes:
    begin = WHOLE.index(READINGS.encode()) + len(READINGS)
    return WHOLE[:begin] + b"\xff" * 12 + WHOLE[begin + 12 :]
