"""A motion controller that misbehaves: motion stops, it is said what is unsure, nothing is lost."""

import threading
import time
from dataclasses import replace

import pytest

from plumbrise.errors import InputError, InputErrors
from plumbrise.hardware import AtStop, Bound, Cause, Controller, Finished, Halted, Timing, open_port
from plumbrise.hardware.answers import Answer, answer
from plumbrise.hardware.steps import StepKind, from_last_home, steps_of
from plumbrise.machine import blank
from plumbrise.machine.description import Controller as ControllerFacts
from plumbrise.machine.description import Travel

MACHINE = replace(
    blank("one-screw"),
    travel=Travel(height_mm=250.0),
    controller=ControllerFacts(dwell_unit="milliseconds", stop_waits=True, home="down"),
)
QUICK = Timing(
    slack=1.1,
    margin_s=0.05,
    guard_s=0.02,
    quiet_s=0.06,
    silence_s=0.6,
    home_s=2.0,
    busy_s=5.0,
    home_at_once_s=0.04,
    home_mm_per_s=600.0,
    greet_s=0.1,
)
PROGRAM = """\
; lower end
G21
G90
G28 ; home
G1 Z1 F300
G1 Z0.5
M0 ; reading 1
G1 Z0.6
M0 ; reading 2
G4 P20
G1 Z0.7
M0 ; reading 3
"""
SENT = ["G21", "G90", "G28", "G1 Z1 F300", "G1 Z0.5", "G1 Z0.6", "G4 P20", "G1 Z0.7"]
FAULTED = 6  # the move from 0.5 to 0.6, as the sixth line sent


@pytest.fixture
def controlled():
    """Open the near side of a stand-in as a controller with a program loaded."""
    opened = []

    def start(far, program=PROGRAM, timing=QUICK, **options):
        opened.append(Controller(open_port(far.name, baud=115200), timing=timing, **options))
        if program:
            opened[-1].load(MACHINE, program)
        return opened[-1]

    yield start
    for one in opened:
        one.close()


def to_the_end(controller):
    """All that it came to, stops and the end."""
    found = [controller.next_stop()]
    while isinstance(found[-1], AtStop):
        found.append(controller.next_stop())
    return found


@pytest.mark.parametrize("queue", [0, 4], ids=["acknowledged when done", "when taken in"])
def test_a_program_is_sent_whole_and_held_at_each_stop(stand_in_controller, controlled, queue):
    far = stand_in_controller(queue=queue)
    controller = controlled(far)
    heights = []
    while isinstance(came := controller.next_stop(), AtStop):
        heights.append((came.says, came.height_mm, round(far.height_mm, 6)))
    assert isinstance(came, Finished)
    assert heights == [
        ("reading 1", 0.5, 0.5),
        ("reading 2", 0.6, 0.6),
        ("reading 3", 0.7, 0.7),
    ]
    assert far.got == SENT
    assert controller.bound == Bound(0, 0, 0.0)


def test_the_stop_of_the_program_is_never_sent_and_waits_for_the_person(
    stand_in_controller, controlled
):
    far = stand_in_controller()
    controller = controlled(far)
    controller.next_stop()
    time.sleep(0.3)
    assert far.got == SENT[:5]


@pytest.mark.parametrize("queue", [0, 4])
def test_one_move_ahead_at_most(stand_in_controller, controlled, queue):
    program = "G21\nG90\nG28\nG1 Z1 F300\n" + "".join(f"G1 Z{1 + i / 10:.1f}\n" for i in range(12))
    far = stand_in_controller(queue=queue, faults=dict.fromkeys(range(1, 17), "double"))
    assert isinstance(to_the_end(controlled(far, program))[-1], Finished)
    assert far.most_ahead <= 1


@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r"])
@pytest.mark.parametrize("said", [b"ok", b"OK", b"ok T:21.0 /0.0"])
def test_the_usual_forms_of_an_acknowledgement_are_understood(
    stand_in_controller, controlled, end, said
):
    far = stand_in_controller(end=end, answer=said, echo=True)
    controller = controlled(far)
    assert isinstance(to_the_end(controller)[-1], Finished)
    assert controller.counts.echoes == len(SENT)


HARMLESS = ("late", "double", "garbage", "long", "nul", "busy")


@pytest.mark.parametrize("queue", [0, 4])
@pytest.mark.parametrize("fault", HARMLESS)
def test_what_does_no_harm_is_survived(stand_in_controller, controlled, fault, queue):
    far = stand_in_controller(faults={FAULTED: fault}, queue=queue)
    controller = controlled(far)
    came = to_the_end(controller)
    assert isinstance(came[-1], Finished), came[-1]
    assert len(came) == 4
    assert far.got == SENT
    assert controller.counts.done == controller.counts.sent == len(SENT)


@pytest.mark.parametrize("queue", [0, 4])
def test_doubled_acknowledgements_do_not_get_the_count_out_of_step(
    stand_in_controller, controlled, queue
):
    far = stand_in_controller(faults=dict.fromkeys(range(1, 9), "double"), queue=queue)
    controller = controlled(far)
    assert isinstance(to_the_end(controller)[-1], Finished)
    assert controller.counts.done == len(SENT)
    assert controller.counts.doubled == len(SENT)
    assert "no line waits for" in controller.events[-1].words


HALTS = {
    "none": (Cause.SILENT, "not acknowledged"),
    "error": (Cause.REFUSED, "refused line"),
    "alarm": (Cause.ALARM, "alarm"),
    "unplug": (Cause.LOST, "port has gone"),
    "half-unplug": (Cause.LOST, "port has gone"),
    "restart": (Cause.RESTARTED, "begun anew"),
}


@pytest.mark.parametrize("fault", HALTS)
def test_what_may_lose_the_axis_stops_all_and_says_what_is_unsure(
    stand_in_controller, controlled, fault
):
    cause, said = HALTS[fault]
    far = stand_in_controller(faults={FAULTED: fault})
    controller = controlled(far)
    came = to_the_end(controller)
    halted = came[-1]
    assert isinstance(halted, Halted)
    assert [stop.says for stop in came[:-1]] == ["reading 1"]
    assert halted.cause is cause
    assert said in halted.words
    assert halted.needs_home
    assert "not known" in halted.unsure
    assert halted.line == 8
    time.sleep(0.1)
    assert far.got == SENT[:FAULTED]  # nothing more went out
    assert controller.next_stop() is halted
    with pytest.raises(InputError, match="home"):
        controller.go_on()
    assert controller.events[-1].kind == cause.value


@pytest.mark.parametrize("fault", ["none", "error", "alarm", "restart"])
def test_after_a_halt_it_goes_on_only_from_a_home(stand_in_controller, controlled, fault):
    far = stand_in_controller(faults={FAULTED: fault})
    controller = controlled(far)
    assert isinstance(to_the_end(controller)[-1], Halted)
    far.faults.clear()
    far.clear_alarm()
    sent = len(far.got)
    controller.begin_again()
    came = to_the_end(controller)
    assert isinstance(came[-1], Finished)
    assert far.got[sent:] == SENT
    assert far.homed
    assert round(far.height_mm, 6) == 0.7


def test_after_a_pull_the_program_is_loaded_on_the_port_opened_anew(
    stand_in_controller, controlled
):
    halted = to_the_end(controlled(stand_in_controller(faults={FAULTED: "unplug"})))[-1]
    far = stand_in_controller()
    again = controlled(far, program=None)
    again.load(MACHINE, PROGRAM, after=halted)
    assert isinstance(to_the_end(again)[-1], Finished)
    assert far.got == SENT


def test_a_restart_while_the_person_reads_is_seen_before_the_next_move(
    stand_in_controller, controlled
):
    far = stand_in_controller(greets=False)
    controller = controlled(far)
    assert isinstance(controller.next_stop(), AtStop)
    far.restart()  # its greeting was never heard before
    time.sleep(0.2)
    halted = controller.next_stop()
    assert halted.cause is Cause.RESTARTED
    assert far.got == SENT[:5]


def test_lines_that_the_person_calls_chatter_do_not_halt(stand_in_controller, controlled):
    far = stand_in_controller()
    controller = controlled(far, chatter=("fan",))
    far.send(b"fan 0 %\nT:21.0 /0.0\n")
    assert isinstance(to_the_end(controller)[-1], Finished)
    assert controller.counts.chatter == 2


def slow_program(mm):
    return f"G21\nG90\nG28\nG1 Z{mm} F60\nG1 Z{mm + 1}\nG1 Z{mm + 2}\nM0 ; reading\n"


@pytest.mark.parametrize("queue", [0, 4])
def test_a_stop_from_another_thread_states_what_may_still_move(
    stand_in_controller, controlled, queue
):
    far = stand_in_controller(queue=queue)
    controller = controlled(far, slow_program(1))
    came = []
    moving = threading.Thread(target=lambda: came.append(controller.next_stop()))
    moving.start()
    ends = time.monotonic() + 10
    while far.height_mm < 0.2 and time.monotonic() < ends:
        time.sleep(0.005)
    stopped_at, sent = far.height_mm, len(far.got)
    bound = controller.stop()
    moving.join(1.0)
    assert not moving.is_alive()
    assert came[0].cause is Cause.STOPPED
    assert 1 <= bound.moves <= 2
    time.sleep(bound.s + 0.2)
    assert len(far.got) - sent <= 1  # a line on its way when the stop came is in the bound
    assert abs(far.height_mm - stopped_at) <= bound.mm + 1e-9
    rested = far.height_mm
    time.sleep(0.2)
    assert far.height_mm == rested


def test_a_stop_by_hand_with_nothing_unsure_goes_on_where_it_was(stand_in_controller, controlled):
    far = stand_in_controller()
    controller = controlled(far)
    assert isinstance(controller.next_stop(), AtStop)
    controller.stop()
    halted = controller.next_stop()
    assert (halted.cause, halted.needs_home) == (Cause.STOPPED, False)
    controller.go_on()
    assert isinstance(to_the_end(controller)[-1], Finished)
    assert far.got == SENT


def test_an_alarm_after_a_stop_by_hand_still_asks_for_a_home(stand_in_controller, controlled):
    far = stand_in_controller()
    controller = controlled(far)
    controller.next_stop()
    controller.stop()
    far.send(b"ALARM: end stop\n")
    ends = time.monotonic() + 5
    while controller.halted.cause is Cause.STOPPED and time.monotonic() < ends:
        time.sleep(0.01)
    assert controller.halted.needs_home
    with pytest.raises(InputError):
        controller.go_on()


def test_the_bytes_that_the_person_gives_for_a_stop_go_out_at_once(stand_in_controller, controlled):
    far = stand_in_controller()
    controller = controlled(far, stop_bytes=b"HOLD\n")
    controller.next_stop()
    controller.stop()
    ends = time.monotonic() + 5
    while "HOLD" not in far.got and time.monotonic() < ends:
        time.sleep(0.01)
    assert far.got[-1] == "HOLD"
    assert controller.next_stop().needs_home  # it stands who knows where


def test_a_stop_comes_through_while_the_port_takes_no_bytes(controlled):
    class Blocked:
        """A port that takes no more bytes, as when the other end holds the line."""

        in_waiting = 0

        def __init__(self):
            self.writing = threading.Event()
            self.free = threading.Event()

        def read(self, size=1):
            time.sleep(0.01)
            return b""

        def write(self, data):
            self.writing.set()
            self.free.wait(20)
            raise OSError("write timed out")

        def close(self):
            self.free.set()

    port = Blocked()
    controller = Controller(port, timing=QUICK)
    controller.load(MACHINE, PROGRAM)
    moving = threading.Thread(target=controller.next_stop, daemon=True)
    moving.start()
    assert port.writing.wait(5)
    stopped = threading.Event()
    threading.Thread(target=lambda: (controller.stop(), stopped.set()), daemon=True).start()
    assert stopped.wait(5)
    port.free.set()
    moving.join(5)
    controller.close()
    assert controller.halted.cause is Cause.LOST


@pytest.mark.parametrize(
    "wrong",
    ["G1 Z-1 F300", "M104 S200", "G1 Z300 F300", "G1 X10 F300", "G1 Z1 F9000", "G92 Z5", "$X"],
)
def test_nothing_is_sent_of_a_program_that_the_check_refuses(
    stand_in_controller, controlled, wrong
):
    far = stand_in_controller()
    controller = controlled(far, program=None)
    with pytest.raises(InputErrors):
        controller.load(MACHINE, PROGRAM + wrong + "\n")
    assert isinstance(controller.next_stop(), Finished)
    assert far.got == []


def test_a_homing_acknowledged_at_once_is_given_its_time(stand_in_controller, controlled):
    far = stand_in_controller(queue=4)
    at_once = replace(QUICK, home_at_once_s=0.5)  # a busy computer is slow to hear of it
    controller = controlled(far, "G21\nG90\nG28\nM0 ; homed\n", timing=at_once)
    assert isinstance(controller.next_stop(), AtStop)
    assert far.homed
    assert any("at once" in event.words for event in controller.events)


TWO_HOMES = PROGRAM + "G91\nG28 Z0\nG90\nG1 Z1 F300\nM0 ; reading 4\n"


def test_it_goes_on_from_the_last_home_with_the_modes_before_it():
    steps = from_last_home(MACHINE, TWO_HOMES, line=16)
    sent = [step.send for step in steps if step.send]
    assert sent == ["G21", "G90", "G91", "G28 Z0", "G90", "G1 Z1 F300"]
    assert (steps[-1].line, steps[-1].comment) == (17, "reading 4")


def test_a_part_that_is_not_safe_by_itself_is_not_sent_alone():
    without_feed = TWO_HOMES.replace("G1 Z1 F300\nM0 ; reading 4", "G1 Z1\nM0 ; reading 4")
    assert from_last_home(MACHINE, without_feed, line=16) == steps_of(MACHINE, without_feed)


def test_a_program_that_never_homes_cannot_go_on_after_a_halt():
    with pytest.raises((InputError, InputErrors)):
        from_last_home(MACHINE, "G21\nG90\nG1 Z5 F300\nG1 Z6\n", line=4)


def test_before_the_second_home_it_goes_on_from_the_first():
    assert from_last_home(MACHINE, TWO_HOMES, line=9) == steps_of(MACHINE, TWO_HOMES)


def test_steps_know_their_length_and_time():
    steps = steps_of(MACHINE, PROGRAM)
    move = next(step for step in steps if step.send == "G1 Z0.5")
    assert (move.kind, move.far_mm) == (StepKind.MOVE, 0.5)
    assert move.seconds == pytest.approx(0.1)  # 0.5 mm at 300 mm/min
    dwell = next(step for step in steps if step.kind is StepKind.DWELL)
    assert dwell.seconds == pytest.approx(0.02)
    assert [step.comment for step in steps if step.kind is StepKind.HOLD] == [
        "reading 1",
        "reading 2",
        "reading 3",
    ]


@pytest.mark.parametrize(
    ("line", "meaning"),
    [
        ("ok", Answer.DONE),
        ("OK", Answer.DONE),
        ("ok P15 B3", Answer.DONE),
        ("okay", Answer.OTHER),
        ("o", Answer.OTHER),
        ("error:20", Answer.REFUSED),
        ("Error: checksum", Answer.REFUSED),
        ("Resend: 5", Answer.REFUSED),
        ("ALARM:1", Answer.ALARM),
        ("<Alarm|0,0,0>", Answer.ALARM),
        ("!! stopped", Answer.ALARM),
        ("busy: processing", Answer.BUSY),
        ("start", Answer.RESTARTED),
        ("Hello from 7", Answer.RESTARTED),
        ("g1 z2", Answer.ECHO),
        ("echo:G1 Z2", Answer.ECHO),
        ("T:21.0 /0.0", Answer.CHATTER),
    ],
)
def test_answers_mean_what_the_table_says(line, meaning):
    assert answer(line, sent=("G1 Z2",), greeting=frozenset({"Hello from 7"})) is meaning
