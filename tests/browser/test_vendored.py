"""What others wrote lies here as they wrote it."""

import tomllib
from hashlib import sha256
from pathlib import Path

import pytest

VENDOR = Path(__file__).parent / "vendor"
LISTED = tomllib.loads((VENDOR / "vendored.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", LISTED)
def test_a_vendored_package_is_unchanged_and_has_its_licence(name):
    listed = LISTED[name]
    found = {file.name: sha256(file.read_bytes()).hexdigest() for file in (VENDOR / name).iterdir()}
    assert found == listed["sha256"]
    assert "LICENSE" in found
    assert listed["version"]
    assert listed["licence"]


def test_every_vendored_folder_is_listed():
    assert {folder.name for folder in VENDOR.iterdir() if folder.is_dir()} == set(LISTED)
