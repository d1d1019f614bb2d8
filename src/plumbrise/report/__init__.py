"""Results in sentences, tables and documents."""

from plumbrise.report.document import html_report
from plumbrise.report.pdf import pdf_report
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
    "html_report",
    "pdf_report",
    "summary_paragraph",
]
