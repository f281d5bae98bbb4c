"""The page about the crop library says what the tables and the defaults say."""

from haulm.crop_library.library import library
from support.page_rows import library_rows
from support.project_tree import ROOT

PAGE = (ROOT / "docs" / "reference" / "crop-library.md").read_text(encoding="utf-8")


def test_the_page_counts_the_values_and_tells_every_default() -> None:
    lines, rows = PAGE.splitlines(), list(library_rows())

    assert len(rows) > 20
    assert [row for row in rows if lines.count(row) != 1] == []


def test_the_page_says_how_many_kinds_there_are_and_names_each() -> None:
    assert f"{len(library())} kinds" in PAGE
    assert [key for key in library() if f"`{key}`" not in PAGE] == []
