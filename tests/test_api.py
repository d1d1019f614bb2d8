"""Plumbrise from Python, as a notebook uses it."""

import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

import plumbrise
from plumbrise.demo import scenario
from plumbrise.errors import InputError, InputErrors
from plumbrise.readings import scale_of


def stop(_first) -> bool:
    return False


@pytest.fixture(scope="module")
def example():
    return scenario()


@pytest.fixture(scope="module")
def answer(example):
    """The first answer: the search is stopped as soon as there is one."""
    return plumbrise.explain(example.machine, example.readings, progress=stop)


def test_importing_plumbrise_loads_no_numerics():
    asked = "import sys, plumbrise; print(*(m for m in ('numpy', 'scipy', 'numba', 'typst', 'jinja2') if m in sys.modules))"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""


def test_the_verbs_stay_verbs_after_their_rooms_were_imported():
    import plumbrise.analyse
    import plumbrise.explain
    import plumbrise.report

    assert all(callable(getattr(plumbrise, v)) for v in ("analyse", "explain", "report"))


@pytest.mark.parametrize("name", plumbrise.__all__)
def test_every_public_name_is_there_and_listed(name):
    assert getattr(plumbrise, name) is not None
    assert name in dir(plumbrise)


def test_a_name_that_is_not_there_is_an_attribute_error():
    with pytest.raises(AttributeError, match="no attribute 'forsee'"):
        plumbrise.forsee  # noqa: B018


def test_machine_and_scale_give_the_same_analysis(example):
    by_machine = plumbrise.analyse(example.machine, example.readings)
    by_scale = plumbrise.analyse(scale_of(example.machine), example.readings)
    assert str(by_machine) == str(by_scale)


def test_an_answer_prints_as_text_with_its_headline_first(answer):
    assert answer.headline in str(answer).splitlines()[0]


def test_the_same_seed_gives_the_same_answer(example, answer):
    again = plumbrise.explain(example.machine, example.readings, seed=0, progress=stop)
    assert again.result == answer.result


def test_a_notebook_shows_drawing_and_words(answer):
    assert ElementTree.fromstring(answer._repr_svg_()).tag.endswith("svg")
    shown = answer._repr_html_()
    assert "<svg" in shown
    assert "What stays unsure" in shown


def test_answers_turn_into_plain_dicts(example, answer):
    told = answer.to_dict()
    assert [c["cause"] for c in told["causes"]] == [c.cause for c in answer.result.causes]
    assert plumbrise.analyse(example.machine, example.readings).to_dict()["version"] == 1


def test_a_report_is_written_as_its_name_says(answer, tmp_path):
    page = plumbrise.report(answer, tmp_path / "r.html", when="2026-11-25")
    assert answer.headline in page.read_text(encoding="utf-8").replace("\xa0", " ")
    paper = plumbrise.report(answer, tmp_path / "r.pdf", when="2026-11-25", paper="letter")
    assert paper.read_bytes().startswith(b"%PDF")


def test_another_ending_is_refused(answer, tmp_path):
    with pytest.raises(InputError, match=r"\.html or \.pdf"):
        plumbrise.report(answer, tmp_path / "r.docx", when="2026-11-25")


def test_a_session_is_read_from_its_two_files(example, tmp_path):
    from plumbrise.files import write_machine, write_readings

    (tmp_path / "m.toml").write_text(write_machine(example.machine), encoding="utf-8")
    (tmp_path / "r.csv").write_text(write_readings(example.readings), encoding="utf-8")
    machine = plumbrise.read_machine(tmp_path / "m.toml")
    readings = plumbrise.read_readings(str(tmp_path / "r.csv"), machine)
    assert machine.arrangement == example.machine.arrangement
    assert readings.count == example.readings.count


def test_a_machine_file_with_a_fault_names_the_file(tmp_path):
    path: Path = tmp_path / "shed.toml"
    path.write_text('arrangement = "four-screw"\n', encoding="utf-8")
    with pytest.raises(InputErrors, match=r"shed\.toml"):
        plumbrise.read_machine(path)


def test_a_part_is_sized_by_the_names_of_its_options():
    beam = plumbrise.size("beam", case="cantilever", span_mm=300, force_n=10)
    assert beam["bending_sag_mm"] < beam["sag_mm"]
    assert beam.to_dict()["kind"] == "beam"
    assert "F L³ / (3 E I)" in str(beam)
    assert "F L³ / (3 E I)" in beam._repr_html_()


def test_a_part_that_cannot_be_sized_says_why():
    with pytest.raises(InputErrors, match="span_mm"):
        plumbrise.size("beam", span_mm=0)
    with pytest.raises(InputError, match="kind"):
        plumbrise.size("wheel")


@pytest.fixture(scope="module")
def forecast(answer):
    from plumbrise.foresee import Print

    return plumbrise.foresee(answer, Print(layers=4))


def test_a_forecast_is_words_figures_and_a_drawing(forecast):
    assert "will print" in str(forecast).splitlines()[0]
    assert len(forecast.to_dict()["layers"]) == 4
    ElementTree.fromstring(forecast._repr_svg_())


def test_a_print_after_a_change_is_foretold_beside_what_it_is_now(answer, forecast):
    from plumbrise.foresee import Print

    then = plumbrise.foresee(answer, Print(layers=4), changes=["thrust-bearing"])
    assert then.result.before.layers == forecast.result.layers
    assert then.to_dict()["changes"] == ["thrust-bearing"]
    assert "After: thrust bearing" in str(then)
    with pytest.raises(InputError, match="redesign --list"):
        plumbrise.foresee(answer, changes=["magic"])


def test_bands_of_a_measured_spacing_are_laid_at_what_fits():
    found = plumbrise.what_fits(1.6)
    assert "lead of 8 mm" in str(found)
    assert found.to_dict()["alike"]


def test_a_forecast_stands_in_the_report_it_is_given_to(answer, forecast, tmp_path):
    path = plumbrise.report(answer, tmp_path / "told.html", when="2026-11-25", forecast=forecast)
    assert 'id="foresee"' in path.read_text(encoding="utf-8")


def test_a_harness_is_judged_from_its_file(tmp_path):
    from importlib.resources import files

    path = tmp_path / "harness.toml"
    path.write_bytes((files("plumbrise.demo") / "harness.toml").read_bytes())
    judged = plumbrise.wiring(path)
    assert judged.to_dict()["verdict"] == str(judged.result.verdict)
    assert str(judged)
    ElementTree.fromstring(judged._repr_svg_())
