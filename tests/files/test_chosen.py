"""What a proposal promised and aimed at, read back."""

import json

import pytest

from plumbrise.errors import InputError
from plumbrise.files.proposal import read_proposal

ONE = {"estimate": 0.05, "low": 0.01, "high": 0.1, "level": 0.9}
OTHER = {**ONE, "estimate": 0.06}


def proposal(targets):
    chosen = {
        "changes": ["new-nut"],
        "predicted": {"lost-motion": {"gantry-left": ONE}, "height": {"axis": ONE}},
        "as_it_is": {"lost-motion": {"gantry-left": OTHER}, "height": {"axis": ONE}},
    }
    return json.dumps({"version": 1, "chosen": chosen, "targets": targets})


def test_a_figure_that_the_set_leaves_as_it_is_was_not_promised():
    asked = [{"figure": "lost-motion", "at_most": 0.08, "unit": "mm"}]
    found = read_proposal(proposal(asked), name="p.json")
    assert list(found.promised) == ["lost-motion"]
    assert found.target_mm == 0.08
    assert read_proposal(proposal([]), name="p.json").target_mm == 0.05


@pytest.mark.parametrize(
    "odd", ["x", [1], [{"figure": "nose", "at_most": 1}], [{"figure": "push"}]]
)
def test_targets_that_are_none_are_said(odd):
    with pytest.raises(InputError, match="targets"):
        read_proposal(proposal(odd), name="p.json")
