"""The sheet of readings: what it asks of a table that does not say it, and what it refuses."""

import re

STEPS = "0,0\n0.04,0.02\n0.08,0.06\n0.12,0.10\n"
"""A staircase in inches, told and read."""


def test_the_sheet_asks_all_that_its_messages_name(known, pasted, shelf):
    page = known.get(f"{pasted}/readings").text
    assert set(re.findall(r'<select name="(\w+)"', page)) == {"station", "test", "unit"}
    down = "told,read\n1,1\n0,0.2\n1,0.9\n"
    refused = known.post(f"{pasted}/readings", data={"table": down, "station": "nut"})
    assert refused.status_code == 422
    assert 'value="nut" selected' in refused.text
    given = {"station": "nut", "test": "reversal", "unit": "mm"}
    assert known.post(f"{pasted}/readings", data={"table": down, **given}).status_code == 303
    inches = {"table": STEPS, "station": "nut", "unit": "inch"}
    assert known.post(f"{pasted}/readings", data=inches).status_code == 303
    assert shelf.readings(1).runs[-1].readings[1].target_mm == 1.016


def test_an_empty_file_is_said_to_be_empty_and_no_other_table_stands_in_for_it(known, pasted):
    for table in ("", STEPS):
        data = {"table": table, "station": "nut"}
        answer = known.post(f"{pasted}/readings", data=data, files={"file": ("a.csv", b"")})
        assert answer.status_code == 422
        assert "a.csv" in answer.text
