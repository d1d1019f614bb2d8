"""A machine file holds what its owner knows, in words that can be read without a manual."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.errors import InputErrors
from plumbrise.files import (
    machine_dict,
    machine_from,
    machine_remarks,
    read_machine,
    write_machine,
)
from plumbrise.files.key_lines import key_lines
from plumbrise.files.machine_fields import FIELDS, PARTS, PER_SIDE
from plumbrise.machine import ARRANGEMENTS, DEFAULTS, PerSide, blank
from plumbrise.machine.description import Screw

LETTERS = st.characters(
    exclude_categories=("Cc", "Cs"),
    exclude_characters="\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069",
)
"""All that can be shown without moving a cursor or turning a line round."""


def _value(field):
    if field.takes == "choice":
        return st.sampled_from(field.choices)
    if field.takes == "yes-no":
        return st.booleans()
    if field.takes == "lines":
        return st.lists(st.text(LETTERS, max_size=9), max_size=3).map(tuple)
    if field.takes == "count":
        return st.integers(1, 1000)
    return st.floats(0.015625, 90)


def _part(draw, part):
    names = [field.name for field in FIELDS.values() if field.part == part]
    chosen = draw(st.lists(st.sampled_from(names), unique=True))
    return PARTS[part](**{name: draw(_value(FIELDS[f"{part}.{name}"])) for name in chosen})


@st.composite
def machines(draw):
    """Machines of any sense: sizes that cannot go together are put right afterwards."""
    arrangement = draw(st.sampled_from(list(ARRANGEMENTS.values())))
    parts = {part: _part(draw, part) for part in PARTS}
    several = len(arrangement.sides) > 1
    screw = replace(
        parts["screw"],
        lead_mm=draw(st.none() | st.just(8.0)),
        starts=4,
        diameter_mm=draw(st.none() | st.just(8.0)),
    )
    parts["screw"] = replace(screw, side=None) if several else screw
    parts["gantry"] = replace(parts["gantry"], centre_of_mass_mm=draw(st.none() | st.just(100.0)))
    parts["guide"] = replace(parts["guide"], span_mm=draw(st.none() | st.just(200.0)))
    parts["frame"] = replace(parts["frame"], base_width_mm=draw(st.none() | st.just(300.0)))
    for part in PER_SIDE:
        overrides = ()
        if several and draw(st.booleans()):
            overrides = ((arrangement.sides[1], parts[part]),)
            own = {k: v for k, v in (("lead_mm", 4.0),) if part == "screw"}
            overrides = ((arrangement.sides[1], replace(parts[part], **own)),)
        parts[part] = PerSide(parts[part], overrides)
    return replace(
        blank(arrangement.id),
        name=draw(st.text(LETTERS, max_size=9)),
        note=draw(st.text(LETTERS | st.sampled_from("\t\n"), max_size=9)),
        invented=draw(st.booleans()),
        **parts,
    )


@given(machines(), st.booleans())
def test_a_written_machine_reads_back_the_same(machine, unknown_as_comments):
    text = write_machine(machine, unknown_as_comments=unknown_as_comments)
    again = read_machine(text, name="m.toml")
    assert replace(again, drive=None) == replace(machine, drive=None)
    assert again.drive == machine.drive or machine.drive == PARTS["drive"]()


@given(machines())
def test_a_machine_as_plain_tables_reads_back_the_same(machine):
    assert machine_from(machine_dict(machine)) == machine


def test_only_the_arrangement_is_needed():
    assert read_machine('arrangement = "two-screw"', name="m.toml") == blank("two-screw")


def test_tables_and_inline_tables_are_the_same():
    head = 'arrangement = "one-screw"\n'
    inline = read_machine(head + "screw = { lead_mm = 8, starts = 4 }", name="m.toml")
    assert inline == read_machine(head + "[screw]\nlead_mm = 8.0\nstarts = 4.0", name="m.toml")


def test_one_screw_speaks_for_both_and_the_right_one_says_what_differs():
    text = 'arrangement = "two-screw"\n[screw]\nlead_mm = 8\nlength_mm = 330\n[screw.right]\nlead_mm = 4\n'
    machine = read_machine(text, name="m.toml")
    assert machine.screw.at("left") == Screw(lead_mm=8, length_mm=330)
    assert machine.screw.at("right") == Screw(lead_mm=4, length_mm=330)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_a_written_blank_names_every_field_with_its_unit_and_what_is_assumed(arrangement):
    text = write_machine(blank(arrangement))
    for key, default in DEFAULTS.items():
        part, name = key.split(".")
        if part == "drive" or key in ("screw.side", "guide.depth_mm", "gantry.beam_height_mm"):
            continue
        line = next(line for line in text.splitlines() if line.startswith(f"# {name} = "))
        assert f"({default.trust})" in "\n".join(
            line for line in text.splitlines() if line.startswith(f"# {name} = ")
        )
        assert "If unknown" in line


def test_the_comments_of_a_blank_machine_can_be_uncommented_as_they_stand():
    text = write_machine(replace(blank("one-screw"), drive=PARTS["drive"]()))
    awake = "\n".join(line.removeprefix("# ") for line in text.splitlines())
    machine = read_machine(awake, name="m.toml")
    assert machine.screw.common.lead_mm == 8
    assert machine.drive is not None


def test_nothing_is_written_for_what_is_not_known_if_so_wished():
    assert "#" not in write_machine(blank("one-screw"), unknown_as_comments=False).replace(
        "  # one-screw,", ""
    )


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "lead is not known"),
        ("screw = { lead_mm = 1.0, starts = 4 }", "pitch of 0.25"),
        (
            "travel = { height_mm = 500 }\nscrew = { lead_mm = 8, length_mm = 300 }",
            "than the screw",
        ),
        ("travel = { height_mm = 500 }\nframe = { upright_height_mm = 300 }", "than the uprights"),
        ("gantry = { centre_of_mass_mm = 600 }", "Give guide.span_mm"),
        ("gauge = { resolution_mm = 0.5, wrap_mm = 1 }", "wrap_mm right"),
    ],
)
def test_what_is_rare_is_remarked_and_not_refused(text, words):
    machine = read_machine('arrangement = "one-screw"\n' + text, name="m.toml")
    assert words in " ".join(machine_remarks(machine))


def test_an_ordinary_machine_draws_no_remark():
    text = 'arrangement = "one-screw"\nscrew = { lead_mm = 8, starts = 4 }'
    assert machine_remarks(read_machine(text, name="m.toml")) == ()


def test_a_fault_of_one_side_is_told_at_that_side():
    text = 'arrangement = "two-screw"\n[screw]\nlead_mm = 8\n[screw.left]\nlead_mm = -1\n'
    with pytest.raises(InputErrors, match=r"line 5, screw\.left\.lead_mm"):
        read_machine(text, name="m.toml")


def test_the_line_of_a_key_is_found_among_strings_comments_and_lists():
    text = (
        '# lead_mm = 1\nname = "screw = { lead_mm = 2 }"\n'
        'controller = { begin = [ "a = 1",\n  "b" ], end = [] }\n[screw]\n\n"lead_mm" = 8\nstarts=4 # x'
    )
    lines = key_lines(text)
    assert lines[("screw", "lead_mm")] == 7
    assert lines[("screw", "starts")] == 8
    assert lines[("controller", "end")] == 4
    assert ("lead_mm",) not in lines


@pytest.mark.parametrize(
    "odd",
    [r'name = "\u001b[2JHeron"', r'note = "\u202egnp.exe"', r'"\u0007x" = 1', r'name = "a\u009bb"'],
)
def test_letters_that_would_move_a_cursor_are_refused_and_shown_as_what_they_are(odd):
    with pytest.raises(InputErrors) as told:
        read_machine(f'arrangement = "one-screw"\n{odd}', name="odd.toml")
    assert "letters that can be shown" in str(told.value)
    assert str(told.value).isprintable()


def test_a_key_of_more_parts_than_any_is_refused_before_it_is_parsed():
    """What parses TOML takes hours for such a one."""
    with pytest.raises(InputErrors, match="nested too deep"):
        read_machine(" . ".join(['"a"', "b"] * 60_000) + " = 1", name="odd.toml")


def test_a_note_may_hold_many_points():
    note = ". ".join(["e.g. 1.5 and v1.2.3 of a.b.c"] * 40)
    assert read_machine(f'arrangement = "one-screw"\nnote = "{note}"', name="m").note == note


@given(st.text(max_size=200))
def test_looking_for_lines_ends_on_any_text(text):
    assert all(line >= 1 for line in key_lines(text).values())


def test_every_field_has_an_example_that_may_stand_there():
    for field in FIELDS.values():
        example = list(field.example) if isinstance(field.example, tuple) else field.example
        machine_from({"arrangement": "one-screw", field.part: {field.name: example}})
