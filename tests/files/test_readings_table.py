"""A table of readings is understood however a person, a gauge or a spreadsheet wrote it."""

from itertools import product

import pytest
from tables import TOLD_AND_READ, read, values

from plumbrise.errors import InputErrors
from plumbrise.files import read_readings
from plumbrise.machine import TWO_SCREW
from plumbrise.readings import Scale
from plumbrise.readings.kinds import COARSE_STEPS, FINE_STEPS


def _rows(separator, comma, header=True):
    rows = [["Target", "Reading"]] if header else []
    for told, showed in TOLD_AND_READ:
        rows.append([str(told), str(showed).replace(".", comma)])
    return [separator.join(row) for row in rows]


GRID = [
    (encoding, separator, comma, end, header)
    for encoding, separator, comma, end, header in product(
        ("utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"),
        (",", ";", "\t", " "),
        (".", ","),
        ("\n", "\r\n", "\r"),
        (True, False),
    )
    if (separator, comma) != (",", ",")
]


@pytest.mark.parametrize(("encoding", "separator", "comma", "end", "header"), GRID)
def test_encoding_separator_decimal_sign_and_line_end_do_not_matter(
    encoding, separator, comma, end, header
):
    text = end.join(_rows(separator, comma, header)) + end
    assert values(read(text.encode(encoding))) == TOLD_AND_READ


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_letters_beyond_ascii_are_read_in_every_encoding(encoding):
    text = "told,read,Gerät\n0,0,Meßuhr\n1,0.8,\n2,1.8,\n"
    readings = read(text.encode(encoding))
    assert readings.unknown_columns == ("Gerät",)
    assert readings.runs[0].readings[0].other == (("Gerät", "Meßuhr"),)


def test_quoted_cells_blank_rows_and_empty_columns_at_the_end_do_no_harm():
    text = '"told","read",,\n\n"0","0",,\n,,,\n1,"0,8",,\n"2",1.8,,\n'
    readings = read(text)
    assert values(readings) == [(0, 0), (1, 0.8), (2, 1.8)]
    assert [r.row for r in readings.runs[0].readings] == [3, 5, 6]


def test_a_title_above_the_header_is_passed_over_and_said():
    readings = read("Evening of the flood\n\ntold;read\n0;0\n1;0,8\n2;1,8\n")
    assert readings.count == 3
    assert any("above the header" in remark for remark in readings.remarks)


def test_the_separator_line_of_spreadsheets_is_understood():
    assert values(read("sep=;\r\ntold;read\r\n0;0\r\n1;0,8\r\n2;1,8\r\n"))[1] == (1, 0.8)


def test_a_gantry_that_loses_its_first_steps_is_zeroed_at_told_0_though_the_table_leaves_it_out():
    readings = read("told,read\n1,0.80\n2,1.80\n3,2.79\n")
    first, second, *_ = readings.runs[0].readings
    assert (first.target_mm, first.reading_mm, first.approach, first.assumed) == (
        0,
        0,
        "down",
        True,
    )
    assert (second.approach, second.assumed) == ("up", False)
    assert readings.count == 3
    assert any("told 0" in remark for remark in readings.remarks)


def test_a_staircase_that_starts_high_up_is_zeroed_at_its_first_reading():
    readings = read("told,read\n50,0\n51,0.8\n52,1.8\n")
    assert not any(r.assumed for r in readings.runs[0].readings)


def test_a_full_table_gets_no_zero_of_ours():
    text = "run,test,station,seq,target_mm,reading_mm\n" + "".join(
        f"a,coarse-steps,nut,{i},{i + 1},{i}\n" for i in range(4)
    )
    assert values(read(text))[0] == (1, 0)


@pytest.mark.parametrize(
    ("step", "kind"),
    [(0.05, FINE_STEPS), (0.3, FINE_STEPS), (0.5, COARSE_STEPS), (1.0, COARSE_STEPS)],
)
def test_the_step_tells_the_kind_of_staircase(step, kind):
    rows = "".join(f"{i * step:g},{i * step:g}\n" for i in range(8))
    readings = read("told,read\n" + rows)
    assert readings.runs[0].kind is kind
    assert any(kind.title.lower() in remark for remark in readings.remarks)


def test_a_test_that_is_named_is_not_guessed():
    assert read("0,0\n1,0.8\n2,1.8\n", test="full travel").runs[0].kind.id == "full-travel"


def test_what_the_table_says_stands_against_what_is_said_beside_it():
    text = "test,target_mm,reading_mm\nhold,1,0\nhold,1,0.1\n"
    readings = read(text, test="warm-up")
    assert readings.runs[0].kind.id == "hold"
    assert any("warm-up" in remark for remark in readings.remarks)


def test_inches_in_the_header_are_inches():
    readings = read("target_in,Reading (in)\n0,0\n0.1,0.05\n0.2,0.15\n")
    assert values(readings) == [(0, 0), (2.54, 1.27), (5.08, 3.81)]
    assert any("nches" in remark for remark in readings.remarks)


def test_inches_said_beside_a_table_without_units_are_inches():
    assert values(read("0,0\n0.1,0.05\n0.2,0.1\n", unit="inch"))[1] == (2.54, 1.27)


def test_a_header_in_millimetres_is_not_overruled_by_a_word_beside_it():
    with pytest.raises(InputErrors, match="target_mm"):
        read("target_mm,reading_mm\n0,0\n1,1\n2,2\n", unit="inch")


def test_small_numbers_without_a_unit_stay_millimetres():
    assert values(read("0,0\n0.04,0.03\n0.08,0.07\n"))[1] == (0.04, 0.03)


def test_a_reading_that_could_not_be_taken_is_kept_as_a_gap():
    readings = read("told,read\n0,0\n1,\n2,1.8\n")
    assert values(readings)[1] == (1, None)
    assert len(readings.runs[0].taken) == 2


def test_a_hand_turn_needs_no_gauge():
    text = "test,station,target_mm,reading_mm,torque_nmm\n" + "".join(
        f"hand-turn,screw,{10 * i},,{20 + i}\n" for i in range(3)
    )
    run = read(text).runs[0]
    assert [r.torque_nmm for r in run.readings] == [20, 21, 22]
    assert run.taken == ()


def test_rows_stand_in_the_order_of_seq_and_this_is_said():
    text = "run,test,station,seq,target_mm,reading_mm\na,hold,nut,1,5,0.2\na,hold,nut,0,5,0.1\n"
    readings = read(text)
    assert [r.reading_mm for r in readings.runs[0].readings] == [0.1, 0.2]
    assert any("order of seq" in remark for remark in readings.remarks)


def test_runs_that_are_mixed_in_the_file_are_told_apart():
    text = "run,test,station,seq,target_mm,reading_mm\n" + "".join(
        f"{run},hold,{station},{seq},5,{seq}\n"
        for seq in range(3)
        for run, station in (("a", "nut"), ("b", "screw"))
    )
    assert [(r.name, len(r.readings)) for r in read(text).runs] == [("a", 3), ("b", 3)]


def test_what_any_row_says_of_its_set_up_is_true_of_the_whole():
    text = "run,test,station,seq,target_mm,reading_mm,axis,stand_on\n"
    text += "a,hold,nut,0,5,0.1,,\na,hold,nut,1,5,0.2,left-right,bed\nb,hold,nut,0,5,0.1,,\n"
    said, unsaid = read(text).runs
    assert (said.axis, said.stand_on) == ("left-right", "bed")
    assert (unsaid.axis, unsaid.stand_on) == ("up", "")


def test_without_run_names_a_new_station_begins_a_new_run():
    text = "test,station,told,read\n" + "".join(
        f"hold,{s},5,0\nhold,{s},5,1\n" for s in ("nut", "screw")
    )
    readings = read(text)
    assert [run.station.id for run in readings.runs] == ["nut", "screw"]


@pytest.mark.parametrize("written", ["Gantry Left", "GANTRY_LEFT", " gantry-left ", "gantry left"])
def test_a_station_may_be_written_any_way(written):
    text = f"test,station,told,read\nhold,{written},5,0\nhold,{written},5,0\n"
    assert read(text).runs[0].station.id == "gantry-left"


@pytest.mark.parametrize("written", ["UP", "Up", "up"])
def test_a_direction_may_be_written_in_any_case(written):
    text = f"test,told,read,approach\nreversal,5,0,{written}\nreversal,6,1,{written}\n"
    assert read(text).runs[0].readings[0].approach == "up"


def test_a_station_of_the_other_arrangement_is_refused_with_those_of_this_one():
    with pytest.raises(InputErrors, match="nut-left or nut-right"):
        read("test,station,told,read\nhold,nut,5,0\n", arrangement=TWO_SCREW)


def test_a_fault_of_many_rows_is_told_once():
    rows = "".join(f"a,fine-steps,sofa,{i},{i / 10},0\n" for i in range(9))
    with pytest.raises(InputErrors) as told:
        read(f"run,test,station,seq,target_mm,reading_mm\n{rows}", arrangement=TWO_SCREW)
    assert str(told.value).count("sofa") == 1
    assert "The same in rows 3 to 10." in str(told.value)


@pytest.mark.parametrize("rule", ["|---|---|\n", "| :-- | --: |\n", ""])
def test_a_table_in_markdown_is_read(rule):
    rows = "".join(f"| {told} | {showed} |\n" for told, showed in TOLD_AND_READ)
    assert values(read(f"| told | read |\n{rule}{rows}")) == TOLD_AND_READ


@pytest.mark.parametrize(
    "table",
    [
        "soll (mm)\tUhr (mm)\n0,0\t0,00\n1,0\t0,55\n2,0\t\n3,0\t2,51\n",
        "Told mm\tdial gauge reading mm\n0\t0\n1\t0.55\n2\t\n3\t2.51\n",
        "dial;soll\n0;0\n0,55;1\n;2\n2,51;3\n",
        "height, what it showed\n0,0\n1,0.55\n2,\n3,2.51\n",
    ],
)
def test_two_columns_need_no_title_that_is_known(table):
    readings = read_readings(table.encode(), name="t", scale=Scale(), station="gantry-left")
    rows = [(r.target_mm, r.reading_mm) for r in readings.runs[0].readings]
    assert rows == [(0, 0), (1, 0.55), (2, None), (3, 2.51)]
    assert any("told height" in remark for remark in readings.remarks)


@pytest.mark.parametrize("titles", ["told,torque", "time,reading", "dial,gauge"])
def test_two_columns_with_a_title_that_means_something_else_are_refused(titles):
    with pytest.raises(InputErrors):
        read_readings(f"{titles}\n0,0\n1,2\n".encode(), name="t", scale=Scale())


def test_of_targets_that_rise_and_fall_the_test_is_asked_for():
    with pytest.raises(InputErrors, match=r"rise and fall.*what was done"):
        read_readings(b"0,0\n1,0.5\n2,1.5\n1,0.9\n", name="t", scale=Scale(), station="nut")


@pytest.mark.parametrize(("step", "looks"), [(0.04, True), (0.05, False), (1.0, False)])
def test_the_unit_taken_is_said_and_steps_that_look_like_inches_are_warned_of(step, looks):
    rows = "".join(f"{step * i:g},{0.8 * step * i:g}\n" for i in range(5))
    remarks = " ".join(read(f"told,read\n{rows}", station="nut").remarks)
    assert "taken as millimetres" in remarks
    assert ("look like inches" in remarks) == looks
    assert "home from above" in remarks
    told = read(f"told,read\n{rows}", station="nut", unit="inch").remarks
    assert "taken as millimetres" not in " ".join(told)
