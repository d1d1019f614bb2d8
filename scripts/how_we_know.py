"""Write the page "How we know" from the tests against published values.

    .venv/bin/python scripts/how_we_know.py

It reads the tests, it does not run them: what it lists passes whenever the test command passes.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parents[1]
TESTS = REPOSITORY / "tests" / "published"
PAGE = REPOSITORY / "docs" / "methods" / "how-we-know.md"
NAME = re.compile(r"test_([A-Z][A-Z0-9]*(?:_\d+[a-z]?)+)_(.+)")
SURE = (
    (r"real data|published data|data of others|data read|measured by others", "data of others"),
    (r"from memory", "from memory"),
    (
        r"closed form|identity|by hand|exact arithmetic|invented|constructed|trigonometry",
        "closed form",
    ),
    (r"(?<!not )\bseen\b", "seen in print"),
    (r"excerpted|certified|strd", "seen in print"),
    (r"follows|holds for|law of|definition", "closed form"),
)
"""What a docstring says -> how sure the page calls it; the first line that fits counts."""

HEAD = """\
<!-- Made by scripts/how_we_know.py from tests/published/. Do not edit. -->

# How we know

Each line is one test against something outside this project: a standard, a book, reference data, or a closed form. The
test holds the value and the tolerance, and it runs with every other test. How sure the outside value is stands last:

- **seen in print**: the published figure was seen, and recomputed;
- **from memory**: the figure or formula is recalled from the named source, recomputed, but not looked up again;
- **closed form**: no print behind it; it follows from the definition;
- **data of others**: measured data that others published.

*Not met* marks a value that we do not reach, with the reason; the test fails on the day that we do, so the mark
cannot outlive its reason. Data sets do not travel with the program: where they are missing, their tests say so and are
passed over.
"""


@dataclass(frozen=True, slots=True)
class Check:
    """One published check, as its test tells it."""

    id: str
    what: str
    source: str
    sure: str
    not_met: str


def checks(file: Path) -> Iterator[Check]:
    """The checks of one test file, in the order written."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    general = ast.get_docstring(tree) or ""
    for node in ast.walk(tree):
        found = NAME.fullmatch(node.name) if isinstance(node, ast.FunctionDef) else None
        if found is None or not isinstance(node, ast.FunctionDef):
            continue
        own = ast.get_docstring(node) or ""
        yield Check(
            id=found[1].replace("_", "-"),
            what=found[2].replace("_", " "),
            source=_source(own) or _source(general),
            sure=_sure(own) or _sure(general) or "see the test",
            not_met=_not_met(node),
        )


def page() -> str:
    """The whole page."""
    parts = [HEAD]
    for file in sorted(TESTS.rglob("test_*.py")):
        found = sorted(checks(file), key=lambda check: _in_order(check.id))
        if not found:
            continue
        subject = file.stem.removeprefix("test_").replace("_", " ")
        about = _source(ast.get_docstring(ast.parse(file.read_text(encoding="utf-8"))) or "")
        parts.append(f"## {subject[0].upper()}{subject[1:]}\n\n{about}\n\n{_table(found)}\n")
    total = sum(part.count("\n| ") - 2 for part in parts[1:])  # head and rule of each table
    parts.insert(1, f"{total} checks.\n")
    return "\n".join(parts)


def _table(found: list[Check]) -> str:
    lines = ["| check | what | source | how sure |", "| --- | --- | --- | --- |"]
    for check in found:
        what = f"{check.what}. *Not met*: {check.not_met}" if check.not_met else check.what
        cells = (check.id, what, check.source, check.sure)
        lines.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
    return "\n".join(lines)


def _source(docstring: str) -> str:
    """The first paragraph in one line."""
    return " ".join(docstring.strip().partition("\n\n")[0].split())


def _sure(docstring: str) -> str:
    words = " ".join(docstring.split()).lower()
    return next((name for said, name in SURE if re.search(said, words)), "")


def _not_met(node: ast.FunctionDef) -> str:
    """The reason of an expected failure, put on the test or met inside it."""
    for inner in ast.walk(node):
        if isinstance(inner, ast.Call) and ast.unparse(inner.func).endswith("xfail"):
            for keyword in inner.keywords:
                if keyword.arg == "reason" and isinstance(keyword.value, ast.Constant):
                    return str(keyword.value.value)
            return "see the test"
    return ""


def _in_order(check_id: str) -> tuple[str, ...]:
    return tuple(piece.zfill(4) if piece[0].isdigit() else piece for piece in check_id.split("-"))


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8", newline="\n")
