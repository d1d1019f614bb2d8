"""Every example in a docstring gives what it says."""

import doctest
from importlib import import_module
from pkgutil import walk_packages

import pytest

import plumbrise

MODULES = sorted(
    found.name
    for found in walk_packages(plumbrise.__path__, "plumbrise.")
    if found.name != "plumbrise.__main__"  # importing it runs the program
)


@pytest.mark.parametrize("name", MODULES)
def test_the_examples_of_a_module_give_what_they_say(name):
    failed, _ = doctest.testmod(import_module(name), raise_on_error=False)
    assert failed == 0
