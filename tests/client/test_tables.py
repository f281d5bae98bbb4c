"""Tables that fit the screen: what gives way, in which order, and what is never split."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm_cli.tables import Column, Layout, Screen, table

COLUMNS = (
    Column("due", gives_way=3),
    Column("order", gives_way=2, said_by="line"),
    Column("line"),
    Column("stems", right=True),
    Column("from", gives_way=1),
)


def test_a_long_text_is_wrapped_inside_its_column_and_numbers_stand_to_the_right() -> None:
    lines = table((Column("what"), Column("n", right=True)), [("word " * 30, "5"), ("x", "1000")], Screen(width=60))

    assert max(map(len, lines)) <= 60
    assert lines[1].endswith("     5")
    assert lines[-1].endswith("  1000")
    assert sum(line.count("word") for line in lines) == 30


def test_columns_give_way_in_their_order_and_stand_under_their_row() -> None:
    row = (
        "2027-08-13",
        "wed-1",
        "an-order-line-of-forty-letters-and-some-more",
        "20",
        "7 of 2027-08-05, 13 of 2027-08-06",
    )

    assert table(COLUMNS, [row], Screen(width=80))[1:] == [
        "2027-08-13  wed-1  an-order-line-of-forty-letters-and-some-more     20",
        "    from 7 of 2027-08-05, 13 of 2027-08-06",
    ]
    assert table(COLUMNS, [row], Screen(width=60))[1:] == [
        "an-order-line-of-forty-letters-and-some-more     20",
        "    due 2027-08-13; order wed-1;",
        "    from 7 of 2027-08-05, 13 of 2027-08-06",
    ]


@pytest.mark.parametrize(("line", "said"), [("wed-1/2", False), ("wed-12/2", True), ("std-3", True)])
def test_what_another_column_begins_with_is_not_said_again_under_the_row(line: str, said: bool) -> None:
    columns = (Column("line"), Column("order", gives_way=1, said_by="line"), Column("note"))

    lines = table(columns, [(line, "wed-1", "n" * 49)], Screen(width=60))

    assert ("    order wed-1" in lines) is said


def test_nothing_gives_way_where_there_is_room() -> None:
    row = ("2027-08-13", "wed-1", "wed-1/2", "20", "20 of 2027-08-05")

    assert len(table(COLUMNS, [row], Screen(width=60))) == 2


def test_what_has_no_value_is_not_said_under_the_row() -> None:
    row = ("2027-08-13", "-", "a-line-of-fifty-letters-is-longer-than-most-lines", "20", "-")

    assert table(COLUMNS, [row], Screen(width=60))[1:] == [f"{row[2]}     20", "    due 2027-08-13"]


def test_a_row_has_its_note_under_it_and_an_absent_note_is_no_line() -> None:
    lines = table((Column("n", right=True),), [("1",), ("2",)], Screen(width=60), ["word " * 12, "-"])

    assert lines == ["n", "1", "    " + " ".join(["word"] * 11), "    word", "2"]


def test_tables_of_one_layout_stand_in_line() -> None:
    layout = Layout.fitting((Column("what"), Column("n", right=True)), [("ammi", "5"), ("lagurus", "100")], Screen())

    assert [len(layout.lines([row])[1]) for row in (("ammi", "5"), ("lagurus", "100"))] == [12, 12]


KEYS = st.from_regex(r"[a-z]{1,6}([_-][a-z0-9]{1,6}){0,2}", fullmatch=True)


@given(st.lists(st.tuples(st.dates().map(str), KEYS, KEYS, st.integers(0, 10**6).map(str), KEYS), min_size=1))
def test_no_date_number_or_key_is_ever_split_while_the_keys_leave_room(rows: list[tuple[str, ...]]) -> None:
    lines = table(COLUMNS, rows, Screen(width=60))

    words = {word.rstrip(";") for line in lines for word in line.split()}
    assert max(map(len, lines)) <= 60
    assert {cell for due, _, line, stems, source in rows for cell in (due, line, stems, source)} <= words


def test_a_key_is_broken_only_where_it_is_wider_than_all_there_is() -> None:
    lines = table((Column("line"), Column("n", right=True)), [("k" * 70, "5")], Screen(width=60))

    assert max(map(len, lines)) <= 60
    assert sum(line.count("k") for line in lines) == 70


def test_a_sentence_is_broken_at_spaces_only() -> None:
    shown = Screen(width=60).paragraph("word " * 10 + "couple-august is told by 2027-07-23.")

    assert "couple-august" in shown.split() and "2027-07-23." in shown.split()
