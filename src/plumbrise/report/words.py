"""Results in sentences: the one place where what was found becomes English.

Each subject has its file; this one gathers what other rooms use.
"""

from plumbrise.report.answer import answer_text, cause_lines, left_over_sentence, next_test_title
from plumbrise.report.doubts import (
    Assumption,
    assumption_lines,
    assumptions,
    odd_lines,
    what_stays_unsure,
)
from plumbrise.report.figures_said import analysis_text, how_measured, run_sentence
from plumbrise.report.headline import (
    CAUSE_SENTENCES,
    headline,
    named_causes,
    sides_sentence,
    summary_paragraph,
)
from plumbrise.report.names import FIGURE_NAMES, figure_name, station_name

__all__ = [
    "CAUSE_SENTENCES",
    "FIGURE_NAMES",
    "Assumption",
    "analysis_text",
    "answer_text",
    "assumption_lines",
    "assumptions",
    "cause_lines",
    "figure_name",
    "headline",
    "how_measured",
    "left_over_sentence",
    "named_causes",
    "next_test_title",
    "odd_lines",
    "run_sentence",
    "sides_sentence",
    "station_name",
    "summary_paragraph",
    "what_stays_unsure",
]
