"""Run the examples of the manual, and write what they print into its pages.

    .venv/bin/python scripts/examples.py

A page is run from top to bottom in an empty folder. A block marked `console` holds commands after
"$ " and what they print; what does not end well shows its message too. A block under a line
`<!-- file: NAME -->` is written to that file. A test compares what is printed with the page.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

DOCS = Path(__file__).resolve().parents[1] / "docs"
BLOCK = re.compile(
    r"(?:^<!-- file: (?P<file>\S+) -->\n)?^```(?P<kind>[\w-]*)\n(?P<text>.*?)^```$",
    re.MULTILINE | re.DOTALL,
)
PLACES = {
    **os.environ,
    "PATH": f"{Path(sys.executable).parent}{os.pathsep}{os.environ.get('PATH', '')}",
    "COLUMNS": "80",
    "NO_COLOR": "1",
    "PYTHONIOENCODING": "utf-8",
}


def pages() -> list[Path]:
    """The pages that hold examples."""
    return sorted(
        page
        for page in DOCS.rglob("*.md")
        if "_build" not in page.parts
        and re.search(r"^```(console|python)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    )


def blocks(text: str, folder: Path) -> Iterator[re.Match[str]]:
    """The blocks of a page that are run, in order; files are written on the way."""
    for block in BLOCK.finditer(text):
        if block["file"]:
            (folder / block["file"]).write_text(block["text"], encoding="utf-8")
        elif block["kind"] in ("console", "python"):
            yield block


def printed(commands: str, folder: Path) -> str:
    """A console block as it comes out now."""
    lines = []
    for command in re.findall(r"^\$ (.*)$", commands, re.MULTILINE):
        done = subprocess.run(
            command, shell=True, cwd=folder, env=PLACES, capture_output=True, text=True, check=False
        )
        said = done.stdout + (done.stderr if done.returncode else "")
        lines += [f"$ {command}", *(line.rstrip() for line in said.splitlines())]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    for page in pages():
        text = page.read_text(encoding="utf-8")
        pieces, at = [], 0
        with tempfile.TemporaryDirectory() as folder:
            for block in blocks(text, Path(folder)):
                if block["kind"] == "console":
                    pieces += [text[at : block.start("text")], printed(block["text"], Path(folder))]
                    at = block.end("text")
        page.write_text("".join([*pieces, text[at:]]), encoding="utf-8", newline="\n")
