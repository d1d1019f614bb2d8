"""Results in sentences, tables and documents."""

from plumbrise.report.words import (
    FIGURE_NAMES,
    analysis_text,
    answer_text,
    headline,
    summary_paragraph,
)

__all__ = [
    "FIGURE_NAMES",
    "analysis_text",
    "answer_text",
    "headline",
    "summary_paragraph",
]
