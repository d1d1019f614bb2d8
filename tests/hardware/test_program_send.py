"""`plumbrise program send` as a person meets it: at a terminal, with a controller that answers."""

import json
import os
import re
import select
import subprocess
import sys
import time

import pytest
from click.testing import CliRunner

from plumbrise.cli import main
from plumbrise.cli.program_send import WORD

MACHINE = """\
format = 1
name = "Shed printer"
arrangement = "one-screw"
travel = { height_mm = 250.0 }
controller = { dwell_unit = "milliseconds", stop_waits = true, home = "down" }
"""
PROGRAM = "G21\nG90\nG28\nG1 Z0.5 F300\nM0 ; reading 1\nG1 Z0.6\nM0 ; reading 2\n"
SENT = ["G21", "G90", "G28", "G1 Z0.5 F300", "G1 Z0.6"]
RUN = """\
import sys
from pathlib import Path
from plumbrise.cli.program_send import run
from plumbrise.hardware import Timing
machine, program, port, *stop = sys.argv[1:]
timing = Timing(greet_s=0.1, home_at_once_s=0.04, home_mm_per_s=600.0, silence_s=1.0)
sys.exit(run(Path(machine), Path(program), port, as_json=True, timing=timing,
             stop_bytes=stop[0].encode() if stop else b""))
"""


@pytest.fixture
def files(tmp_path):
    (tmp_path / "machine.toml").write_text(MACHINE, encoding="utf-8")
    (tmp_path / "steps.gcode").write_text(PROGRAM, encoding="utf-8")
    return tmp_path / "machine.toml", tmp_path / "steps.gcode"


class Terminal:
    """A person's terminal with the command running in it."""

    def __init__(self, *words):
        import pty

        self.keyboard, near = pty.openpty()
        self.ran = subprocess.Popen(
            [sys.executable, "-c", RUN, *map(str, words)],
            stdin=near,
            stderr=near,
            stdout=subprocess.PIPE,
            start_new_session=True,
        )
        os.close(near)
        self.seen = ""

    def until(self, words, seconds=30.0):
        ends = time.monotonic() + seconds
        while words not in self.seen and time.monotonic() < ends:
            if select.select([self.keyboard], [], [], 0.05)[0]:
                try:
                    self.seen += os.read(self.keyboard, 4096).decode("utf-8", "replace")
                except OSError:
                    break
        assert words in self.seen, self.seen
        self.seen = self.seen.split(words, 1)[1]

    def type(self, words):
        os.write(self.keyboard, f"{words}\n".encode())

    def end(self):
        shown = self.ran.communicate(timeout=30)[0]
        os.close(self.keyboard)
        return self.ran.returncode, shown.decode("utf-8")


def test_a_person_confirms_goes_on_and_comes_to_the_end(files, stand_in_controller):
    far = stand_in_controller()
    terminal = Terminal(*files, far.name)
    terminal.until("Keep hands, hair and sleeves clear")
    terminal.until("Put blocks under")
    terminal.until(f"Type {WORD}")
    assert far.got == []
    terminal.type(WORD)
    terminal.until("reading 1. At rest at 0.5 mm")
    assert far.got == SENT[:4]
    terminal.type("")
    terminal.until("reading 2. At rest at 0.6 mm")
    terminal.type("")
    status, shown = terminal.end()
    assert status == 0
    assert json.loads(shown)["result"] == "finished"
    assert far.got == SENT


@pytest.mark.parametrize("typed", ["", "yes", "y", f"{WORD}e"])
def test_anything_but_the_word_sends_nothing(files, stand_in_controller, typed):
    far = stand_in_controller()
    terminal = Terminal(*files, far.name)
    terminal.until(f"Type {WORD}")
    terminal.type(typed)
    terminal.until("Nothing was sent")
    assert terminal.end()[0] == 1
    assert far.got == []


def test_enter_stops_while_the_axis_moves(files, stand_in_controller):
    files[1].write_text("G21\nG90\nG28\nG1 Z9 F60\nG1 Z18\nM0\n", encoding="utf-8")
    far = stand_in_controller()
    terminal = Terminal(*files, far.name)
    terminal.until(f"Type {WORD}")
    terminal.type(WORD)
    terminal.until("Moving")
    ends = time.monotonic() + 20
    while far.height_mm < 0.1 and time.monotonic() < ends:
        time.sleep(0.01)
    terminal.type("")
    terminal.until("At most 1 move may still be made: 9.00 mm")
    status, shown = terminal.end()
    assert status == 1
    result = json.loads(shown)
    assert result["result"] == "stopped"
    assert result["may_still_move"]["mm"] == pytest.approx(9.0)
    assert far.got[-1] == "G1 Z9 F60"


def test_the_bytes_given_for_a_stop_are_sent_at_it(files, stand_in_controller):
    far = stand_in_controller()
    terminal = Terminal(*files, far.name, "HOLD\n")
    terminal.until("sends nothing more but the bytes you gave")
    terminal.until(f"Type {WORD}")
    terminal.type(WORD)
    terminal.until("reading 1. At rest at 0.5 mm")
    terminal.type("s")
    terminal.until("only after a new home")
    assert terminal.end()[0] == 1
    assert far.got == [*SENT[:4], "HOLD"]


def test_an_alarm_while_the_person_reads_is_told(files, stand_in_controller):
    far = stand_in_controller()
    terminal = Terminal(*files, far.name)
    terminal.until(f"Type {WORD}")
    terminal.type(WORD)
    terminal.until("At rest")
    far.send(b"ALARM: end stop\n")
    terminal.until("reports an alarm")
    terminal.until("only after a new home")
    status, shown = terminal.end()
    assert (status, json.loads(shown)["needs_home"]) == (1, True)


def test_it_cannot_be_run_without_a_person_at_a_terminal(files):
    result = CliRunner().invoke(
        main, ["program", "send", str(files[0]), str(files[1]), "--port", "none"], input=""
    )
    assert result.exit_code != 0
    assert "at a terminal" in result.output


def test_there_is_no_option_that_skips_the_word():
    assert not re.search(
        r"--(yes|force|no-confirm)", CliRunner().invoke(main, ["program", "send", "--help"]).output
    )


def test_an_unsafe_program_ends_before_any_question(files, stand_in_controller):
    files[1].write_text("G21\nG90\nG28\nG1 Z-1 F300\n", encoding="utf-8")
    far = stand_in_controller()
    terminal = Terminal(*files, far.name)
    terminal.until("Not safe, and nothing was sent")
    assert terminal.end()[0] == 1
    assert far.got == []
