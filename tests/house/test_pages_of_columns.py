"""Everything a folder can say, a page can say: every column and every setting has a form that changes it."""

from pathlib import Path

import pytest

from support.door import Door
from support.pages_of_columns import PAGE, page_of_columns, pages_of_columns, small_door


@pytest.fixture
def door(tmp_path: Path) -> Door:
    """The door to a small farm."""
    return small_door(tmp_path)


def test_every_column_and_setting_has_a_page_whose_form_changes_it(door: Door) -> None:
    with door:
        found = pages_of_columns(door)

    assert len(found) > 200
    assert [column for column, page in found.items() if not page] == []


def test_the_page_of_the_documents_says_what_the_forms_say(door: Door) -> None:
    with door:
        assert PAGE.read_text("utf-8") == page_of_columns(door), "run tests/support/pages_of_columns.py"
