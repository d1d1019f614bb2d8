"""One line judged: go only where no completion of what is unknown harms anything."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from plumbrise.wiring.completions import Parting, Phases, possible_partings, right_parting
from plumbrise.wiring.facts import Fact, facts_of, unsteady
from plumbrise.wiring.features import features, shared
from plumbrise.wiring.findings import (
    CONTACT_OPEN,
    CONTACTS_CROSSED,
    CONTRADICTION,
    DOES_NOT_SUIT,
    NO_SOUND_WIRING,
    NOT_AS_TOLD,
    Finding,
)
from plumbrise.wiring.harness import Line, Meter, Pair
from plumbrise.wiring.limits import coil_allowed, warmth
from plumbrise.wiring.measured_faults import measured_faults
from plumbrise.wiring.next_reading import at_board, states, weights, where_it_lies
from plumbrise.wiring.proof import proven_pairs, unlike
from plumbrise.wiring.swaps import fewest_swaps, known_world
from plumbrise.wiring.verdict import LineVerdict, NextReading, Swap, Verdict
from plumbrise.wiring.worlds import Agreement, World

PAIRINGS: tuple[Phases, ...] = (((1, 2), (3, 4)), ((1, 3), (2, 4)), ((1, 4), (2, 3)))
"""The three ways in which four contacts can form two driven pairs."""
MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Case:
    """A line against one pair of phases, with what the readings leave of it."""

    line: Line
    meter: Meter
    phases: Phases
    facts: tuple[Fact, ...]
    agreement: Agreement
    possible: tuple[Parting, ...]
    proven: tuple[Pair, ...]
    unsteady: tuple[Fact, ...]

    @property
    def bad(self) -> tuple[Parting, ...]:
        """The partings left that would do harm."""
        right = right_parting(self.phases)
        return tuple(parting for parting in self.possible if parting != right)

    @property
    def proven_right(self) -> bool:
        """True where nothing that is left would do harm."""
        return not self.bad and len(self.proven) == len(self.phases)

    def can_be_right(self, *, as_told: bool) -> bool:
        """True where some wiring in order gives every reading."""
        if self.unsteady or unlike(self.facts, self.phases) or self._unbraked():
            return False
        return self.agreement.suiting(self.phases, as_told=as_told)

    def _unbraked(self) -> bool:
        pairs = [set(pair) for pair in self.phases]
        return any(not b.stiff and set(b.between) in pairs for b in self.line.bridged)


def case_of(line: Line, meter: Meter, phases: Phases) -> Case:
    """What the readings of a line leave possible."""
    facts = facts_of(line, meter)
    agreement = Agreement(line, facts, meter)
    return Case(
        line,
        meter,
        phases,
        facts,
        agreement,
        possible_partings(line, facts),
        proven_pairs(agreement, facts, phases),
        unsteady(facts),
    )


def judge_line(line: Line, meter: Meter) -> LineVerdict:
    """The verdict on the wiring of one line by itself."""
    if line.board.phases is not None:
        return judge_case(case_of(line, meter, line.board.phases))
    each = [judge_case(case_of(line, meter, phases)) for phases in PAIRINGS]
    why = "A meter cannot tell which pairs a board drives. Its document names them."
    asked = NextReading(line.name, "look-up", "board", None, None, why)
    if all(one.verdict is Verdict.NO_GO for one in each):
        common = [f for f in each[0].findings if all(f in one.findings for one in each[1:])]
        found = tuple(common) or (Finding(NO_SOUND_WIRING, line.name),)
        return replace(
            each[0], findings=found, swaps=(), next_reading=asked, reasons=(found[0].kind.words,)
        )
    return replace(
        each[0],
        verdict=Verdict.CANNOT_TELL,
        findings=(),
        swaps=(),
        next_reading=asked,
        reasons=("Which pairs of contacts the board drives is not said.",),
        harmful=each[0].possible,
    )


def judge_case(case: Case) -> LineVerdict:
    """The verdict on a line whose driven pairs are known."""
    told = bool(case.line.cable.joins or case.line.motor.coils)
    if not case.can_be_right(as_told=False):
        if not case.possible and not case.unsteady:
            return _contradicted(case)
        return _no_go(case)
    if told and not case.can_be_right(as_told=True):
        if case.agreement.told():
            return _no_go_as_told(case)
        return _not_as_told(case)
    if not case.proven_right:
        return _cannot_tell(case)
    return _answer(case, Verdict.GO)


def _answer(
    case: Case,
    verdict: Verdict,
    findings: Sequence[Finding] = (),
    *,
    swaps: tuple[Swap, ...] = (),
    next_reading: NextReading | None = None,
    reasons: Sequence[str] = (),
) -> LineVerdict:
    return LineVerdict(
        case.line.name,
        verdict,
        tuple(findings),
        swaps,
        next_reading,
        tuple(reasons),
        len(case.possible),
        len(case.bad),
    )


def _cannot_tell(case: Case) -> LineVerdict:
    likely = weights(case.phases)
    reasons = [
        f"{len(case.possible)} of 52 ways in which the contacts can be joined are left, "
        f"and {len(case.bad)} of them would do harm."
    ]
    named: list[str] = []
    for parting in sorted(case.bad, key=lambda one: -likely[one]):
        for kind, contacts in sorted(features(parting, case.phases), key=lambda one: one[1]):
            text = f"{kind.title.lower()} ({_contacts(contacts)})"
            if text not in named:
                named.append(text)
    if named:
        reasons.append(f"Not ruled out, likeliest first: {'; '.join(named[:MOST_NAMED])}.")
    reasons += [
        f"The resistance between contacts {_contacts(pair)} is not proven."
        for pair in case.phases
        if pair not in case.proven
    ]
    return _answer(case, Verdict.CANNOT_TELL, next_reading=_next(case), reasons=reasons)


def _contacts(contacts: Sequence[int]) -> str:
    return " and ".join(map(str, contacts))


def _next(case: Case) -> NextReading | None:
    line = case.line
    allowed = coil_allowed(line, warmth(None, case.meter), through_cable=True)
    asked = at_board(line, states(case.possible, case.phases, case.proven), case.phases, allowed)
    read = {fact.nodes for fact in case.facts if fact.net.value == "board" and not fact.beeped}
    pair = None if asked is None or asked.between is None else tuple(sorted(asked.between))
    if pair not in read or asked is None:
        return asked
    if case.meter.leads_ohm is None:
        why = (
            "The reading is too near its limit: what the meter shows with its tips together has "
            "to be taken off."
        )
        return NextReading(line.name, "leads", "meter", None, None, why)
    why = "This meter is too coarse for a coil of so few ohms. Use a finer one, tips clean."
    return replace(asked, settles=None, why=why)


def _contradicted(case: Case) -> LineVerdict:
    found = Finding(CONTRADICTION, case.line.name)
    for i, fact in enumerate(case.facts):
        others = case.facts[:i] + case.facts[i + 1 :]
        if fact.reading is not None and possible_partings(case.line, others):
            asked = NextReading(
                case.line.name,
                "read",
                fact.reading.at,
                fact.reading.between,
                None,
                "Without this reading the others go together.",
            )
            return _answer(
                case,
                Verdict.CANNOT_TELL,
                [found],
                next_reading=asked,
                reasons=[found.kind.words],
            )
    return _answer(case, Verdict.CANNOT_TELL, [found], reasons=[found.kind.words])


def _not_as_told(case: Case) -> LineVerdict:
    found = Finding(NOT_AS_TOLD, case.line.name)
    return _answer(
        case,
        Verdict.CANNOT_TELL,
        [found],
        next_reading=NextReading(
            case.line.name,
            "look-up",
            "cable",
            None,
            None,
            "Follow each wire from plug to plug, and correct the description or the reading.",
        ),
        reasons=[found.kind.words],
    )


def _no_go(case: Case) -> LineVerdict:
    findings = measured_faults(case.line, case.facts, case.agreement, case.possible, case.phases)
    swaps, described = _swaps(case)
    if described:
        known = {finding.contacts for finding in findings}
        findings += tuple(f for f in _as_described(case) if f.contacts not in known)
    asked = _next(case) if len(case.possible) > 1 and not swaps else None
    if asked is None and not swaps and findings:
        asked = where_it_lies(case.line, findings[0].contacts, case.facts)
    return _answer(
        case,
        Verdict.NO_GO,
        (*findings, *_crossed(case, swaps, "described" if described else "measured")),
        swaps=swaps,
        next_reading=asked,
        reasons=[finding.kind.words for finding in findings[:1]],
    )


def _as_described(case: Case) -> list[Finding]:
    """What is wrong in the wiring as its owner described it. A contact that sits on a coil whose
    other end sits nowhere is not open itself: the other end is named."""
    told = case.agreement.told()
    found = [
        Finding(kind, case.line.name, contacts=contacts, known="described")
        for kind, contacts in shared({world.parting() for world in told}, case.phases)
    ]
    return [f for f in found if f.kind is not CONTACT_OPEN or _sits_nowhere(told, f.contacts[0])]


def _sits_nowhere(told: Sequence[World], contact: int) -> bool:
    return all(
        world.joins[contact - 1] not in coil.contacts for world in told for coil in world.winding
    )


def _no_go_as_told(case: Case) -> LineVerdict:
    swaps, _ = _swaps(case)
    findings = _as_described(case) or [Finding(DOES_NOT_SUIT, case.line.name, known="described")]
    return _answer(
        case,
        Verdict.NO_GO,
        (*findings, *_crossed(case, swaps, "described")),
        swaps=swaps,
        next_reading=_next(case),
        reasons=["As described the wiring would do harm."],
    )


def _swaps(case: Case) -> tuple[tuple[Swap, ...], bool]:
    """The swaps that mend a line, and whether they rest on its description."""
    world, ends = known_world(case.line, case.agreement, case.possible)
    found = None if world is None else fewest_swaps(case.line, world, case.phases, ends=ends)
    if found is None:
        return (), False
    end, steps = found
    return tuple(Swap(case.line.name, end, pair) for pair in steps), len(ends) > 1


def _crossed(case: Case, swaps: Sequence[Swap], known: str) -> list[Finding]:
    return [
        Finding(CONTACTS_CROSSED, case.line.name, swap.end, swap.contacts, known) for swap in swaps
    ]
