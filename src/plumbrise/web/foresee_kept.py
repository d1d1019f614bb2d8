"""What was measured on a printed part, kept with the machine so that its answer says it too."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

import numpy as np
from starlette.datastructures import QueryParams

from plumbrise.errors import InputError
from plumbrise.explain import Believed
from plumbrise.foresee import Print
from plumbrise.foresee.part_evidence import FEWEST, Measured, PartEvidence, part_evidence
from plumbrise.report.printed_part import evidence_rows, verdict_words
from plumbrise.web import foresee_words as words
from plumbrise.web.bench import Bench, Story
from plumbrise.web.foresee_asked import asked_in

PART = "printed-part"
"""Kind of the results that hold a measured part."""


@dataclass(frozen=True, slots=True)
class WeighedSaid:
    """What a measured part changes in the probabilities of causes."""

    verdict: str
    rows: tuple[tuple[str, str, str], ...]


def weighed(
    bench: Bench, story: Story, job: Print, measured: Sequence[Measured]
) -> WeighedSaid | None:
    """What these squares say; None where there is no answer yet, or too few were measured."""
    believed = believed_of(story)
    if believed is None or len(measured) < FEWEST:
        return None
    step = story.job.step if story.job else 0

    def made() -> PartEvidence:
        return part_evidence(believed, job, measured, np.random.default_rng(0))

    key = ("weighed", story.id, story.fingerprint, step, job, tuple(measured))
    found: PartEvidence = bench.remembered(key, made)
    return WeighedSaid(verdict_words(found), evidence_rows(found))


def keep_part(bench: Bench, story: Story, query: QueryParams, measured: Sequence[Measured]) -> None:
    """Keep what was measured with the machine, and the address that holds it; none forgets it."""
    bench.shelf.add_result(
        story.id,
        PART,
        {
            "address": urlencode(query.multi_items()),
            "measured": [[one.place_mm, one.layers, one.thickness_mm] for one in measured],
        },
    )


@dataclass(frozen=True, slots=True)
class KeptSaid:
    """A measured part that was kept: what it says of the answer as it is now, where it can be
    read (`address`), and that something changed since."""

    weighed: WeighedSaid
    address: str
    older: str


def kept_part(bench: Bench, story: Story) -> KeptSaid | None:
    """What the part that was last kept says of this machine; None where there is none, or no
    answer to weigh."""
    kept = [one for one in bench.shelf.results(story.id) if one.kind == PART]
    if not kept:
        return None
    found = json.loads(kept[-1].text)
    measured = tuple(Measured(float(p), int(n), float(t)) for p, n, t in found["measured"])
    job = asked_in(QueryParams(found["address"]))[0].job
    try:
        said = weighed(bench, story, job, measured)
    except InputError as problem:  # the machine was described anew, and the part does not fit it
        said = WeighedSaid(words.PART_FITS_NO_MORE.format(problem), ())
    if said is None:
        return None
    older = "" if kept[-1].made_from == story.fingerprint else words.PART_OLDER
    return KeptSaid(said, f"/m/{story.id}/foresee/part?{found['address']}", older)


def ready(story: Story) -> bool:
    """The readings are explained to the end."""
    return story.job is not None and story.job.ended and story.explanation is not None


def believed_of(story: Story) -> Believed | None:
    """The axes that are believed; None before the whole answer, and where nothing can be told."""
    return story.explanation.believed if ready(story) and story.explanation else None
