"""The page on proving tells of its power what the stored pairs of sessions say."""

import json
from pathlib import Path

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs/methods/prove.md").read_text(encoding="utf-8")
SCORES = (ROOT / "docs/reference/scores.md").read_text(encoding="utf-8")
FOUND = json.loads((ROOT / "benchmarks/results/pairs.json").read_text(encoding="utf-8"))


def test_the_curve_on_the_page_is_the_stored_one():
    """The list of scores is made from the stored pairs; a test beside it holds it to them."""
    head = "| truly loses less by, mm |"
    _, _, rest = SCORES.partition(head)
    rows = rest.partition("\n\n")[0]
    assert rows.count("\n") == len(FOUND["by_true"]) + 1
    assert head + rows in PAGE


def test_false_words_on_the_page_are_the_stored_ones_and_no_more_than_allowed():
    same = FOUND["same"]
    assert f"Of {same['pairs']} pairs with nothing done, {same['with_a_false_better']}" in PAGE
    assert same["with_a_false_better"] <= 0.05 * same["pairs"]
    assert f"{same['with_a_false_worse']} any called worse" in PAGE
