"""Columns are proposed by what they are called, each field once, and nothing is proposed for what is nothing."""

import pytest

from haulm.farm_folder.sheet_columns import BY_NAME, TARGETS, proposed_columns

HEADS = {
    "kinds": (
        ["Variety", "Color", "Bunch size", "Price per bunch", "My notes"],
        ["name", "colour", "bunch_stems", "price", ""],
    ),
    "beds": (["Bed name", "Length (m)", "Width (cm)", "Location"], ["name", "metres", "width_cm", "kind"]),
    "customers": (["Client", "E-Mail", "Phone", "Since"], ["name", "email", "phone", ""]),
    "sowings": (
        ["Crop", "Sow date", "Transplant", "Qty", "Bed", "Method"],
        ["kind", "sow_date", "plant_out_date", "places", "bed", "method"],
    ),
    "standing-orders": (
        ["Florist", "Flower", "Stems", "Day", "Start", "End"],
        ["customer", "kind", "stems", "weekday", "first", "last"],
    ),
}


@pytest.mark.parametrize("name", sorted(HEADS))
def test_heads_as_growers_write_them_are_matched(name: str) -> None:
    heads, fields = HEADS[name]
    assert list(proposed_columns(BY_NAME[name], heads)) == fields


def test_no_field_is_proposed_twice_and_a_row_of_figures_is_no_head() -> None:
    for target in TARGETS:
        twice = proposed_columns(target, [target.fields[0].words] * 3)
        assert sorted(twice) == ["", "", target.fields[0].name]
        assert proposed_columns(target, ["2027-04-05", "72", "4.50"]) == ("", "", "")


def test_the_words_of_a_field_find_it() -> None:
    for target in TARGETS:
        assert proposed_columns(target, [field.words for field in target.fields]) == tuple(
            field.name for field in target.fields
        )
