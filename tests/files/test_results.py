"""Results as plain values hold what their schemas promise, and nothing that JSON cannot."""

import json
from dataclasses import replace
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator, ValidationError, validate

from plumbrise.analyse.results import (
    Analysis,
    BetweenRuns,
    CannotTell,
    CrossCheck,
    Figure,
    Oddity,
    Part,
    RunAnalysis,
    Target,
)
from plumbrise.errors import InputError
from plumbrise.explain.results import (
    CauseFinding,
    Explanation,
    Force,
    GroupFinding,
    HowKnown,
    Interval,
    LinkLoss,
    NextTest,
    RunFit,
    SetFinding,
    Side,
    Slip,
    SplitBy,
    Unexplained,
)
from plumbrise.files import machine_dict, schema
from plumbrise.files.results import analysis_dict, explanation_dict
from plumbrise.files.schemas import MADE, SCHEMAS, schema_text
from plumbrise.machine import ARRANGEMENTS, STATIONS, blank
from plumbrise.quantity import Measured, Unit
from plumbrise.readings import Reading, Run
from plumbrise.readings.kinds import REVERSAL

LOST = Figure(
    "lost_motion",
    Measured(0.21, 0.006, Unit.MM, dof=9),
    at_mm=10.0,
    budget=(Part("gauge resolution", 0.0029, inf, "B"), Part("scatter", 0.005, 9, "A")),
)
RUN = Run(
    name="a",
    kind=REVERSAL,
    station=STATIONS["gantry-left"],
    readings=(
        Reading(seq=0, target_mm=10, reading_mm=0.0, approach="up"),
        Reading(seq=1, target_mm=10, reading_mm=None, approach="down"),
    ),
)
ANALYSIS = Analysis(
    runs=(
        RunAnalysis(
            run=RUN,
            figures=(LOST, replace(LOST, value=Measured(0.002, 0.001, Unit.RATIO))),
            cannot_tell=(CannotTell("repeatability", "one pass", "a second pass"),),
            oddities=(Oddity("misread", "Row 3 is 1 mm off.", (1,), 1.0, True),),
            targets=(Target(10.0, 0.0, None, None, None, None, 1, 0),),
            mended_mm=(0.0, None),
        ),
    ),
    between=(
        BetweenRuns(("a", "b"), LOST),
        BetweenRuns(("a", "c"), CannotTell("far_side_lag", "one side", "the other side")),
    ),
    cross_checks=(
        CrossCheck("Loop and drag agree.", LOST.value, None, None),
        CrossCheck("Loop and drag differ.", LOST.value, LOST.value, False),
    ),
    oddities=(),
    remarks=("Decimal commas were read as points.",),
)
LOSS = {"gantry-left": Interval(0.19, 0.17, 0.21), "gantry-right": Interval(0.2, 0.1, 0.3)}
EXPLANATION = Explanation(
    causes=(
        CauseFinding(
            "motor-seat",
            0.97,
            LOSS,
            {"seat_stiffness_n_per_mm": Interval(28, 24, 33)},
            True,
            ("a",),
            (),
        ),
    ),
    links=(LinkLoss("seat", "left", LOSS, HowKnown.SHARED, ("coupling",), LOSS),),
    sides=(Side("gantry-left", Interval(0.19, 0.17, 0.21), True),),
    sets=(SetFinding(("motor-seat",), 0.95),),
    groups=(
        GroupFinding(("motor-seat", "coupling-stretch"), 0.98, LOSS, SplitBy("reversal", "screw")),
        GroupFinding(("nut-play",), 0.5, LOSS, None),
    ),
    unexplained=Unexplained(0.004, 0.0045, "none"),
    next_tests=(NextTest("dead-weight", "screw", 0.8, 5, "It parts seat and coupling."),),
    fits=(RunFit("a", "gantry-left", (0.0,), (0.01,), (0.005,), (1.0,), (0,)),),
    slips=(Slip("a", 1, "A turned sign."),),
    forces=(Force("drag", "gantry-left", Interval(3, 2, 4), False),),
    doubts=("The lead is taken as given.",),
)


def _as_json(value):
    return json.loads(json.dumps(value, allow_nan=False))


@pytest.mark.parametrize("name", SCHEMAS)
def test_a_schema_is_a_schema(name):
    Draft202012Validator.check_schema(schema(name))


@pytest.mark.parametrize("name", MADE)
def test_a_shipped_schema_is_the_one_the_program_would_make_now(name):
    assert schema_text(schema(name)) == schema_text(MADE[name]())


def test_another_schema_is_refused_by_name():
    with pytest.raises(InputError, match="explanation"):
        schema("weather")


def test_an_analysis_meets_its_schema():
    validate(_as_json(analysis_dict(ANALYSIS)), schema("analysis"))


def test_an_explanation_meets_its_schema():
    validate(_as_json(explanation_dict(EXPLANATION)), schema("explanation"))


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_a_machine_meets_its_schema(arrangement):
    validate(_as_json(machine_dict(blank(arrangement))), schema("machine"))


@pytest.mark.parametrize(
    "wrong",
    [
        {"arrangement": "five-screw"},
        {"arrangement": "one-screw", "screw": {"lead_mm": 0}},
        {"arrangement": "one-screw", "screw": {"lead_in": 1}},
        {},
    ],
)
def test_the_schema_of_the_machine_refuses_what_the_reader_refuses(wrong):
    with pytest.raises(ValidationError):
        validate(wrong, schema("machine"))


def test_a_row_of_readings_meets_the_schema_of_the_table():
    row = {
        "run": "a",
        "test": "hold",
        "station": "nut",
        "seq": 0,
        "target_mm": 5,
        "reading_mm": None,
    }
    validate([row], schema("readings"))
    with pytest.raises(ValidationError):
        validate([{**row, "station": "roof"}], schema("readings"))


def test_infinite_degrees_of_freedom_are_null():
    figures = analysis_dict(ANALYSIS)["runs"][0]["figures"]
    assert (figures[0]["dof"], figures[1]["dof"]) == (9, None)


def test_the_half_width_is_students_factor_times_the_standard_uncertainty():
    figure = analysis_dict(ANALYSIS)["runs"][0]["figures"][0]
    # GUM table G.2: t at 95 % for 9 degrees of freedom is 2.26
    assert figure["expanded"] == pytest.approx(2.26 * figure["u"], rel=2e-3)


def test_a_comparison_of_runs_is_a_figure_or_the_reason_why_not():
    told, untold = analysis_dict(ANALYSIS)["between"]
    assert told["figure"]["name"] == "lost_motion"
    assert told["cannot_tell"] is None
    assert untold["figure"] is None
    assert untold["cannot_tell"]["need"] == "the other side"


def test_the_loss_of_a_cause_is_a_number_by_station_beside_its_interval():
    cause = explanation_dict(EXPLANATION)["causes"][0]
    assert cause["loss_mm"] == {"gantry-left": 0.19, "gantry-right": 0.2}
    assert cause["loss_interval_mm"]["gantry-left"]["level"] == 0.9
    assert cause["parameters"]["seat_stiffness_n_per_mm"]["high"] == 33


@given(st.sampled_from([nan, inf, -inf, 1e308]))
def test_what_json_cannot_say_is_null(number):
    figure = replace(LOST, value=Measured(number, 1.0, Unit.MM), at_mm=number)
    odd = replace(ANALYSIS, between=(BetweenRuns(("a",), figure),))
    validate(_as_json(analysis_dict(odd)), schema("analysis"))
