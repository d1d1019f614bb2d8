"""The foresee sheet: the print in the address, what comes of it, bands, remedies, the test part."""

import csv
import re
import time
from html import unescape
from io import StringIO

import numpy as np
import pytest

from plumbrise.foresee import Lift, Print, Start, foresee
from plumbrise.foresee.motion_lines import motion_lines
from plumbrise.redesign.foreseen import before_and_after, foresee_after
from plumbrise.report.foresee_words import headline
from plumbrise.web.foresee_asked import SLIDES, Asked, asked_in, query_of
from plumbrise.web.foresee_page import forecast_of

SCRIPT = "<script>alert(1)</script>"
TRAVELS = 'arrangement = "one-screw"\n[travel]\nheight_mm = 250.0\n[screw]\nlead_mm = 8.0\n'
STEPS = "told,read\n0,0\n1,0.62\n2,1.58\n3,2.57\n4,3.58\n5,4.57\n"


def words(answer) -> str:
    said = re.sub(r"<[^>]+>", " ", re.sub(r"<svg.*?</svg>", " ", answer.text, flags=re.DOTALL))
    return re.sub(r"\s+", " ", unescape(said).replace("\xa0", " "))


def explained(known, machine: str) -> str:
    """The address of its foresee sheet, once its readings are explained."""
    until = time.monotonic() + 120
    while known.get(f"{machine}/run.json").json()["state"] != "done":
        assert time.monotonic() < until
        known.get(machine)
        time.sleep(0.1)
    return f"{machine}/foresee"


@pytest.fixture
def sheet(known, pasted):
    return explained(known, pasted)


@pytest.fixture
def moving(known, shelf):
    """The sheet of a machine whose travel is known, so that motion lines can be proved."""
    made = shelf.import_(TRAVELS, STEPS, station="gantry-left", test="coarse-steps")
    return explained(known, f"/m/{made}")


def foreseen(bench, job: Print, machine: int = 1):
    return forecast_of(bench, bench.story(machine, wait_s=60), job)


def test_without_readings_the_sheet_says_what_to_do(known):
    known.post("/machines", data={"arrangement": "one-screw"})
    answer = known.get("/m/1/foresee")
    assert answer.status_code == 200
    assert "A forecast needs readings" in words(answer)
    assert 'href="/m/1/plan"' in answer.text


def test_what_fits_measured_bands_is_told_before_anything_was_read(known):
    known.post("/machines", data={"arrangement": "one-screw", "lead": "8"})
    known.post("/m/1/machine/screw", data={"lead_mm": "8"})
    said = words(known.get("/m/1/foresee?spacing=40&layer=0.2"))
    assert "Nothing on this axis, as it is described, repeats like this." in said
    assert "What else makes bands" in said


def test_bands_a_lead_apart_are_laid_at_the_screw(known, sheet):
    assert "The screw, once a turn (8 mm): 8.00 mm apart" in words(known.get(f"{sheet}?spacing=8"))


def test_the_sheet_shows_layers_wall_remedies_and_what_stays_unsure(known, sheet):
    answer = known.get(sheet)
    for part in ("Thickness, layer by layer", "The layers in words", "Remedies that cost nothing",
                 "What stays unsure", "A part to print as a gauge"):  # fmt: skip
        assert part in words(answer)
    assert answer.text.count("<svg") > 3


def test_every_layer_of_the_sheet_is_that_of_the_forecast(known, bench, sheet):
    found = foreseen(bench, Print(layers=3, layer_mm=0.3))
    page = known.get(f"{sheet}?layers=3&layer=0.3").text
    left = re.search(r'<details id="at-left".*?</details>', page, re.DOTALL)[0]
    rows = re.findall(r"</span>(\d+)</th><td[^>]*>([\d.]+)</td><td[^>]*>([\d.]+)", left)
    assert [(int(n), float(told)) for n, told, _ in rows] == [(1, 0.3), (2, 0.6), (3, 0.9)]
    for layer, (_, _, out) in zip(found.layers, rows, strict=True):
        assert float(out) == pytest.approx(layer.at["left"].gap_mm.estimate, abs=0.0005)


def test_the_sheet_foresees_what_the_terminal_foresees(bench, sheet):
    story, job = bench.story(1, wait_s=60), Print(layers=4)
    terminal = foresee(story.machine, story.explanation, job, rng=np.random.default_rng(0))
    for _ in range(2):
        assert foreseen(bench, job).layers == terminal.layers


def test_coming_from_below_changes_layer_one(known, bench, sheet):
    down, up = (foreseen(bench, Print(start=start)) for start in (Start.DOWN, Start.UP))
    assert up.layers[0].at["left"].gap_mm.estimate < down.layers[0].at["left"].gap_mm.estimate
    assert words(known.get(f"{sheet}?start=up")) != words(known.get(f"{sheet}?start=down"))


def test_the_title_block_holds_what_the_last_print_came_to(known, sheet, pasted):
    cell = r'href="/m/1/foresee"[^>]*><b>Foresee</b>([^<]+)<'
    assert re.search(cell, known.get(pasted).text)[1] == "what a print will show"
    known.get(sheet)
    assert re.search(cell, known.get(pasted).text)[1].startswith(("layer", "layers"))


def test_the_lines_that_are_kept_are_those_proved_for_that_remedy(known, bench, shelf, moving):
    found = foreseen(bench, Print(lift=Lift.SOME), machine=1)
    assert found.remedies
    for one in found.remedies:
        answer = known.get(f"{moving}/lines/{one.id}?lift=some")
        assert answer.text.splitlines() == list(one.lines)
        assert answer.text.splitlines() == list(motion_lines(shelf.machine(1), one.job))
        assert "attachment" in answer.headers["content-disposition"]
    page = known.get(f"{moving}?lift=some").text
    assert page.index("Fingers, hair and sleeves") < page.index("Motion lines</summary>")


def test_lines_that_are_not_proved_are_not_handed_out(known, sheet):
    assert words(known.get(sheet)).count("No lines that move the axis") == 1
    for one in ("dip", "lift-every-layer", "nothing", "..%2f..", "%00"):
        assert known.get(f"{sheet}/lines/{one}").status_code == 404


def test_a_remedy_leads_to_the_print_that_comes_of_it(known, bench, moving):
    for one in foreseen(bench, Print()).remedies:
        asked, wrong = asked_in(_query(query_of(one.job)))
        assert wrong == {}
        assert query_of(asked.job) == query_of(one.job)
        assert f"{moving}?{query_of(one.job)}" in unescape(known.get(moving).text)


def _query(text: str):
    from starlette.datastructures import QueryParams

    return QueryParams(text)


def test_after_a_change_the_print_is_foretold_beside_what_it_is_now(known, bench, moving):
    now = words(known.get(moving))
    answer = known.get(f"{moving}?with=thrust-bearing")
    said = words(answer)
    assert "After: thrust bearing that carries the weight." in said
    assert "As the axis is now: layer" in said
    assert "As the axis is now" not in now
    assert re.search(r'value="thrust-bearing" checked', answer.text)
    story = bench.story(1, wait_s=60)
    rng = np.random.default_rng(0)
    axes = before_and_after(story.machine, story.explanation.believed, ["thrust-bearing"], rng)
    terminal = foresee_after(axes, Print(), rng)
    assert terminal.before.layers == foreseen(bench, Print()).layers
    shown = forecast_of(bench, story, Print(), ("thrust-bearing",))
    assert shown.layers == terminal.layers
    for one in shown.remedies:
        lines = known.get(f"{moving}/lines/{one.id}?with=thrust-bearing")
        assert lines.text.splitlines() == list(one.lines)


def test_changes_that_do_not_go_together_are_said_and_left_out(known, sheet):
    both = "with=second-screw-tied&with=second-screw-motor"
    answer = known.get(f"{sheet}?{both}")
    assert answer.status_code == 422
    assert re.search(r'id="with-wrong" data-swap>[^<]+<', answer.text)
    assert "Thickness, layer by layer" in words(answer)
    assert known.get(f"{sheet}?with=magic").status_code == 200


def test_bands_are_laid_at_common_screws_with_no_machine_at_all(known):
    said = words(known.get("/bands?spacing=1.6"))
    assert "A motor of 200 steps on a lead of 8 mm" in said
    assert "Heater of nozzle or bed" in said
    assert 'href="/bands"' in known.get("/").text
    wrong = known.get("/bands?spacing=wide")
    assert wrong.status_code == 422
    assert re.search(r'id="spacing-wrong" data-swap>[^<]+<', wrong.text)


def test_a_part_that_is_kept_stands_with_the_answer_until_it_is_left_out(known, sheet, pasted):
    rows = list(csv.DictReader(StringIO(known.get(f"{sheet}/part.csv").text)))
    measured = {f"{r['place']}-{r['layers']}": r["expected_mm"] for r in rows}
    shown = known.get(f"{sheet}/part", params=measured)
    assert "What the printed part says" not in words(known.get(pasted))
    sent = {"do": "keep", "address": shown.url.query.decode()}
    assert known.post(f"{sheet}/part/keep", data=sent).headers["location"] == f"{pasted}#part"
    answer = known.get(pasted)
    assert "What the printed part says" in words(answer)
    assert "axes print like this" in words(answer)
    back = re.search(r'href="([^"]+)">What was measured on the part', answer.text)[1]
    assert 'value="' + rows[0]["expected_mm"] in known.get(unescape(back)).text
    known.post(f"{sheet}/part/keep", data={**sent, "do": "leave"})
    assert "What the printed part says" not in words(known.get(pasted))


@pytest.mark.parametrize("address", ["", "left-1=0.2", "left-1=x&layer=y", SCRIPT, "a=" * 900])
def test_a_part_with_too_little_to_keep_is_not_kept(address, known, sheet, pasted):
    answer = known.post(f"{sheet}/part/keep", data={"do": "keep", "address": address})
    assert answer.status_code in (303, 422)
    assert SCRIPT not in answer.text
    assert "What the printed part says" not in words(known.get(pasted))


def test_fields_left_empty_do_not_stay_in_the_address(known, sheet):
    answer = known.get(f"{sheet}?layer=0.3&first=&spacing=")
    assert answer.status_code == 303
    assert answer.headers["location"] == f"{sheet}?layer=0.3"


def test_what_was_typed_stays_in_its_field_with_its_unit(known, sheet):
    page = known.get(f"{sheet}?layer=8+thou&lift=every&spacing=0.3+in").text
    assert 'name="layer" value="8 thou"' in page
    assert 'name="spacing" value="0.3 in"' in page
    assert '<option value="every" selected>' in page


def test_nothing_given_is_the_usual_print():
    assert asked_in(_query("")) == (Asked(), {})
    assert Asked().job == Print()


WRONG = [
    ("layer=x", "layer"),
    ("layer=3+kg", "layer"),
    ("layer=-1", "layer"),
    ("layer=nan", "layer"),
    ("layer=1e300", "layer"),
    ("layer=" + "9" * 400, "layer"),
    ("layers=2.5", "layers"),
    ("layers=0", "layers"),
    ("layers=99999999", "layers"),
    ("width=0.1&layer=0.3", "width"),
    ("layer=0.9", "width"),
    ("place=4999", "place"),
    ("place=-1", "place"),
    ("offset=-0.5", "offset"),
    ("dip=1.9", "dip"),
    ("lift-by=inf", "lift-by"),
    ("probe=51", "probe"),
    ("spiral=yes&lift=some", "lift"),
    ("spacing=0", "spacing"),
    ("spacing=-3", "spacing"),
    ("layer-time=0", "layer-time"),
]


@pytest.mark.parametrize(("query", "field"), WRONG)
def test_what_cannot_be_used_is_said_at_its_field(query, field, known, sheet):
    answer = known.get(f"{sheet}?{query}")
    assert answer.status_code == 422
    assert re.search(rf'id="{field}-wrong" data-swap>[^<]+<', answer.text)
    assert "Thickness, layer by layer" in words(answer)


@pytest.mark.parametrize("field", [*SLIDES, "start", "lift", "spiral", "left-1", "nothing"])
def test_script_typed_into_a_field_is_text(field, known, sheet):
    for place in (sheet, f"{sheet}/part", f"{sheet}/part.csv"):
        answer = known.get(place, params={field: SCRIPT})
        assert answer.status_code < 500
        assert SCRIPT not in answer.text


def test_the_part_says_how_thick_each_square_should_be(known, sheet):
    rows = list(csv.DictReader(StringIO(known.get(f"{sheet}/part.csv").text)))
    assert {row["place"] for row in rows} == {"left", "middle", "right"}
    page = known.get(f"{sheet}/part").text
    for row in rows:
        assert f'name="{row["place"]}-{row["layers"]}"' in page
        assert f"<b>{float(row['expected_mm']):.2f} (" in page


def test_a_part_as_expected_fits_and_one_too_thick_by_far_is_odd(known, sheet):
    rows = list(csv.DictReader(StringIO(known.get(f"{sheet}/part.csv").text)))
    as_expected = {f"{r['place']}-{r['layers']}": r["expected_mm"] for r in rows}
    assert "axes print like this" in words(known.get(f"{sheet}/part", params=as_expected))
    far = {name: str(2 + 7 * k % 5) for k, name in enumerate(as_expected)}
    assert "No axis that is believed" in words(known.get(f"{sheet}/part", params=far))


def test_two_squares_say_nothing_yet(known, sheet):
    said = words(known.get(f"{sheet}/part?left-1=0.2&left-2=0.3"))
    assert "Three squares or more say something" in said


def test_a_square_that_cannot_be_used_is_said_at_it_and_the_rest_counts(known, sheet):
    answer = known.get(f"{sheet}/part?left-1=thin&left-2=0.3&left-3=0.5&left-5=0.9")
    assert answer.status_code == 422
    assert re.search(r'id="left-1-wrong" data-swap>[^<]+<', answer.text)
    assert "What the printed part says" in words(answer)


def test_without_an_answer_there_is_no_part(known):
    known.post("/machines", data={"arrangement": "two-screw"})
    assert "needs an explained axis" in words(known.get("/m/1/foresee/part"))
    assert known.get("/m/1/foresee/part.csv").status_code == 404


def test_too_few_readings_are_said_to_be_too_few(known, shelf):
    made = shelf.import_(
        'arrangement = "one-screw"\n',
        "told,read\n0,0\n",
        station="gantry-left",
        test="coarse-steps",
    )
    sheet = explained(known, f"/m/{made}")
    answer = known.get(sheet)
    assert answer.status_code == 200
    assert "Cannot tell yet what a print will show" in words(answer)
    after = known.get(f"{sheet}?with=thrust-bearing")
    assert after.status_code == 422
    assert re.search(r'id="with-wrong" data-swap>[^<]*too few were read[^<]*<', after.text)


def test_on_the_sheet_of_bands_a_thick_layer_needs_no_line_width(known):
    answer = known.get("/bands?spacing=8&layer=0.8")
    assert answer.status_code == 200
    assert "on layers of 0.8 mm" in words(answer)
    wrong = known.get("/bands?spacing=8&layer=x")
    assert wrong.status_code == 422
    assert re.search(r'id="layer-wrong" data-swap>[^<]+<', wrong.text)


def test_an_axis_too_short_for_any_print_says_so(known, shelf):
    short = TRAVELS.replace("250.0", "4.0")
    made = shelf.import_(short, STEPS, station="gantry-left", test="coarse-steps")
    answer = known.get(explained(known, f"/m/{made}"))
    assert "as far as the axis goes" in words(answer)


def test_a_part_that_is_kept_bars_no_answer_once_the_machine_is_narrower(known, sheet, pasted):
    rows = list(csv.DictReader(StringIO(known.get(f"{sheet}/part.csv").text)))
    measured = {f"{r['place']}-{r['layers']}": r["expected_mm"] for r in rows}
    shown = known.get(f"{sheet}/part", params=measured)
    sent = {"do": "keep", "address": shown.url.query.decode()}
    known.post(f"{sheet}/part/keep", data=sent)
    known.post(f"{pasted}/machine/guide", data={"span_mm": "150"})
    explained(known, pasted)
    answer = known.get(pasted)
    assert answer.status_code == 200
    assert "this part cannot be weighed" in words(answer)


def test_what_brackets_hold_is_said_beside_them(known, sheet):
    assert "Figures in brackets hold 90 % of prints" in words(known.get(sheet))


def files_of(answer) -> dict[str, str]:
    """Where the report sheet keeps each report."""
    found = re.findall(r'href="/m/1/files/(report[^"]+)" download>([^<]+)<', answer.text)
    return {title: f"/m/1/files/{unescape(address)}" for address, title in found}


def test_the_report_foresees_the_print_that_was_last_foreseen_until_it_is_left_out(
    known, bench, sheet, pasted
):
    plain = known.get(f"{pasted}/report")
    assert all("foresee" not in address for address in files_of(plain).values())
    assert 'id="foresee"' not in known.get(files_of(plain)["Report, one page"]).text
    known.get(f"{sheet}?layer=8+thou&lift=every&layers=12")
    shown = known.get(f"{pasted}/report")
    found = foreseen(bench, Print(layer_mm=0.2032, layers=12, lift=Lift.EVERY))
    lead = headline(bench.story(1, wait_s=60).machine, found)
    assert lead in words(shown)
    files = files_of(shown)
    assert files["Report, PDF on letter"].startswith("/m/1/files/report.pdf?paper=letter&foresee=")
    report = known.get(files["Report, one page"])
    assert 'id="foresee"' in report.text
    assert lead in words(report)
    left_out = unescape(re.search(r'href="([^"]+)">Leave it out of the report<', shown.text)[1])
    without = known.get(left_out)
    assert files_of(without) == files_of(plain)
    back = unescape(re.search(r'href="([^"]+)">Put it into the report<', without.text)[1])
    assert files_of(known.get(back)) == files


def test_the_foresee_sheet_puts_its_print_after_a_change_into_the_report(known, sheet):
    shown = known.get(f"{sheet}?with=thrust-bearing&start=up").text
    into = unescape(re.search(r'href="([^"]+)">Put it into the report<', shown)[1])
    said = words(known.get(into))
    assert "After: thrust bearing that carries the weight." in said
    report = known.get(files_of(known.get(into))["Report, one page"])
    assert "After: thrust bearing that carries the weight." in words(report)


@pytest.mark.parametrize("query", ["layer=x", "layers=0", "place=4999", "start=up&lift-by=inf"])
def test_a_report_of_no_print_is_refused_and_the_sheet_says_why(query, known, sheet, pasted):
    refused = known.get(f"{pasted}/files/report.html?foresee=yes&{query}")
    assert refused.status_code == 404
    assert "allowed" in words(refused)
    said = known.get(f"{pasted}/report?foresee=yes&{query}")
    assert said.status_code == 200
    assert "allowed" in words(said)
    assert all("foresee" not in address for address in files_of(said).values())


@pytest.mark.parametrize("query", [f"foresee={SCRIPT}", f"foresee=yes&layer={SCRIPT}", "foresee="])
def test_script_in_the_address_of_a_report_is_text(query, known, sheet, pasted):
    for place in (f"{pasted}/report", f"{pasted}/files/report.html"):
        answer = known.get(f"{place}?{query}")
        assert answer.status_code < 500
        assert SCRIPT not in answer.text
