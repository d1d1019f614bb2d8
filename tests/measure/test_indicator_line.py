"""The lines of an indicator: learnt, read, and refused when damaged."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.errors import InputError
from plumbrise.measure.indicator_line import from_template, learn, parse

FORMS = {
    "plain": "{:.3f}",
    "signed with unit": "{:+.3f} mm",
    "padded with zeros and a channel": "01A{:+010.3f}",
    "padded with blanks": "{:10.3f}mm",
    "state after it": "{:.2f} mm S",
    "text before it": "DATA: {:+.4f}",
}
COUNTS = st.integers(-99_999, 99_999)


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
@given(counts=st.lists(COUNTS, min_size=3, max_size=8, unique=True), later=COUNTS)
def test_a_learnt_pattern_reads_every_line_of_its_indicator(form, counts, later):
    places = int(form[form.index("f}") - 1])
    values = [count / 10**places for count in counts]
    pattern = learn([form.format(value) for value in values])
    for value in [*values, later / 10**places]:
        read = parse(pattern, form.format(value))
        # a width that every sample had is held: a wider line then holds no value, not a wrong one
        if read is None:
            assert pattern.length != len(form.format(value))
        else:
            assert read.mm == pytest.approx(value, abs=1e-9)
            assert read.resolution_mm == pytest.approx(10.0**-places)


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
@given(counts=st.lists(COUNTS, min_size=3, max_size=6, unique=True))
def test_a_learnt_pattern_can_be_written_down_and_given_again(form, counts):
    places = int(form[form.index("f}") - 1])
    pattern = learn([form.format(count / 10**places) for count in counts])
    assert from_template(pattern.template, length=pattern.length) == pattern


@given(
    count=st.integers(10_000, 999_999),
    lost=st.integers(0, 14),
)
def test_a_line_of_held_length_with_one_character_lost_holds_no_value(count, lost):
    samples = ["01A+00001.250 mm", "01A-00000.125 mm", "01A+00012.000 mm"]
    line = f"01A+{count / 1000:09.3f} mm"
    assert parse(learn(samples), line[:lost] + line[lost + 1 :]) is None


@given(cut=st.integers(1, 9))
def test_half_a_line_holds_no_value_or_the_whole_one(cut):
    pattern = from_template("{value:3} {unit}")
    read = parse(pattern, "+12.345 mm"[:cut])
    assert read is None


def test_two_lines_run_together_hold_no_value():
    pattern = learn(["1.250", "1.300", "-0.125"])
    assert parse(pattern, "1.2501.300") is None
    assert parse(pattern, "1.250 1.300") is None


def test_a_decimal_comma_is_read():
    assert parse(learn(["1,25", "1,30", "-0,05"]), "-12,75").mm == -12.75


def test_inches_become_millimetres_and_the_line_names_its_unit():
    pattern = learn(["0.0500 in", "0.0510 in", "0.0490 in"])
    assert parse(pattern, "0.1000 in").mm == pytest.approx(2.54)
    assert parse(pattern, "0.1000 mm").mm == pytest.approx(0.1)


def test_a_unit_that_the_lines_do_not_name_is_the_one_given():
    pattern = learn(["0.0500", "0.0510", "0.0490"], unit="inch")
    assert parse(pattern, "1.0000").mm == pytest.approx(25.4)


def test_an_indicator_that_counts_down_is_turned():
    pattern = learn(["1.250", "1.300", "1.350"], sign=-1)
    assert parse(pattern, "1.250").mm == -1.25


def test_blanks_between_sign_and_figures_are_part_of_the_number():
    assert parse(learn(["+  1.250", "-  0.125", "+ 12.000"]), "-  0.500").mm == -0.5


def test_letters_of_state_are_kept_apart_from_the_value():
    pattern = learn(["1.250 mm S", "1.260 mm M", "1.270 mm S"])
    assert parse(pattern, "1.255 mm M").state == "M"


def test_whole_counts_need_their_size():
    with pytest.raises(InputError, match="size of one count"):
        learn(["125", "130", "-5"])
    assert parse(learn(["125", "130", "-5"], count_mm=0.001), "-5").mm == -0.005


def test_a_damaged_first_sample_does_not_spoil_the_rest():
    samples = ["345 mm", "+12.346 mm", "+12.350 mm", "+12.360 mm", "+12.361 mm", "+12.4"]
    assert parse(learn(samples[:-1]), "-1.000 mm").mm == -1.0


@pytest.mark.parametrize(
    ("samples", "said"),
    [
        (["1.250", "1.300"], "3 lines or more"),
        (["1.250"] * 5, "different values"),
        (["ready", "ready", "go"], "lines with a number"),
        (["1.250 17", "1.260 18", "1.270 19"], "one number that varies"),
        (["1.25", "1.300", "7"], "look alike"),
        (["1.250 left", "1.260 right", "1.270 up"], "text that stays the same"),
    ],
)
def test_what_cannot_be_learnt_is_said(samples, said):
    with pytest.raises(InputError, match=said):
        learn(samples)


def test_a_unit_that_contradicts_the_lines_is_refused():
    with pytest.raises(InputError, match="lines in inch"):
        learn(["1.250 mm", "1.300 mm", "1.350 mm"], unit="inch")


@pytest.mark.parametrize(
    "template", ["", "no value", "{value:2}{value:2}", "{value:9}", "{when} {value:2}", "{value"]
)
def test_a_template_that_holds_no_single_value_is_refused(template):
    with pytest.raises(InputError, match="pattern"):
        from_template(template)


@given(st.text(max_size=40))
def test_any_text_holds_no_value_or_a_finite_one(text):
    read = parse(from_template("{state} {value:2} {unit}"), text)
    assert read is None or abs(read.mm) < 1e8


@given(st.lists(st.text(max_size=20), max_size=6))
def test_any_samples_are_learnt_or_refused_in_words(samples):
    try:
        pattern = learn(samples)
    except InputError:
        return
    assert any(parse(pattern, sample.replace("\0", "").strip("\r\n")) for sample in samples)
