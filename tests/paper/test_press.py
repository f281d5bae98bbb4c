"""The press: what was typed is never markup, the same values give the same bytes, every script prints."""

from io import BytesIO
from typing import Any

import pytest
from pypdf import PdfReader

from haulm.paper.press import pressed
from support.paper_reading import text_of

TYPED = '#evil[x] *bold* _it_ $x$ @label <a> "q" \\ `raw` // no /* no */ = no - #import "x"'


def stall(name: str, *warned: str) -> dict[str, Any]:
    care = [{"mark": "CARE", "names": name, "words": words} for words in warned]
    label = {"name": name, "botanical": "", "colour": "", "price": "", "food": "Not for food.", "care": ""}
    label |= {"take_care": care}
    return {"title": "Stall labels", "farm": "Test farm", "size": "a4", "labels": [label], "none": ""}


def test_nothing_that_was_typed_is_markup() -> None:
    assert TYPED in text_of(pressed("stall_label", stall(TYPED)))


def test_a_typed_title_or_farm_is_no_markup_either() -> None:
    data = {**stall("x"), "title": TYPED, "farm": TYPED}
    pdf = pressed("stall_label", data)

    assert PdfReader(BytesIO(pdf)).metadata["/Title"] == TYPED  # type: ignore[index]
    assert TYPED in text_of(pdf)


def test_the_same_values_give_the_same_bytes_and_others_do_not() -> None:
    assert pressed("stall_label", stall("Ammi")) == pressed("stall_label", stall("Ammi"))
    assert pressed("stall_label", stall("Ammi")) != pressed("stall_label", stall("Dill"))


@pytest.mark.parametrize("name", ["Цветочная ферма Лесная", "Åsa Ødegård-Żółć", "Ανθοπωλείο"])
def test_other_scripts_print(name: str) -> None:
    assert name in text_of(pressed("stall_label", stall(name)))


@pytest.mark.parametrize("name", ["שדה פרחים", "حقل الزهور", "花の農場", "\U0001f33c", "a\u0301\u200d\ufeff"])
def test_names_from_right_to_left_or_without_a_font_still_print_what_stands_beside_them(name: str) -> None:
    assert "keep from pets" in text_of(pressed("stall_label", stall(name, "keep from pets")))


def test_a_long_word_breaks_and_loses_nothing() -> None:
    word = "Chrysanthemum" * 30

    assert word in text_of(pressed("stall_label", stall(word))).replace(" ", "")


def test_a_paper_is_tagged_and_says_its_title_and_language() -> None:
    found = PdfReader(BytesIO(pressed("stall_label", stall("Ammi"))))
    root: Any = found.trailer["/Root"]

    assert root["/MarkInfo"]["/Marked"] and root["/Lang"] == "en"
    assert found.metadata is not None and found.metadata.title == "Stall labels"
    assert b"pdfuaid" in root["/Metadata"].get_object().get_data()


@pytest.mark.parametrize(("size", "points"), [("a4", (595, 842)), ("us-letter", (612, 792))])
def test_a_paper_has_the_size_asked(size: str, points: tuple[int, int]) -> None:
    page = PdfReader(BytesIO(pressed("stall_label", {**stall("Ammi"), "size": size}))).pages[0]

    assert (round(page.mediabox.width), round(page.mediabox.height)) == points
