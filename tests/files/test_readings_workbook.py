"""Readings from a spreadsheet, and workbooks made to fill the memory."""

import io
import zipfile

import openpyxl
import pytest
from tables import TOLD_AND_READ, read, values

from plumbrise.errors import InputErrors


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
    readings = read(_xlsx(("Diary", [("rained", "all day")]), ("Tuesday", rows)))
    assert values(readings) == TOLD_AND_READ
    assert any("Tuesday" in remark for remark in readings.remarks)
    assert [r.row for r in readings.runs[0].readings] == [2, 3, 4, 5, 6]


def test_whole_numbers_of_a_spreadsheet_are_whole_numbers():
    rows = [("run", "test", "station", "seq", "target_mm", "reading_mm")]
    rows += [(1, "hold", "nut", i, 10, 0.01 * i) for i in range(3)]
    run = read(_xlsx(("S", rows))).runs[0]
    assert run.name == "1"
    assert [r.seq for r in run.readings] == [0, 1, 2]


def test_a_number_that_a_spreadsheet_made_a_date_is_told():
    import datetime

    rows = [("told", "read"), (0, 0), (1, datetime.date(2024, 8, 1)), (2, 1.8)]
    with pytest.raises(InputErrors, match=r"row 3, read.*date"):
        read(_xlsx(("S", rows)))


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
    assert values(read(_ods([("Told", "Read"), *TOLD_AND_READ]))) == TOLD_AND_READ


def test_an_open_document_that_repeats_a_full_cell_without_end_does_no_harm():
    many = '<table:table-cell table:number-columns-repeated="999999999" office:value-type="string"><text:p/></table:table-cell>'
    assert values(read(_ods([("Told", "Read"), *TOLD_AND_READ], many))) == TOLD_AND_READ


def test_a_cell_at_the_edge_of_a_sheet_is_refused_before_the_sheet_is_filled():
    book = openpyxl.Workbook()
    book.active["XFD1048576"] = 1
    made = io.BytesIO()
    book.save(made)
    with pytest.raises(InputErrors, match="XFD1048576"):
        read(made.getvalue())


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
        read(_rewritten(_far_cell(), elsewhere))


def test_a_far_cell_is_refused_however_its_place_is_spelt():
    with pytest.raises(InputErrors, match="ZZ20001"):
        read(_rewritten(_far_cell(), lambda n, c: (n, c.replace(b' r="', b' r = "'))))


def test_rows_that_repeat_a_little_each_are_counted_together():
    row = '<table:table-row table:number-rows-repeated="999"><table:table-cell/></table:table-row>'
    book = _ods([("Told", "Read"), *TOLD_AND_READ])
    many = _rewritten(
        book,
        lambda n, c: (n, c.replace(b"</table:table>", (row * 60).encode() + b"</table:table>")),
    )
    with pytest.raises(InputErrors, match="rows"):
        read(many)


def test_an_archive_that_unpacks_without_end_is_refused():
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", b"0" * 120_000_000)
    with pytest.raises(InputErrors, match="100 MB"):
        read(made.getvalue())
