"""The page on serial lines names every word that the sender understands."""

import pytest

from plumbrise.hardware.answers import ANSWERS


@pytest.mark.parametrize("words", [words for _, words in ANSWERS], ids=lambda words: words[0])
def test_the_page_names_the_words(repository, words):
    page = (repository / "docs" / "reference" / "serial-lines.md").read_text(encoding="utf-8")
    assert [word for word in words if f"`{word}`" not in page] == []
