"""A proof as far as it is: figures at once, then one session after the other explained beside the
page, for where the loss went and what to do next."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import Any

from plumbrise.api import Beside, ProofAnswer, packed
from plumbrise.files.work_order import work_order_dict
from plumbrise.prove import Stage, prove_all
from plumbrise.prove.telling import counted
from plumbrise.redesign import Proposal
from plumbrise.report.pictures import Picture, Pictures
from plumbrise.report.proof_section import ProofSection, proof_section
from plumbrise.web import prove_words as words
from plumbrise.web import redesign_asked
from plumbrise.web.bench import Bench, Story
from plumbrise.web.build_kept import work_of
from plumbrise.web.pack_page import answer_of
from plumbrise.web.prove_asked import Asked, Promise, prints_of, prints_text, promise_for
from plumbrise.web.prove_sessions import Session, story_of
from plumbrise.web.redesign_page import proposal_of, prospects_job
from plumbrise.web.sheet_drawing import with_addresses
from plumbrise.web.wiring_kept import kept_harness

WIDE_PX, NARROW_PX = 780, 350


@dataclass(frozen=True, slots=True)
class Told:
    """A proof as far as it is. `working` while sessions are being explained, `step` counts what
    came in, `key` tells this proof from another."""

    answer: ProofAnswer
    stories: tuple[Story, ...]
    promise: Promise | None
    prints: tuple[str, ...]
    working: bool
    step: int
    key: tuple[Any, ...]


def told(bench: Bench, asked: Asked, *, wait_s: float = 0.0) -> Told | None:
    """The proof of what is asked; None where there is nothing to compare.

    Args:
        bench: the bench.
        asked: which sessions.
        wait_s: how long to wait for each session to be explained.
    """
    if asked.before is None or not asked.afters:
        return None
    stories, working = _explained(bench, asked.sessions, wait_s)
    job = None if working else prospects_job(bench, stories[-1], wait_s=wait_s)
    working = working or (job is not None and not job.ended)
    promise = promise_for(bench, asked)
    proposal = proposal_of(bench, stories[-1], job, next_asked(promise))
    step = sum(one.job.step for one in stories if one.job) + (job.step if job else 0)
    prints = tuple(prints_text(bench, one.id) for one in asked.sessions)
    said = promise.text if promise else ""
    key = (*(one.fingerprint for one in stories), asked.query, step, working, said, *prints)
    answer = bench.remembered(
        ("proof", *key), lambda: _proof(bench, asked, stories, proposal, promise)
    )
    return Told(answer, stories, promise, prints, working, step, key)


def _explained(
    bench: Bench, sessions: tuple[Session, ...], wait_s: float
) -> tuple[tuple[Story, ...], bool]:
    """Each session as far as it is explained, one after the other so that others get a turn."""
    stories: list[Story] = []
    working = False
    for one in sessions:
        stories.append(story_of(bench, one, explain=not working, wait_s=wait_s))
        job = stories[-1].job
        working = working or job is None or not job.ended
    return tuple(stories), working


def _proof(
    bench: Bench,
    asked: Asked,
    stories: tuple[Story, ...],
    proposal: Proposal | None,
    promise: Promise | None,
) -> ProofAnswer:
    stages = []
    for one, story in zip(asked.sessions, stories, strict=True):
        assert story.analysis is not None  # only sessions with readings are offered
        ended = story.job is not None and story.job.ended
        stages.append(
            Stage(
                name=f"{one.name}, {one.when}",
                machine=story.machine,
                readings=story.readings,
                analysis=story.analysis,
                explanation=story.explanation if ended else None,
                prints=prints_of(bench, one.id),
            )
        )
    before, *afters = stages
    afters[-1] = replace(afters[-1], proposal=proposal)
    if promise is None:
        return ProofAnswer(before, tuple(afters), prove_all(before, afters))
    chosen = promise.chosen
    proofs = prove_all(before, afters, chosen.promised, target_mm=chosen.target_mm)
    return ProofAnswer(before, tuple(afters), proofs)


def next_asked(promise: Promise | None) -> redesign_asked.Asked:
    """What redesign is asked for after the work: where a set was promised and done, its targets
    hold on, and its changes are not named again."""
    usual = redesign_asked.Asked()
    if promise is None:
        return usual
    targets = {one.figure.id: one.limit for one in promise.chosen.targets}
    return replace(
        usual,
        aims=tuple(targets) or usual.aims,
        limits={**usual.limits, **targets},
        without=tuple(one.id for one in promise.chosen.changes),
    )


def section_of(bench: Bench, found: Told) -> ProofSection:
    """The proof as the sheet shows it, drawn once."""

    def made() -> ProofSection:
        pictures = Pictures(width_px=WIDE_PX, narrow_px=NARROW_PX, follows_page=True)
        section = proof_section(found.answer.proved, pictures)
        return replace(section, was=_plain(section.was), now=_plain(section.now))

    kept: ProofSection = bench.remembered(("proof section", *found.key), made)
    return kept


def _plain(drawn: Picture) -> Picture:
    return replace(drawn, svg=with_addresses(drawn.svg, ""))


def brief(found: Told) -> str:
    """The proof in a few words, for the title block."""
    return counted(found.answer.result[-1].figures) or words.NONE_IN_COMMON


def pack_of(bench: Bench, found: Told, *, when: str) -> bytes:
    """All of it as a pack.

    Raises:
        InputError: a session is not explained to the end.
    """
    answers = [answer_of(story) for story in found.stories]
    before = found.stories[0]
    beside = Beside(
        proposal=found.promise.text if found.promise else "",
        build=_work_kept(bench, before),
        harness=kept_harness(bench, before.id),
        prints=found.prints,
        onward=found.answer.afters[-1].proposal,
    )
    return packed(answers, when=when, beside=beside)


def _work_kept(bench: Bench, before: Story) -> str:
    """The work order with what was entered; "" where there is none for this machine as it was."""
    work = work_of(bench, before.id)
    if work is None or work.order.before != before.machine:
        return ""
    return json.dumps(work_order_dict(work.order, work.progress), ensure_ascii=False)
