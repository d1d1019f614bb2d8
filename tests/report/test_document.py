"""The report as a page: whole, quiet toward the network, deaf to markup in what people typed."""

import re
from base64 import b64decode
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from plumbrise.cautions import DEFER, HAZARDS, MEASURING
from plumbrise.redesign import Choice, Line, Span
from plumbrise.report import headline, html_report, summary_paragraph
from plumbrise.report.doubts import assumptions

HOSTILE = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>&amp;{{7*7}}</pre>"
FREE = Span(0, 0, 0)
VOID = {"meta", "br", "hr", "img", "link", "input"}


class Page(HTMLParser):
    """Reads a page and notes what is open, what is loaded, and which ids there are."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.crossed: list[str] = []
        self.addresses: list[str] = []
        self.ids: list[str] = []
        self.tags: list[str] = []
        self.handlers: list[str] = []
        self.words: list[str] = []
        self.headings: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        if tag not in VOID:
            self.open.append(tag)
        for name, value in attrs:
            if name in ("src", "href", "xlink:href", "action", "data", "srcset"):
                self.addresses.append(value)
            if name == "id":
                self.ids.append(value)
            if name.startswith("on"):
                self.handlers.append(name)

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.crossed.append(tag)

    def handle_data(self, data):
        if "style" not in self.open:
            self.words.append(data)
        if self.open and re.fullmatch("h[1-6]", self.open[-1]):
            self.headings.append(self.open[-1])


def report(machine, readings, analysis, answer, **changed) -> str:
    texts = {
        "when": "2026-11-25",
        "version": "9.8.7",
        "machine_text": "format = 1\n",
        "readings_text": "run,test\nä,b\n",
    }
    return html_report(machine, readings, analysis, answer, **{**texts, **changed})


@pytest.fixture(scope="module")
def text(session, answer) -> str:
    return report(*session, answer)


@pytest.fixture(scope="module")
def page(text) -> Page:
    return Page(text)


def visible(page: Page) -> str:
    return " ".join("".join(page.words).replace("\xa0", " ").split())


def test_every_tag_is_closed_where_it_should_be(page):
    assert page.crossed == []
    assert page.open == []


def test_nothing_is_fetched_from_anywhere(page, text):
    assert all(a.startswith(("#", "data:")) for a in page.addresses)
    assert "@import" not in text
    assert not re.search(r"url\((?![\"']?(?:data:|#))", text)
    assert "script" not in page.tags


def test_ids_are_unique_and_links_within_the_page_lead_somewhere(page):
    assert len(set(page.ids)) == len(page.ids)
    assert {a[1:] for a in page.addresses if a.startswith("#")} <= set(page.ids)


def test_the_title_is_the_answer_and_the_only_first_heading(page, session, answer):
    assert page.headings.count("h1") == 1
    assert headline(*session, answer) in visible(page)
    assert summary_paragraph(*session, answer) in visible(page)


def test_the_page_tells_every_set_up_caution_and_assumption(page, session):
    words = visible(page)
    machine, _, analysis = session
    assert all(f"{run.run.name}: " in words for run in analysis.runs)
    assert all(hazard.words in words for hazard in MEASURING)
    assert DEFER in words
    assert all(assumed.words in words for assumed in assumptions(machine))


def test_the_data_can_be_taken_out_word_for_word(page):
    kept = [a for a in page.addresses if a.startswith("data:text/csv")]
    assert b64decode(kept[0].partition("base64,")[2]).decode() == "run,test\nä,b\n"


def test_the_same_answer_gives_the_same_page(text, session, answer):
    assert report(*session, answer) == text


def test_tables_have_heads_for_screen_readers(text):
    assert text.count("<table") == text.count("<caption>") == text.count("<thead>")
    assert "<th>" not in text


def test_language_and_width_are_declared(text):
    assert '<html lang="en">' in text
    assert 'name="viewport"' in text


def hostile_session(session, answer):
    machine, readings, analysis = session
    run = readings.runs[1]
    typed = tuple(replace(r, note=HOSTILE) for r in run.readings)
    bad_run = replace(run, name=HOSTILE, readings=typed, stand_on=HOSTILE)
    bad_analysis = replace(
        analysis,
        runs=tuple(replace(a, run=bad_run) if a.run is run else a for a in analysis.runs),
        remarks=(HOSTILE,),
    )
    bad_readings = replace(
        readings,
        runs=tuple(bad_run if r is run else r for r in readings.runs),
        remarks=(HOSTILE,),
        unknown_columns=(HOSTILE,),
    )
    bad_answer = replace(answer, doubts=(HOSTILE,))
    return replace(machine, name=HOSTILE, note=HOSTILE), bad_readings, bad_analysis, bad_answer


def test_markup_in_what_people_typed_stays_text(session, answer):
    bad = Page(
        report(
            *hostile_session(session, answer),
            when=HOSTILE,
            version=HOSTILE,
            machine_text=HOSTILE,
            readings_text=HOSTILE,
        )
    )
    assert "script" not in bad.tags
    assert "img" not in bad.tags
    assert bad.handlers == []
    assert bad.crossed == []
    assert "{{7*7}}" in visible(bad)
    assert visible(bad).count("alert(1)") > 5


def test_an_answer_that_knows_nothing_still_gives_a_page(session, answer):
    bare = replace(
        answer, causes=(), links=(), sides=(), sets=(), groups=(), next_tests=(), doubts=()
    )
    page = Page(report(*session, bare))
    assert page.crossed == []
    assert "cannot tell yet" in visible(page).lower()


@pytest.fixture(scope="module")
def with_changes(session, answer, proposal) -> str:
    return report(*session, answer, proposal=proposal)


def test_a_report_without_a_proposal_has_no_word_of_changes(page):
    assert "redesign" not in page.ids
    assert "What to change" not in visible(page)


def test_what_to_change_stands_in_the_page_whole(with_changes, proposal):
    page = Page(with_changes)
    words = visible(page)
    chosen = proposal.chosen
    assert page.crossed == []
    assert len(set(page.ids)) == len(page.ids)
    assert "What to change" in words
    assert all(change.title in words for change in chosen.changes)
    assert all(line.part.name in words and line.size in words for line in chosen.parts)
    assert all(note in words for note in (*chosen.constraints, *chosen.warnings))
    assert all(HAZARDS[one].words in words for c in chosen.changes for one in c.hazards)


def test_each_sum_has_its_equation_inputs_and_trust(with_changes, proposal):
    words = visible(Page(with_changes))
    worked = [one.sheet for one in proposal.chosen.sums if one.sheet is not None]
    assert worked
    for sheet in worked:
        assert all(f"{one.symbol} = {one.equation}" in words for one in sheet.worked.sums)
        assert all(one.asked.words in words for one in sheet.used if one.value is not None)
        assert all(str(one.trust) in words for one in sheet.used)
    assert "Not worked yet." in words


def test_the_changed_page_fetches_nothing_and_its_tables_have_heads(with_changes):
    page = Page(with_changes)
    assert all(a.startswith(("#", "data:")) for a in page.addresses)
    assert with_changes.count("<table") == with_changes.count("<caption>")
    assert with_changes.count("<table") == with_changes.count("<thead>")
    assert "<th>" not in with_changes


def test_a_proposal_of_nothing_leaves_out_parts_and_sums(session, answer, proposal):
    idle = Choice(Line((), FREE, FREE, 0.9), (), (), (), (), {}, (), ())
    words = visible(Page(report(*session, answer, proposal=replace(proposal, chosen=idle))))
    assert "Proposed: change nothing." in words
    assert "New parts" not in words
    assert "The sums behind it" not in words


def test_a_proposal_that_can_say_nothing_still_gives_a_page(session, answer, proposal):
    bare = replace(proposal, chosen=None, limited_by="Nothing can be said of this target.")
    page = Page(report(*session, answer, proposal=bare))
    assert page.crossed == []
    assert "Nothing can be said of this target." in visible(page)


def test_a_hostile_name_stays_text_beside_a_proposal(session, answer, proposal):
    hostile = hostile_session(session, answer)
    typed = replace(proposal, currency=HOSTILE, limited_by=HOSTILE)
    bad = Page(report(*hostile, proposal=typed))
    assert "script" not in bad.tags
    assert "img" not in bad.tags
    assert bad.handlers == []
