"""Keys are made from what a row is, never taken twice, and a customer's never from a name."""

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from haulm.farm.beds import Bed
from haulm.farm.products import KEY
from haulm.jobs.farm.new_keys import new_key
from support.farms import customer, farm, standing_line


def test_a_bed_is_called_by_its_name_in_small_letters() -> None:
    assert new_key(farm(), "beds", {"name": "Pond bed, zwei (Süß)"}) == "pond-bed-zwei-suss"


def test_of_two_names_alike_the_second_carries_a_number() -> None:
    two = replace(farm(), beds=(Bed("pond", "Pond"), Bed("pond-2", "Pond")))

    assert new_key(two, "beds", {"name": "Pond"}) == "pond-3"


def test_a_name_that_has_no_letters_of_ours_still_gets_a_key() -> None:
    assert new_key(farm(), "beds", {"name": "池"}) == "bed"


def test_a_customers_name_is_not_in_the_key() -> None:
    made = new_key(farm(customers=(customer("florist-1"),)), "customers", {"name": "Rosa Thorn", "kind": "florist"})

    assert made == "florist-2"


def test_a_kind_of_the_library_keeps_its_word_in_front() -> None:
    assert new_key(farm(), "varieties", {"name": "White zinnia"}, within="zinnia") == "zinnia-white-zinnia"
    assert new_key(farm(), "varieties", {"name": "Zinnia"}, within="zinnia") == "zinnia"


def test_lines_of_standing_and_dated_orders_share_no_key() -> None:
    held = farm(standing_lines=(standing_line("party-1"),))

    assert new_key(held, "order_lines", {"order": "party"}) == "party-2"


@given(st.text(max_size=200))
def test_whatever_the_name_the_key_is_one(name: str) -> None:
    assert KEY.fullmatch(new_key(farm(), "beds", {"name": name}))
