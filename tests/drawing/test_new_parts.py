"""The axis with the chosen changes made: what is new is dashed, and has its number of the list."""

import pytest

from plumbrise.drawing import changed, load_path
from plumbrise.drawing.new_parts import DRAWN_AS, numbers_words
from plumbrise.drawing.tokens import DASHES, THEMES, Line
from plumbrise.machine import blank
from plumbrise.redesign import CATALOGUE, Choice, Span
from plumbrise.redesign import Line as SetLine
from plumbrise.redesign.machine_changed import machine_changed
from plumbrise.redesign.parts import parts_of

NOTHING = SetLine((), Span(0, 0, 0), Span(0, 0, 0), 0.5)
SETS = {
    "second screw, tied": ("one-screw", ("second-screw-tied",)),
    "second screw with a motor": ("one-screw", ("second-screw-motor",)),
    "many at one screw": (
        "one-screw",
        (
            "thrust-bearing",
            "stiff-bracket",
            "rigid-coupling",
            "straight-screw",
            "stiff-carriages",
            "counterweight",
            "brace-frame",
            "stiff-switch",
        ),
    ),
    "at both screws": ("two-screw", ("thrust-bearing", "floating-nut")),
    "at three screws": ("three-screw-bed", ("thrust-bearing", "new-nut")),
    "another belt": ("two-screw-tied", ("larger-pulleys",)),
}


def made(name):
    arrangement, ids = SETS[name]
    machine, changes = blank(arrangement), tuple(CATALOGUE[one] for one in ids)
    parts = parts_of(machine_changed(machine, changes), changes)
    choice = Choice(NOTHING, changes, (), parts, (), {}, (), ())
    return choice, *changed(machine, choice)


def test_every_part_of_the_catalogue_has_its_place_or_is_said_to_have_none():
    parts = {part.name for change in CATALOGUE.values() for part in change.parts}
    assert parts == set(DRAWN_AS)


@pytest.mark.parametrize("name", SETS)
def test_numbers_are_those_of_the_list_and_none_is_left_out(name):
    choice, _, marking = made(name)
    shown = {number for called in marking.called for number in called.numbers}
    seen = [i for i, p in enumerate(choice.parts, start=1) if DRAWN_AS[p.part.name] is not None]
    assert shown == set(seen)


@pytest.mark.parametrize("name", SETS)
@pytest.mark.parametrize("width", [340, 700, 860])
def test_no_number_covers_another_or_leaves_the_sheet(name, width, sheet_of):
    _, after, marking = made(name)
    sheet = sheet_of(load_path(after, marking, width_px=width, height_px=round(0.7 * width)))
    assert sheet.clashes == []
    assert len(sheet.groups("data-called")) == len(marking.called)


def strokes(group):
    return {e.get("stroke-dasharray") for e in group.iter() if e.get("stroke")}


def test_only_the_added_screw_is_dashed(sheet_of):
    _, after, marking = made("second screw, tied")
    sheet = sheet_of(load_path(after, marking, theme="print"))
    parts = sheet.groups("data-part")
    dash = DASHES[Line.COMPUTED]
    assert dash in strokes(parts["screw-right"])
    assert dash in strokes(parts["bracket-right"])
    assert dash not in strokes(parts["screw-left"])
    assert dash in strokes(parts["bearing-left"])
    assert dash in strokes(parts["tie-right"])
    for side in ("left", "right"):  # what holds each screw beside its pulley
        assert dash in strokes(parts[f"top-{side}"])


def test_a_drawing_without_changes_knows_no_new_part(sheet_of):
    machine = blank("one-screw")
    _, marking = changed(machine, Choice(NOTHING, (), (), (), (), {}, (), ()))
    text = load_path(machine, marking)
    assert marking.new == frozenset()
    assert "new-parts" not in text
    assert THEMES["light"].wash not in text


def test_the_spoken_words_name_each_part_with_its_number(sheet_of):
    choice, after, marking = made("second screw, tied")
    spoken = sheet_of(load_path(after, marking)).all("desc")[0].text
    for called in marking.called:
        assert f"New, {numbers_words(called.numbers)}: {called.words}." in spoken
    assert choice.parts[0].part.name.lower() in spoken
