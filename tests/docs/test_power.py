"""The page on proving tells of its power what the stored pairs of sessions say."""

import json
from pathlib import Path

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs/methods/prove.md").read_text(encoding="utf-8")
FOUND = json.loads((ROOT / "benchmarks/results/pairs.json").read_text(encoding="utf-8"))


def test_the_curve_on_the_page_is_the_stored_one():
    for one in FOUND["by_size"]:
        row = (
            f"| {one['from_mm']:g} to {one['to_mm']:g} | {one['called_better']} of {one['ends']} |"
        )
        assert row in PAGE


def test_false_words_on_the_page_are_the_stored_ones_and_no_more_than_allowed():
    same = FOUND["same"]
    assert f"Of {same['pairs']} pairs with nothing done, {same['with_a_false_better']}" in PAGE
    assert same["with_a_false_better"] <= 0.05 * same["pairs"]
    assert f"{same['with_a_false_worse']} any called worse" in PAGE
