"""The story of a change as one HTML file to publish: no network, data inside."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256

from plumbrise.report.document import environment, style_sheet
from plumbrise.report.pictures import Pictures
from plumbrise.report.proof_section import Proved, proof_section
from plumbrise.report.setting import strings

CHART_PX, PHONE_PX = 780, 344


@dataclass(frozen=True, slots=True)
class Attached:
    """A file that lies in the page: its name, kind, text, and the beginning of its SHA-256."""

    name: str
    kind: str
    text: str

    @property
    def checksum(self) -> str:
        """The first sixteen digits, to compare by eye."""
        return sha256(self.text.encode()).hexdigest()[:16]


def story_page(
    proved: Proved,
    *,
    files: Sequence[Attached],
    when: str,
    version: str,
) -> str:
    """The story as HTML.

    Args:
        proved: the sessions and their proofs; the last is the one that the page tells of.
        files: what lies in the page, word for word.
        when: the day to print; no clock is read here.
        version: the program's version.
    """
    machine = proved.afters[-1].machine
    pictures = Pictures(width_px=CHART_PX, narrow_px=PHONE_PX, follows_page=True)
    return (
        environment()
        .get_template("story.html")
        .render(
            p=strings(proof_section(proved, pictures)),
            style=style_sheet(),
            name=machine.name,
            invented=machine.invented,
            when=when,
            version=version,
            note=machine.note,
            files=[(one, b64encode(one.text.encode()).decode("ascii")) for one in files],
        )
    )
