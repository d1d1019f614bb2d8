"""Every key that a result may hold has a name for people."""

import pytest

from plumbrise.explain import CAUSES
from plumbrise.explain.priors import PRIORS
from plumbrise.machine import STATIONS
from plumbrise.readings import KINDS
from plumbrise.report.answer import parameter_name
from plumbrise.report.headline import CAUSE_SENTENCES
from plumbrise.report.names import (
    CAUSE_PHRASES,
    FIGURE_NAMES,
    figure_name,
    side_word,
    station_name,
    test_title,
)

test_title.__test__ = False
KEYS = [
    "lost_motion",
    "take_up",
    "shortfall",
    "step_gain",
    "reversal_value",
    "repeatability",
    "accuracy",
    "mean_bidirectional",
    "systematic_deviation",
    "scale_error",
    "once_per_turn",
    "full_step_pattern",
    "home_range",
    "home_sd",
    "drift",
    "compliance",
    "far_side_lag",
    "side_difference",
]


@pytest.mark.parametrize("key", KEYS)
def test_every_figure_of_an_analysis_has_a_name_and_a_meaning(key):
    assert "_" not in FIGURE_NAMES[key].name
    assert FIGURE_NAMES[key].meaning


def test_no_figure_of_the_invented_session_goes_without_a_name(session):
    analysis = session[2]
    names = {figure.name for run in analysis.runs for figure in run.figures}
    names |= {each.figure.name for each in analysis.between}
    assert names <= set(FIGURE_NAMES)


def test_no_two_figures_share_a_name():
    names = [named.name for named in FIGURE_NAMES.values()]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("cause", CAUSES)
def test_every_cause_has_a_phrase_and_a_sentence(cause):
    assert CAUSE_PHRASES[cause][0].islower()
    assert CAUSE_SENTENCES[cause].count("{}") == 1


@pytest.mark.parametrize("station", STATIONS)
def test_every_station_is_told_in_words(station):
    words = station_name(station)
    assert "-" not in words
    assert words[0].islower()
    assert side_word(station)


@pytest.mark.parametrize("kind", KINDS)
def test_every_test_kind_has_a_title(kind):
    assert "-" not in test_title(kind) or kind == "warm-up"


def test_what_is_not_known_yet_is_shown_as_it_stands():
    assert figure_name("new_figure", "up") == "New figure, up"


@pytest.mark.parametrize("prior", PRIORS.values(), ids=lambda prior: prior.name)
def test_every_parameter_is_named_with_its_unit(prior):
    name, unit = parameter_name(f"{prior.name}_left")
    assert name.endswith(", left")
    assert unit in (prior.unit, "%")
    assert "_" not in name


def test_a_parameter_of_a_place_names_the_place():
    assert parameter_name("joint_stiffness_n_per_mm_frame-left") == (
        "joint stiffness, left upright",
        "N/mm",
    )
