"""A table of readings is understood however a person, a gauge or a spreadsheet wrote it."""

import io
import zipfile
from itertools import product

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbrise.errors import InputErrors
from plumbrise.files import read_readings, write_readings
from plumbrise.files.cells import number_in
from plumbrise.machine import STATIONS, TWO_SCREW
from plumbrise.readings import KINDS, Reading, Readings, Run, Scale
from plumbrise.readings.kinds import COARSE_STEPS, FINE_STEPS, REVERSAL

TOLD_AND_READ = [(0, 0.0), (1, 0.81), (2, 1.79), (3, 2.8), (4, 3.815)]


def _read(text, **said):
    data = text if isinstance(text, bytes) else text.encode()
    said = {"scale": Scale(), "station": "gantry-left", **said}
    return read_readings(data, name="evening.csv", **said)


def _values(readings):
    return [(r.target_mm, r.reading_mm) for run in readings.runs for r in run.readings]


def _rows(separator, comma, header=True):
    rows = [["Target", "Reading"]] if header else []
    for told, read in TOLD_AND_READ:
        rows.append([str(told), str(read).replace(".", comma)])
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
    assert _values(_read(text.encode(encoding))) == TOLD_AND_READ


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_letters_beyond_ascii_are_read_in_every_encoding(encoding):
    text = "told,read,Gerät\n0,0,Meßuhr\n1,0.8,\n2,1.8,\n"
    readings = _read(text.encode(encoding))
    assert readings.unknown_columns == ("Gerät",)
    assert readings.runs[0].readings[0].other == (("Gerät", "Meßuhr"),)


def test_quoted_cells_blank_rows_and_empty_columns_at_the_end_do_no_harm():
    text = '"told","read",,\n\n"0","0",,\n,,,\n1,"0,8",,\n"2",1.8,,\n'
    readings = _read(text)
    assert _values(readings) == [(0, 0), (1, 0.8), (2, 1.8)]
    assert [r.row for r in readings.runs[0].readings] == [3, 5, 6]


def test_a_title_above_the_header_is_passed_over_and_said():
    readings = _read("Evening of the flood\n\ntold;read\n0;0\n1;0,8\n2;1,8\n")
    assert readings.count == 3
    assert any("above the header" in remark for remark in readings.remarks)


def test_the_separator_line_of_spreadsheets_is_understood():
    assert _values(_read("sep=;\r\ntold;read\r\n0;0\r\n1;0,8\r\n2;1,8\r\n"))[1] == (1, 0.8)


def test_a_gantry_that_loses_its_first_steps_is_zeroed_at_told_0_though_the_table_leaves_it_out():
    readings = _read("told,read\n1,0.80\n2,1.80\n3,2.79\n")
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
    readings = _read("told,read\n50,0\n51,0.8\n52,1.8\n")
    assert not any(r.assumed for r in readings.runs[0].readings)


def test_a_full_table_gets_no_zero_of_ours():
    text = "run,test,station,seq,target_mm,reading_mm\n" + "".join(
        f"a,coarse-steps,nut,{i},{i + 1},{i}\n" for i in range(4)
    )
    assert _values(_read(text))[0] == (1, 0)


@pytest.mark.parametrize(
    ("step", "kind"),
    [(0.05, FINE_STEPS), (0.3, FINE_STEPS), (0.5, COARSE_STEPS), (1.0, COARSE_STEPS)],
)
def test_the_step_tells_the_kind_of_staircase(step, kind):
    rows = "".join(f"{i * step:g},{i * step:g}\n" for i in range(8))
    readings = _read("told,read\n" + rows)
    assert readings.runs[0].kind is kind
    assert any(kind.title.lower() in remark for remark in readings.remarks)


def test_a_test_that_is_named_is_not_guessed():
    assert _read("0,0\n1,0.8\n2,1.8\n", test="full travel").runs[0].kind.id == "full-travel"


def test_what_the_table_says_stands_against_what_is_said_beside_it():
    text = "test,target_mm,reading_mm\nhold,1,0\nhold,1,0.1\n"
    readings = _read(text, test="warm-up")
    assert readings.runs[0].kind.id == "hold"
    assert any("warm-up" in remark for remark in readings.remarks)


def test_inches_in_the_header_are_inches():
    readings = _read("target_in,Reading (in)\n0,0\n0.1,0.05\n0.2,0.15\n")
    assert _values(readings) == [(0, 0), (2.54, 1.27), (5.08, 3.81)]
    assert any("nches" in remark for remark in readings.remarks)


def test_inches_said_beside_a_table_without_units_are_inches():
    assert _values(_read("0,0\n0.1,0.05\n0.2,0.1\n", unit="inch"))[1] == (2.54, 1.27)


def test_a_header_in_millimetres_is_not_overruled_by_a_word_beside_it():
    with pytest.raises(InputErrors, match="target_mm"):
        _read("target_mm,reading_mm\n0,0\n1,1\n2,2\n", unit="inch")


def test_small_numbers_without_a_unit_stay_millimetres():
    assert _values(_read("0,0\n0.04,0.03\n0.08,0.07\n"))[1] == (0.04, 0.03)


def test_a_reading_that_could_not_be_taken_is_kept_as_a_gap():
    readings = _read("told,read\n0,0\n1,\n2,1.8\n")
    assert _values(readings)[1] == (1, None)
    assert len(readings.runs[0].taken) == 2


def test_a_hand_turn_needs_no_gauge():
    text = "test,station,target_mm,reading_mm,torque_nmm\n" + "".join(
        f"hand-turn,screw,{10 * i},,{20 + i}\n" for i in range(3)
    )
    run = _read(text).runs[0]
    assert [r.torque_nmm for r in run.readings] == [20, 21, 22]
    assert run.taken == ()


def test_rows_stand_in_the_order_of_seq_and_this_is_said():
    text = "run,test,station,seq,target_mm,reading_mm\na,hold,nut,1,5,0.2\na,hold,nut,0,5,0.1\n"
    readings = _read(text)
    assert [r.reading_mm for r in readings.runs[0].readings] == [0.1, 0.2]
    assert any("order of seq" in remark for remark in readings.remarks)


def test_runs_that_are_mixed_in_the_file_are_told_apart():
    text = "run,test,station,seq,target_mm,reading_mm\n" + "".join(
        f"{run},hold,{station},{seq},5,{seq}\n"
        for seq in range(3)
        for run, station in (("a", "nut"), ("b", "screw"))
    )
    assert [(r.name, len(r.readings)) for r in _read(text).runs] == [("a", 3), ("b", 3)]


def test_without_run_names_a_new_station_begins_a_new_run():
    text = "test,station,told,read\n" + "".join(
        f"hold,{s},5,0\nhold,{s},5,1\n" for s in ("nut", "screw")
    )
    readings = _read(text)
    assert [run.station.id for run in readings.runs] == ["nut", "screw"]


@pytest.mark.parametrize("written", ["Gantry Left", "GANTRY_LEFT", " gantry-left ", "gantry left"])
def test_a_station_may_be_written_any_way(written):
    text = f"test,station,told,read\nhold,{written},5,0\nhold,{written},5,0\n"
    assert _read(text).runs[0].station.id == "gantry-left"


@pytest.mark.parametrize("written", ["UP", "Up", "up"])
def test_a_direction_may_be_written_in_any_case(written):
    text = f"test,told,read,approach\nreversal,5,0,{written}\nreversal,6,1,{written}\n"
    assert _read(text).runs[0].readings[0].approach == "up"


def test_a_station_of_the_other_arrangement_is_refused_with_those_of_this_one():
    with pytest.raises(InputErrors, match="nut-left or nut-right"):
        _read("test,station,told,read\nhold,nut,5,0\n", arrangement=TWO_SCREW)


@given(
    lost_mm=st.floats(0, 0.6),
    step_mm=st.sampled_from([0.05, 0.25, 1.0, 2.0]),
    zero_mm=st.floats(0, 0.999),
)
def test_a_dial_without_turns_counter_is_carried_on_as_the_axis_goes(lost_mm, step_mm, zero_mm):
    told = [i * step_mm for i in range(12)]
    true = [max(0.0, t - lost_mm) for t in told]
    dial = [(t + zero_mm) % 1.0 for t in true]
    rows = "".join(f"{t:.3f},{d!r}\n" for t, d in zip(told, dial, strict=True))
    test = "fine-steps" if step_mm < 0.3 else "coarse-steps"
    run = _read("told,read\n" + rows, test=test, scale=Scale(wrap_mm=1.0)).runs[0]
    rise = [r.reading_mm - run.readings[0].reading_mm for r in run.readings]
    assert rise == pytest.approx(true, abs=1e-9)


def test_at_a_station_that_does_not_follow_the_nearest_turn_is_taken():
    rows = "told,read\n10,0.95\n11,0.02\n12,0.05\n11,0.97\n"
    run = _read(rows, test="reversal", station="screw", scale=Scale(wrap_mm=1.0)).runs[0]
    assert [r.reading_mm for r in run.readings] == pytest.approx([0.95, 1.02, 1.05, 0.97])


def test_carrying_on_is_said_and_readings_that_went_on_by_themselves_are_left():
    carried = _read("0,0\n1,0.8\n2,0.8\n", scale=Scale(wrap_mm=1.0))
    assert any("full turn" in remark for remark in carried.remarks)
    left = _read("0,0\n1,0.8\n2,1.8\n", scale=Scale(wrap_mm=1.0))
    assert _values(left)[2] == (2, 1.8)


def _xlsx(*sheets):
    book = openpyxl.Workbook()
    book.remove(book.active)
    for title, rows in sheets:
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


def test_a_spreadsheet_is_read_from_the_sheet_that_has_the_readings():
    rows = [("Told", "Read"), *TOLD_AND_READ]
    readings = _read(_xlsx(("Diary", [("rained", "all day")]), ("Tuesday", rows)))
    assert _values(readings) == TOLD_AND_READ
    assert any("Tuesday" in remark for remark in readings.remarks)
    assert [r.row for r in readings.runs[0].readings] == [2, 3, 4, 5, 6]


def test_whole_numbers_of_a_spreadsheet_are_whole_numbers():
    rows = [("run", "test", "station", "seq", "target_mm", "reading_mm")]
    rows += [(1, "hold", "nut", i, 10, 0.01 * i) for i in range(3)]
    run = _read(_xlsx(("S", rows))).runs[0]
    assert run.name == "1"
    assert [r.seq for r in run.readings] == [0, 1, 2]


def test_a_number_that_a_spreadsheet_made_a_date_is_told():
    import datetime

    rows = [("told", "read"), (0, 0), (1, datetime.date(2024, 8, 1)), (2, 1.8)]
    with pytest.raises(InputErrors, match=r"row 3, read.*date"):
        _read(_xlsx(("S", rows)))


def _ods(rows, extra=""):
    def cell(value):
        if isinstance(value, str):
            return f'<table:table-cell office:value-type="string"><text:p>{value}</text:p></table:table-cell>'
        return f'<table:table-cell office:value-type="float" office:value="{value}"><text:p>{value}</text:p></table:table-cell>'

    body = "".join(
        f"<table:table-row>{''.join(map(cell, row))}{extra}</table:table-row>" for row in rows
    )
    edge = '<table:table-row table:number-rows-repeated="1048571"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>'
    content = (
        '<?xml version="1.0" encoding="UTF-8"?><office:document-content'
        ' xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"'
        ' xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"'
        ' xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" office:version="1.2">'
        f'<office:body><office:spreadsheet><table:table table:name="S">{body}{edge}</table:table>'
        "</office:spreadsheet></office:body></office:document-content>"
    )
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", content)
        archive.writestr(
            "META-INF/manifest.xml",
            '<?xml version="1.0"?><manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>',
        )
    return made.getvalue()


def test_an_open_document_is_read_to_the_edge_that_it_names():
    assert _values(_read(_ods([("Told", "Read"), *TOLD_AND_READ]))) == TOLD_AND_READ


def test_an_open_document_that_repeats_a_full_cell_without_end_does_no_harm():
    many = '<table:table-cell table:number-columns-repeated="999999999" office:value-type="string"><text:p/></table:table-cell>'
    assert _values(_read(_ods([("Told", "Read"), *TOLD_AND_READ], many))) == TOLD_AND_READ


def test_a_cell_at_the_edge_of_a_sheet_is_refused_before_the_sheet_is_filled():
    book = openpyxl.Workbook()
    book.active["XFD1048576"] = 1
    made = io.BytesIO()
    book.save(made)
    with pytest.raises(InputErrors, match="XFD1048576"):
        _read(made.getvalue())


def _rewritten(book, change):
    """A workbook with its members renamed and changed: change(name, content) -> the same."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(book)) as old, zipfile.ZipFile(made, "w") as archive:
        for info in old.infolist():
            archive.writestr(*change(info.filename, old.read(info)))
    return made.getvalue()


def _far_cell():
    book = openpyxl.Workbook()
    book.active["ZZ20001"] = 1
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


def test_a_far_cell_is_refused_in_whatever_place_its_sheet_lies():
    def elsewhere(name, content):
        return name.replace("worksheets/sheet1", "other/s"), content.replace(
            b"worksheets/sheet1", b"other/s"
        )

    with pytest.raises(InputErrors, match="ZZ20001"):
        _read(_rewritten(_far_cell(), elsewhere))


def test_a_far_cell_is_refused_however_its_place_is_spelt():
    with pytest.raises(InputErrors, match="ZZ20001"):
        _read(_rewritten(_far_cell(), lambda n, c: (n, c.replace(b' r="', b' r = "'))))


def test_rows_that_repeat_a_little_each_are_counted_together():
    row = '<table:table-row table:number-rows-repeated="999"><table:table-cell/></table:table-row>'
    book = _ods([("Told", "Read"), *TOLD_AND_READ])
    many = _rewritten(
        book,
        lambda n, c: (n, c.replace(b"</table:table>", (row * 60).encode() + b"</table:table>")),
    )
    with pytest.raises(InputErrors, match="rows"):
        _read(many)


def test_an_archive_that_unpacks_without_end_is_refused():
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", b"0" * 120_000_000)
    with pytest.raises(InputErrors, match="100 MB"):
        _read(made.getvalue())


@given(st.floats(-499, 499))
def test_every_number_reads_back_as_it_was_written(number):
    assert number_in(repr(number)) == number
    if "e" not in repr(number):
        assert number_in(repr(number).replace(".", ",")) == number


WORDS = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp", "Zs")), max_size=8
)
NUMBERS = st.floats(-400, 400).map(lambda x: x + 0.0)


@st.composite
def sessions(draw):
    names = draw(st.lists(WORDS.filter(bool), min_size=1, max_size=3, unique=True))
    runs = []
    for name in names:
        count = draw(st.integers(1, 5))
        maybe = st.none() | NUMBERS
        readings = [
            Reading(
                seq=seq,
                target_mm=draw(st.floats(0, 300)),
                reading_mm=draw(maybe),
                approach=draw(st.sampled_from(["up", "down"])),
                mass_kg=draw(st.floats(0, 40)),
                mass_at_mm=draw(maybe),
                force_n=draw(maybe),
                torque_nmm=draw(maybe),
                time_s=draw(st.none() | st.just(float(seq))),
                temp_c=draw(st.none() | st.floats(0, 60)),
                note=draw(WORDS),
            )
            for seq in range(count)
        ]
        runs.append(
            Run(
                name=name,
                kind=draw(st.sampled_from(list(KINDS.values()))),
                station=draw(st.sampled_from(list(STATIONS.values()))),
                readings=tuple(readings),
                axis=draw(st.sampled_from(["up", "left-right", "front-back"])),
                stand_on=draw(st.sampled_from(["frame", "bed", "table", "gantry-left"])),
            )
        )
    return Readings(tuple(runs))


def _without_rows(readings):
    from dataclasses import replace

    return tuple(
        replace(run, readings=tuple(replace(r, row=None) for r in run.readings))
        for run in readings.runs
    )


@given(sessions())
def test_a_written_table_reads_back_as_the_same_runs(readings):
    again = _read(write_readings(readings), station=None, as_written=True)
    assert _without_rows(again) == readings.runs
    assert again.unknown_columns == ()


def test_a_zero_that_nobody_read_is_still_nobodys_after_writing():
    first = _read("told,read,mood\n1,0.80,good\n2,1.80,\n3,2.79,bad\n")
    again = _read(write_readings(first))
    assert _without_rows(again) == _without_rows(first)
    assert again.count == first.count == 3


def test_the_written_reversal_has_every_column_of_the_format():
    from plumbrise.readings import COLUMNS

    run = Run(
        name="a",
        kind=REVERSAL,
        station=STATIONS["nut"],
        readings=(Reading(seq=0, target_mm=10, reading_mm=0.125, approach="up"),),
    )
    header, row = write_readings(Readings((run,))).splitlines()
    assert header.split(",") == [column.name for column in COLUMNS]
    assert row.startswith("a,reversal,nut,0,10,0.125,up,0,")


WILD = "told,read\n0,0\n1,65\n2,51\n3,49\n4,48\n"


def test_dial_figures_without_their_turns_are_refused_with_their_rows():
    with pytest.raises(InputErrors) as told:
        _read(WILD)
    assert len(told.value.problems) == 1
    assert "rows 3 to 6" in str(told.value)
    assert "65 may mean x.65 mm" in str(told.value)


def test_dial_figures_that_were_kept_are_not_lost():
    assert _values(_read(WILD, as_written=True))[1] == (1, 65)


@pytest.mark.parametrize("factor", [-1.0, 1 / 25.4, 0.0])
def test_a_gauge_that_counts_down_an_inch_dial_and_an_axis_at_rest_may_be_read(factor):
    rows = "".join(f"{told},{factor * told:.3f}\n" for told in range(20))
    assert _read(f"told,read\n{rows}").count == 20


def test_a_fault_of_many_rows_is_told_once():
    rows = "".join(f"a,fine-steps,sofa,{i},{i / 10},0\n" for i in range(9))
    with pytest.raises(InputErrors) as told:
        _read(f"run,test,station,seq,target_mm,reading_mm\n{rows}", arrangement=TWO_SCREW)
    assert str(told.value).count("sofa") == 1
    assert "The same in rows 3 to 10." in str(told.value)


@pytest.mark.parametrize("rule", ["|---|---|\n", "| :-- | --: |\n", ""])
def test_a_table_in_markdown_is_read(rule):
    rows = "".join(f"| {told} | {read} |\n" for told, read in TOLD_AND_READ)
    assert _values(_read(f"| told | read |\n{rule}{rows}")) == TOLD_AND_READ


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
    remarks = " ".join(_read(f"told,read\n{rows}", station="nut").remarks)
    assert "taken as millimetres" in remarks
    assert ("look like inches" in remarks) == looks
    assert "home from above" in remarks
    told = _read(f"told,read\n{rows}", station="nut", unit="inch").remarks
    assert "taken as millimetres" not in " ".join(told)
