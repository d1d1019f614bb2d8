"""An indicator that misbehaves: what is told, and that no value is invented or lost."""

import time

import pytest

from plumbrise.errors import InputError
from plumbrise.hardware import (
    Indicator,
    NotTaken,
    Taken,
    Trouble,
    open_port,
    take,
    take_together,
)
from plumbrise.measure.indicator_line import from_template
from plumbrise.measure.stillness import StillnessRule

PATTERN = from_template("{value:3} mm")
RULE = StillnessRule(within_mm=0.001, values=5, seconds=0.1, gap_s=1.0)


@pytest.fixture
def listen():
    """Open the near side of a stand-in as an indicator."""
    opened = []

    def start(far, pattern=PATTERN, **options):
        opened.append(Indicator(open_port(far.name, baud=9600), pattern, **options))
        return opened[-1]

    yield start
    for one in opened:
        one.close()


def until(said, seconds=5.0):
    """Wait for a fact of another thread; the fact itself, or its last answer in vain."""
    ends = time.monotonic() + seconds
    while not (answer := said()) and time.monotonic() < ends:
        time.sleep(0.01)
    return answer


def test_a_standing_indicator_gives_its_value(stand_in_indicator, listen):
    indicator = listen(stand_in_indicator(show=1.25))
    taken = take(indicator, RULE)
    assert isinstance(taken, Taken)
    assert taken.mm == 1.25
    assert indicator.health().trouble is None


def test_a_moving_indicator_gives_none_and_says_so(stand_in_indicator, listen):
    indicator = listen(stand_in_indicator(show=lambda seconds: seconds))
    none = take(indicator, RULE, timeout_s=0.5)
    assert isinstance(none, NotTaken)
    assert none.trouble is None
    assert "Not still" in none.words


def test_a_value_is_taken_only_after_it_has_come_to_rest(stand_in_indicator, listen):
    rests_at_s = 0.4
    far = stand_in_indicator(show=lambda seconds: min(seconds, rests_at_s) * 2)
    taken = take(listen(far), RULE)
    assert isinstance(taken, Taken)
    assert taken.mm == 0.8


def test_what_came_before_the_call_is_not_taken(stand_in_indicator, listen):
    far = stand_in_indicator(show=1.0)
    indicator = listen(far)
    assert isinstance(take(indicator, RULE), Taken)
    far.show = 2.0
    time.sleep(0.05)
    assert take(indicator, RULE).mm == 2.0


def test_every_line_of_a_burst_is_read_in_order(line_end, listen):
    far = line_end()
    indicator = listen(far)
    far.send(b"half\r\n" + b"".join(b"%+.3f mm\r\n" % (i / 1000) for i in range(2000)))
    assert until(lambda: indicator.number == 2000)
    values = [heard.value.mm for heard in indicator.since(0)]
    assert values == [i / 1000 for i in range(2000)]
    assert indicator.health().counts.cut_off == 1


def test_lines_that_nobody_fetched_are_counted_when_they_are_dropped(line_end, listen):
    far = line_end()
    indicator = listen(far)
    for _ in range(10):
        far.send(b"+1.250 mm\r\n" * 500)
    assert until(lambda: indicator.health().counts.values == 4999)
    assert indicator.health().counts.dropped == 4999 - len(indicator.since(0))
    assert "not fetched in time" in indicator.health().words


@pytest.mark.parametrize("end", [b"\r", b"\n", b"\r\n", b"\n\r"])
def test_any_line_end_will_do(line_end, listen, end):
    far = line_end()
    indicator = listen(far)
    for value in (b"cut", b"+1.250 mm", b"-0.125 mm"):
        far.send(value + end)
    assert until(lambda: indicator.number == 2)
    assert [heard.value.mm for heard in indicator.since(0)] == [1.25, -0.125]


def test_lines_that_come_in_halves_are_put_together(line_end, listen):
    far = line_end()
    indicator = listen(far)
    for piece in (b"cut\r", b"\n+1.", b"2", b"50 m", b"m\r", b"\n+2.000 mm\r\n"):
        far.send(piece)
        time.sleep(0.03)
    assert until(lambda: indicator.number == 2)
    assert [heard.value.mm for heard in indicator.since(0)] == [1.25, 2.0]


def test_garbage_between_is_counted_and_gives_no_value(stand_in_indicator, listen):
    def spoil(number, line):
        return b"\xfe\x81\x03\r\n" + line if number % 5 == 0 else line

    far = stand_in_indicator(show=1.25, spoil=spoil)
    indicator = listen(far)
    assert take(indicator, RULE).mm == 1.25
    assert until(lambda: indicator.health().counts.garbled > 3)
    health = indicator.health()
    assert health.trouble is None
    assert "damaged" in health.words
    assert {heard.value.mm for heard in indicator.since(0)} == {1.25}


def test_nulls_between_do_no_harm(stand_in_indicator, listen):
    far = stand_in_indicator(spoil=lambda _, line: b"\0\0" + line[:3] + b"\0" + line[3:])
    indicator = listen(far)
    assert take(indicator, RULE).mm == 1.25
    assert indicator.health().counts.nulls > 0


def test_very_long_lines_are_left_out(stand_in_indicator, listen):
    def spoil(number, line):
        return b"9" * 3000 + b"\r\n" + line if number % 4 == 0 else line

    indicator = listen(stand_in_indicator(spoil=spoil))
    assert take(indicator, RULE).mm == 1.25
    assert until(lambda: indicator.health().counts.overlong > 0)


def test_lines_cut_short_give_no_value(stand_in_indicator, listen):
    def spoil(number, line):
        return line[: number % 8] + b"\r\n" if number % 2 else line

    indicator = listen(stand_in_indicator(spoil=spoil))
    assert take(indicator, RULE).mm == 1.25
    assert {heard.value.mm for heard in indicator.since(0)} == {1.25}


@pytest.mark.parametrize("ratio", [0.125, 0.25, 0.5, 2.0, 4.0, 8.0])
def test_a_wrong_baud_rate_is_recognised_and_gives_no_value(
    stand_ins, stand_in_indicator, listen, ratio
):
    far = stand_in_indicator(spoil=lambda _, line: stand_ins.at_wrong_baud(line, ratio))
    indicator = listen(far, silence_s=0.5)
    assert until(lambda: indicator.health().trouble) is Trouble.WRONG_BAUD
    none = take(indicator, RULE, timeout_s=0.3)
    assert none.trouble is Trouble.WRONG_BAUD
    assert "baud" in none.words, none.words
    assert indicator.number == 0


def test_bytes_that_never_end_a_line_are_a_wrong_baud_rate_too(stand_in_indicator, listen):
    far = stand_in_indicator(spoil=lambda *_: b"\xf8\x9e\xe6\x98" * 8)
    indicator = listen(far, silence_s=0.2)
    assert until(lambda: indicator.health().trouble) is Trouble.WRONG_BAUD


def test_whole_lines_of_another_form_ask_for_a_new_pattern(stand_in_indicator, listen):
    indicator = listen(stand_in_indicator(form="{:.2f} in\r\n"))
    assert until(lambda: indicator.health().trouble) is Trouble.WRONG_PATTERN
    assert "learn" in indicator.health().words


def test_silence_is_told_after_its_time_and_ends_with_the_next_line(line_end, listen):
    far = line_end()
    indicator = listen(far, silence_s=0.2)
    far.send(b"cut\r\n+1.250 mm\r\n")
    assert until(lambda: indicator.number == 1)
    assert until(lambda: indicator.health().trouble) is Trouble.SILENT
    none = take(indicator, RULE, timeout_s=0.3)
    assert none.trouble is Trouble.SILENT
    assert "cable" in none.words
    far.send(b"+1.250 mm\r\n")
    assert until(lambda: indicator.health().trouble is None)


def test_a_pull_in_mid_line_is_told_and_the_half_line_gives_no_value(line_end, listen):
    far = line_end()
    indicator = listen(far)
    far.send(b"cut\r\n+1.250 mm\r\n+9.9")
    assert until(lambda: indicator.number == 1)
    time.sleep(0.1)
    far.unplug()
    assert until(lambda: indicator.health().trouble) is Trouble.LOST
    assert "cut" in indicator.health().words
    assert [heard.value.mm for heard in indicator.since(0)] == [1.25]
    none = take(indicator, RULE, timeout_s=5.0)
    assert none.trouble is Trouble.LOST
    assert none.last_mm == 1.25


def test_an_indicator_that_waits_to_be_asked_is_asked(stand_in_indicator, listen):
    far = stand_in_indicator(ask=b"?\r", every_s=0.0)
    indicator = listen(far, ask=b"?\r", ask_every_s=0.01)
    assert take(indicator, RULE).mm == 1.25
    assert far.asked > 0
    assert len(far.sent) == far.asked


def test_an_echo_of_the_request_is_no_damaged_line(stand_in_indicator, listen):
    far = stand_in_indicator(ask=b"?\r", every_s=0.0, echo=True)
    indicator = listen(far, ask=b"?\r", ask_every_s=0.01)
    assert take(indicator, RULE).mm == 1.25
    counts = indicator.health().counts
    assert counts.echoes > 0
    assert counts.unfit == 0


def test_a_lost_answer_is_asked_for_again(stand_in_indicator, listen):
    far = stand_in_indicator(
        ask=b"?\r", every_s=0.0, spoil=lambda number, line: None if number % 3 == 0 else line
    )
    indicator = listen(far, ask=b"?\r", ask_every_s=0.01, answer_s=0.05)
    assert take(indicator, RULE).mm == 1.25


def test_two_indicators_are_taken_at_rest_together(stand_in_indicator, listen):
    left = listen(stand_in_indicator(show=1.25))
    right = listen(stand_in_indicator(show=lambda seconds: min(seconds, 0.5)))
    found = take_together({"left": left, "right": right}, RULE)
    assert (found["left"].mm, found["right"].mm) == (1.25, 0.5)
    assert abs(found["left"].still.to_s - found["right"].still.to_s) < RULE.gap_s


def test_the_value_of_one_is_not_lost_with_the_other(stand_in_indicator, listen):
    far = stand_in_indicator(show=3.0)
    left, right = listen(stand_in_indicator(show=1.25)), listen(far)
    far.unplug()
    found = take_together({"left": left, "right": right}, RULE)
    assert found["left"].mm == 1.25
    assert found["right"].trouble is Trouble.LOST


def test_a_port_that_is_not_there_is_told_in_words():
    with pytest.raises(InputError, match="port: 'no-such-port'"):
        open_port("no-such-port", baud=9600)


@pytest.mark.parametrize("wrong", [{"baud": 3}, {"baud": 9600, "frame": "9X1"}])
def test_settings_that_cannot_be_are_refused(wrong):
    with pytest.raises(InputError):
        open_port("any", **wrong)


def test_a_port_in_use_is_not_opened_twice(stand_in_indicator, listen):
    far = stand_in_indicator()
    listen(far)
    with pytest.raises(InputError, match="port"):
        open_port(far.name, baud=9600)
