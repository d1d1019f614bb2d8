"""Explanations of made-up sessions whose cause is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from plumbrise.explain import CAUSES, HowKnown, explain
from plumbrise.explain.causes import causes_of
from plumbrise.explain.priors import CHANCE
from plumbrise.machine import ARRANGEMENTS, ONE_SCREW, PerSide, blank
from plumbrise.machine import description as part
from plumbrise.readings import Readings


def probability(explanation, cause):
    return next(c.probability for c in explanation.causes if c.cause == cause)


def group(explanation, cause):
    return next(g for g in explanation.groups if cause in g.causes and len(g.causes) > 1)


def test_a_sound_axis_is_accused_of_nothing(answer):
    seen = [c for c in answer("sound").causes if c.could_be_seen]
    assert max(c.probability for c in seen) < 0.5


@pytest.mark.parametrize(
    ("session", "cause"), [("soft coupling", "coupling-stretch"), ("racking", "racking")]
)
def test_a_clear_cause_is_named_first(answer, session, cause):
    found = answer(session)
    assert found.causes[0].cause == cause
    assert found.causes[0].probability > 0.75  # as sure as the map of such a session gets
    assert found.sets[0].causes == (cause,)


def test_the_loss_of_a_soft_coupling_is_the_couplings(answer):
    links = {link.link: link for link in answer("soft coupling").links if link.side == "left"}
    losses = {name: link.loss_mm["gantry-left"].estimate for name, link in links.items()}
    assert losses["coupling"] > 3 * max(losses[name] for name in losses if name != "coupling")
    assert links["coupling"].known is HowKnown.MEASURED


def test_the_interval_of_a_soft_coupling_holds_its_stiffness(answer):
    cause = answer("soft coupling").causes[0]
    stiffness = cause.parameters["coupling_stiffness_n_per_mm_left"]
    assert stiffness.low < 22.0 < stiffness.high


def test_from_the_gantry_a_soft_link_is_known_only_as_one_of_its_group(answer):
    found = answer("soft coupling, gantry only")
    springs = group(found, "coupling-stretch")
    assert {"motor-seat", "coupling-stretch", "bracket-flex"} <= set(springs.causes)
    members = [probability(found, cause) for cause in springs.causes]
    assert max(members) <= springs.probability + 1e-12
    assert max(members) < 0.9
    assert springs.probability > 0.6
    assert springs.split_by is not None


def test_racking_shows_from_the_gantry_alone(answer):
    assert probability(answer("racking, gantry only"), "racking") > 0.5


def test_a_five_minute_table_states_no_cause(answer):
    found = answer("soft coupling, five minutes")
    assert max(c.probability for c in found.causes) < 0.9
    assert found.sides[0].measured
    assert found.sides[0].loss_mm.estimate > 0.1
    assert found.next_tests
    assert any("short table" in doubt for doubt in found.doubts)


@pytest.mark.parametrize("session", ["sound", "soft coupling", "racking, gantry only"])
def test_links_add_up_to_what_their_side_loses(answer, session):
    found = answer(session)
    for side in found.sides:
        parts = [link.loss_mm[side.station] for link in found.links if side.station in link.loss_mm]
        total = sum(part.estimate for part in parts)
        assert total == pytest.approx(side.loss_mm.estimate, abs=1e-9)


def test_what_no_test_could_show_stays_at_its_prior(answer):
    found = answer("soft coupling")
    unseen = {c.cause: c for c in found.causes if not c.could_be_seen}
    assert {"home-scatter", "warm-drift", "frame-flex", "tight-spot"} <= set(unseen)
    assert all(c.probability == pytest.approx(CHANCE, abs=1e-9) for c in unseen.values())
    assert all(c.against_it for c in unseen.values())


def test_every_cause_that_can_occur_is_weighed_once(answer):
    weighed = [c.cause for c in answer("sound").causes]
    assert sorted(weighed) == sorted(causes_of(ONE_SCREW))
    assert set(CAUSES) - set(weighed) == {"out-of-step", "tie-slack"}


def test_next_tests_stand_by_bits_a_minute_and_say_what_readings_mean(answer):
    tests = answer("soft coupling, gantry only").next_tests
    rates = [test.gain_bits / test.minutes for test in tests]
    assert rates == sorted(rates, reverse=True)
    assert all(test.why and test.meanings for test in tests)


def test_fits_hold_every_reading_beside_what_was_computed(answer):
    fits = answer("sound").fits
    for fit in fits:
        sizes = {len(fit.read_mm), len(fit.computed_mm), len(fit.scatter_mm), len(fit.readings)}
        assert len(sizes) == 1
        assert np.allclose(fit.read_mm, fit.computed_mm, atol=0.03)


def test_a_sound_session_leaves_nothing_over(answer):
    left = answer("sound").unexplained
    assert left.verdict == "none"
    assert left.rms_mm < 2 * left.expected_rms_mm


def test_the_zero_of_the_gauge_does_not_matter(made):
    readings = made.read_off(made.SOFT_COUPLING, made.GANTRY)
    runs = tuple(
        replace(
            run,
            readings=tuple(replace(r, reading_mm=r.reading_mm + 0.125 * k) for r in run.readings),
        )
        for k, run in enumerate(readings.runs)
    )
    before, after = made.explained(readings), made.explained(Readings(runs))
    for cause in causes_of(ONE_SCREW):
        assert probability(after, cause) == pytest.approx(probability(before, cause), abs=0.02)


def test_the_order_of_the_runs_does_not_matter(made):
    readings = made.read_off(made.SOFT_COUPLING, made.GANTRY)
    before = made.explained(readings)
    after = made.explained(Readings(readings.runs[::-1]))
    for cause in causes_of(ONE_SCREW):
        assert probability(after, cause) == pytest.approx(probability(before, cause), abs=0.15)


def test_the_same_chance_gives_the_same_answer(made):
    readings = made.read_off(made.SOUND, made.FIVE_MINUTES)
    assert made.explained(readings) == made.explained(readings)


def test_a_first_answer_comes_early_and_the_person_may_stop_there(made):
    readings = made.read_off(made.SOUND, made.GANTRY)
    seen = []

    def stop(first):
        seen.append(first)
        return False

    last = explain(made.MACHINE, readings, rng=np.random.default_rng(0), progress=stop)
    assert len(seen) == 1
    assert not seen[0].complete
    assert not last.complete
    assert len(last.causes) == len(causes_of(ONE_SCREW))


def test_a_slipped_sign_is_turned_back_and_told(made):
    readings = made.read_off(made.SOUND, made.GANTRY)
    first = readings.runs[0]
    rows = list(first.readings)
    zero = rows[0].reading_mm
    rows = [replace(r, reading_mm=r.reading_mm - zero) for r in rows]
    rows[12] = replace(rows[12], reading_mm=-rows[12].reading_mm)
    slipped = Readings((replace(first, readings=tuple(rows)), *readings.runs[1:]))
    found = made.explained(slipped)
    assert any(slip.run == first.name and slip.reading == 12 for slip in found.slips)


@pytest.mark.parametrize("lost", [0.16, 0.32])
def test_a_fall_of_whole_cycles_is_lost_steps(made, lost):
    readings = made.read_off(made.SOUND, made.EVENING)
    runs = []
    for run in readings.runs:
        rows = run.readings
        if run.name in ("fine-steps gantry-left", "fine-steps nut", "reversal gantry-right"):
            rows = tuple(
                replace(r, reading_mm=r.reading_mm - lost) if i >= 7 else r
                for i, r in enumerate(rows)
            )
        runs.append(replace(run, readings=rows))
    assert probability(made.explained(Readings(tuple(runs))), "lost-steps") > 0.7


def too_little(made):
    one = replace(made.GANTRY[0], readings=made.GANTRY[0].readings[:1])
    still = tuple(replace(r, reading_mm=0.0) for r in made.GANTRY[0].readings)
    check = next(run for run in made.EVENING if run.kind.id == "gauge-check")
    block = tuple(replace(r, reading_mm=r.target_mm) for r in check.readings)
    return {
        "nothing": (),
        "one reading": (replace(one, readings=(replace(one.readings[0], reading_mm=0.0),)),),
        "no values": made.GANTRY,
        "all zeros": (replace(made.GANTRY[0], readings=still),),
        "only a gauge check": (replace(check, readings=block),),
    }


@pytest.mark.parametrize(
    "name", ["nothing", "one reading", "no values", "all zeros", "only a gauge check"]
)
def test_too_little_is_answered_with_cannot_tell_yet(made, name):
    found = made.explained(Readings(too_little(made)[name]))
    assert found.unexplained.verdict == "cannot tell"
    assert all(c.probability == pytest.approx(CHANCE) for c in found.causes)
    assert found.doubts


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_a_short_table_of_every_arrangement_is_explained(made, arrangement):
    machine = replace(blank(arrangement), gauge=part.Gauge(resolution_mm=0.001))
    body = machine.arrangement.body
    plan = tuple(
        made.stairs("coarse-steps", f"{body}-{end}", 1.0, 8) for end in machine.arrangement.ends
    )
    readings = made.read_off(made.sound(machine), plan)
    found = made.explained(readings, machine)
    assert len(found.sides) == len(machine.arrangement.ends)
    assert max(c.probability for c in found.causes) < 0.9


def test_without_a_lead_what_needs_it_is_not_told(made):
    machine = replace(made.MACHINE, screw=PerSide(part.Screw()))
    found = made.explained(made.read_off(made.SOUND, made.GANTRY), machine)
    unseen = {c.cause for c in found.causes if not c.could_be_seen}
    assert {"screw-bend", "microstep-error"} <= unseen
    assert any("lead is not known" in doubt for doubt in found.doubts)


def test_readings_that_slope_are_not_accused_of_slipped_signs():
    """Half of every step arrives: each reading lies in line with its neighbours."""
    from plumbrise.machine import STATIONS
    from plumbrise.readings import KINDS, Reading, Run

    rows = tuple(
        Reading(seq=i, target_mm=float(i), reading_mm=0.5 * i, approach="up" if i else "down")
        for i in range(9)
    )
    run = Run(
        name="half",
        kind=KINDS["coarse-steps"],
        station=STATIONS["gantry-left"],
        readings=rows,
    )
    found = explain(blank("one-screw"), Readings((run,)), rng=np.random.default_rng(0))
    assert not [slip for slip in found.slips if "sign" in slip.words]


WHOLE_WAY = [(10.0 + 30.0 * i, "up") for i in range(7)] + [
    (190.0 - 30.0 * i, "down") for i in range(7)
]


def test_a_doubt_of_the_lead_as_told_makes_an_error_of_it_no_fault(made):
    """`lead_u` is a share of the lead: 0.4 % is then expected, 0.01 % is not."""
    check = made.told("gauge-check", "block", [(2.0 * i, "up") for i in range(5)])
    plan = (*made.GANTRY, check, made.told("full-travel", "gantry-left", WHOLE_WAY))
    readings = made.read_off(made.SOUND, plan)
    travel = readings.runs[-1]
    rows = tuple(replace(r, reading_mm=r.reading_mm + 0.004 * r.target_mm) for r in travel.readings)
    off = replace(readings, runs=(*readings.runs[:-1], replace(travel, readings=rows)))
    chances = []
    for share in (0.0001, 0.004):
        screw = PerSide(replace(made.MACHINE.screw.common, lead_u=share))
        found = made.explained(off, replace(made.MACHINE, screw=screw))
        chances.append(probability(found, "lead-error"))
    assert chances[1] < 0.7 * chances[0]
