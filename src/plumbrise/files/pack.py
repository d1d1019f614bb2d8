"""A pack: a story to publish, its stages with machine, readings, results, figure and report in one
zip archive, and a checksum of each. Bytes in, bytes out.

    before/machine.toml  before/readings.csv  before/results.json     after-1/... to after-9/...
    before/print.csv     figures/before.svg   report/before.html      story.html
    proof.json           proposal.json        build.json              harness.toml
    versions.json        checksums.sha256

`checksums.sha256` is what `sha256sum -c` reads. A pack of an older format is read for ever.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from io import BytesIO
from typing import Any

from plumbrise.errors import InputError, InputErrors
from plumbrise.files.archive import fault, members_of, shown
from plumbrise.files.pack_names import (
    BOUNDS,
    BUILD,
    CHECKSUMS,
    FORMAT,
    HARNESS,
    MOST,
    MOST_FAULTS,
    PARTS,
    PRINT,
    PROOF,
    PROPOSAL,
    SHOWN,
    STAGES,
    STORY,
    VERSIONS,
    Json,
)
from plumbrise.files.pack_text import json_in, json_text, text_in

_LINE = re.compile(r"([0-9a-f]{64}) [ *](\S+)")
_VERSION = re.compile(r"[\w.+ -]{1,60}", re.ASCII)


class PackNotWhole(InputErrors):
    """A pack that is broken, cut, changed or no pack: each fault a line, and of very many the first
    and how many more there are. A stranger's file must not fill the screen."""

    def __init__(self, problems: Sequence[InputError]) -> None:
        more = len(problems) - MOST_FAULTS
        if more > 0:
            rest = fault("archive", f"{more} more faults", "none")
            problems = [*problems[:MOST_FAULTS], rest]
        super().__init__(problems)


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of a story. `results` holds what `analyse --json` and `explain --json` print;
    `drawing` and `report` are SVG and HTML, `prints` what was measured on a print; "" where there
    is none."""

    name: str
    machine: str
    readings: str
    results: Json
    drawing: str = ""
    report: str = ""
    prints: str = ""


@dataclass(frozen=True, slots=True)
class Pack:
    """A story: its stages in order, the day it was packed, and with which versions.

    `proof`, `proposal` and `build` are what `prove --json` and `redesign --json` print and what
    `build --progress` keeps, None where there is none; `harness` is a harness file and `story` the
    page to publish, "" where there is none.
    """

    stages: tuple[Stage, ...]
    packed_on: str
    versions: Mapping[str, str]
    format: int = FORMAT
    proof: Json | None = None
    proposal: Json | None = None
    build: Json | None = None
    harness: str = ""
    story: str = ""


def write_pack(pack: Pack) -> bytes:
    """The archive. The same pack gives the same bytes.

    Raises:
        ValueError: stages that are not before, after-1, after-2...
    """
    if not pack.stages or tuple(s.name for s in pack.stages) != STAGES[: len(pack.stages)]:
        raise ValueError("stages are before, after-1, after-2, ...")
    head = {"format": FORMAT, "packed_on": pack.packed_on, "versions": dict(pack.versions)}
    texts = {name: text for stage in pack.stages for name, text in _texts(stage)}
    texts |= _beside(pack)
    texts[VERSIONS] = json_text(head)
    members = {name: text.encode("utf-8") for name, text in sorted(texts.items())}
    sums = "".join(f"{sha256(data).hexdigest()}  {name}\n" for name, data in members.items())
    members[CHECKSUMS] = sums.encode("ascii")
    day = date.fromisoformat(pack.packed_on)
    made = BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        for name, data in members.items():
            info = zipfile.ZipInfo(name, (day.year, day.month, day.day, 0, 0, 0))
            info.create_system, info.external_attr = 3, 0o100644 << 16
            archive.writestr(info, data, zipfile.ZIP_DEFLATED, 9)
    return made.getvalue()


def _beside(pack: Pack) -> dict[str, str]:
    """What tells of the whole story, by name."""
    told = {PROOF: pack.proof, PROPOSAL: pack.proposal, BUILD: pack.build}
    found = {name: json_text(value) for name, value in told.items() if value is not None}
    return found | {n: t for n, t in ((HARNESS, pack.harness), (STORY, pack.story)) if t}


def _texts(stage: Stage) -> Iterator[tuple[str, str]]:
    yield f"{stage.name}/machine.toml", stage.machine
    yield f"{stage.name}/readings.csv", stage.readings
    yield f"{stage.name}/results.json", json_text(stage.results)
    if stage.prints:
        yield f"{stage.name}/{PRINT}", stage.prints
    for name, text in zip(SHOWN, (stage.drawing, stage.report), strict=True):
        if text:
            yield name.format(stage.name), text


def read_pack(data: bytes) -> Pack:
    """The pack in these bytes, wherever they come from: nothing in it is run, and nothing of it
    reaches a disk by a name of its own.

    Raises:
        PackNotWhole: all that is wrong with it.
    """
    members, faults = members_of(data, most=MOST.get, bounds=BOUNDS)
    number = _format(members)
    if number > FORMAT:  # its other faults are those of an older reader
        known = f"formats up to {FORMAT}"
        raise PackNotWhole([fault(VERSIONS, f"format {number}", known, "Get a newer version.")])
    if faults:
        raise PackNotWhole(faults)
    problems = [*_missing(members), *_wrong_sums(members)]
    if number not in READERS:
        problems.append(fault(VERSIONS, "no format", "the number of the pack's format"))
    if problems:
        raise PackNotWhole(problems)
    return READERS[number](members)


def _format(members: Mapping[str, bytes]) -> int:
    """The pack's format, 0 where it does not tell."""
    try:
        said = json_in(members, VERSIONS).get("format") if VERSIONS in members else None
    except InputError:
        return 0
    return said if isinstance(said, int) and not isinstance(said, bool) else 0


def _is_day(text: str) -> bool:
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def _wrong_sums(members: Mapping[str, bytes]) -> Iterator[InputError]:
    """Every member but the list itself is in the list once, with its checksum, and no other."""
    listed: dict[str, str] = {}
    for line in members.get(CHECKSUMS, b"").splitlines():
        found = _LINE.fullmatch(line.decode("ascii", "replace"))
        if found is None or found[2] in listed:
            yield fault(CHECKSUMS, shown(line), "a checksum and a name, each name once")
            continue
        listed[found[2]] = found[1]
    for name in members.keys() - listed.keys() - {CHECKSUMS}:
        yield fault(name, "no checksum", "one in checksums.sha256")
    for name, said in listed.items():
        if name not in members:
            yield fault(shown(name.encode()), "nothing", "what checksums.sha256 lists")
        elif sha256(members[name]).hexdigest() != said:
            yield fault(name, "data that was changed", "what checksums.sha256 says")


def _missing(members: Mapping[str, bytes]) -> Iterator[InputError]:
    stages = _stages(members)
    needed = [VERSIONS, CHECKSUMS]
    needed += [f"{stage}/{part}" for stage in stages or STAGES[:1] for part in PARTS]
    for name in needed:
        if name not in members:
            yield fault(name, "nothing", "a pack that has it")
    for stage in set(STAGES[: len(stages)]) - set(stages):
        yield fault(stage, "nothing", "stages without a gap")
    for name in members:
        room, _, file = name.partition("/")
        stage = file.rpartition(".")[0] if room in ("figures", "report") else room
        if file and stage not in stages:
            yield fault(name, "shown without its stage", "stages with their readings")


def _stages(members: Mapping[str, bytes]) -> tuple[str, ...]:
    return tuple(s for s in STAGES if any(f"{s}/{part}" in members for part in PARTS))


def _read_1(members: Mapping[str, bytes]) -> Pack:
    """Format 1."""
    problems: list[InputError] = []
    stages = []
    for name in _stages(members):
        try:
            stages.append(_stage_1(members, name))
        except InputErrors as several:
            problems += several.problems
    beside: dict[str, Any] = {}
    for name, key, read in TOLD:
        try:
            if name in members:
                beside[key] = read(members, name)
        except InputErrors as several:
            problems += several.problems
        except InputError as problem:
            problems.append(problem)
    day, versions = "", dict[str, str]()
    try:
        day, versions = _packed_with(json_in(members, VERSIONS))
    except InputError as problem:
        problems.append(problem)
    if problems:
        raise PackNotWhole(problems)
    return Pack(tuple(stages), day, versions, 1, **beside)


def _packed_with(head: Json) -> tuple[str, dict[str, str]]:
    day, versions = head.get("packed_on"), head.get("versions")
    if not isinstance(day, str) or not _is_day(day):
        raise fault(VERSIONS, str(day)[:40], "a day, such as 2026-11-26")
    if not isinstance(versions, dict) or not all(
        isinstance(v, str) and _VERSION.fullmatch(k) and _VERSION.fullmatch(v)
        for k, v in versions.items()
    ):
        raise fault(VERSIONS, "odd versions", "names and numbers")
    return day, versions


def _stage_1(members: Mapping[str, bytes], name: str) -> Stage:
    problems: list[InputError] = []
    texts: dict[str, str] = {}
    results: Json = {}
    for part in ("machine.toml", "readings.csv", PRINT):
        try:
            if part != PRINT or f"{name}/{PRINT}" in members:
                texts[part] = text_in(members, f"{name}/{part}")
        except InputError as problem:
            problems.append(problem)
    try:
        results = json_in(members, f"{name}/results.json")
        if not isinstance(results.get("analysis"), dict):
            problems.append(fault(f"{name}/results.json", "no analysis", "one"))
    except InputError as problem:
        problems.append(problem)
    if problems:
        raise InputErrors(problems)
    drawing, report = (_as_shown(members, path.format(name)) for path in SHOWN)
    return Stage(
        name,
        texts["machine.toml"],
        texts["readings.csv"],
        results,
        drawing,
        report,
        texts.get(PRINT, ""),
    )


def _as_shown(members: Mapping[str, bytes], name: str) -> str:
    """A drawing or a page: kept as it is, and never shown by this program."""
    return members.get(name, b"").decode("utf-8", "replace")


TOLD: tuple[tuple[str, str, Callable[[Mapping[str, bytes], str], Any]], ...] = (
    (PROOF, "proof", json_in),
    (PROPOSAL, "proposal", json_in),
    (BUILD, "build", json_in),
    (HARNESS, "harness", text_in),
    (STORY, "story", _as_shown),
)
"""What tells of the whole story: name, field of the pack, how it is read."""
READERS: dict[int, Callable[[Mapping[str, bytes]], Pack]] = {1: _read_1}
"""Format -> its reader. None is ever taken out."""
