"""What is to be minded of the kinds of a quote follows from where its pieces go; where none is named, they go home."""

from haulm.advice.pieces import PieceAsked
from haulm.farm.place_words import Place
from haulm.farm.warnings import warnings_at
from haulm.farm.words import Role
from haulm.jobs.quotes.care import care_lines, care_of, kinds_of
from haulm.jobs.quotes.draft import WantedFromPieces, draft_of_lines, draft_of_pieces
from support.farms import order_line, variety
from support.planned_farms import growing_farm, planned

PLAN = planned(
    growing_farm(
        varieties=(
            variety("lagurus", role=Role.TEXTURE),
            variety("cosmos_white", hold_days=5),
            variety("foxglove", name="Foxglove", botanical_name="Digitalis purpurea", role=Role.ACCENT),
        )
    ),
    seasons=8,
)


def sentences(*asked: str) -> tuple[str, ...]:
    lines = [order_line(product=one) for one in asked]
    return care_lines(care_of(PLAN, draft_of_lines(lines, "q")))


def test_lines_that_name_no_piece_are_told_what_is_told_at_home() -> None:
    assert sentences("foxglove") == tuple(map(str, warnings_at(Place.HOME, [PLAN.crops["foxglove"]])))
    assert sentences("foxglove")


def test_a_kind_asked_twice_is_told_once_and_the_worst_comes_first() -> None:
    told = care_of(PLAN, draft_of_lines([order_line(product=one) for one in ("lagurus", "foxglove", "foxglove")], "q"))

    assert sentences("lagurus", "foxglove", "foxglove") == care_lines(told)
    assert told[0].kinds == ("Foxglove",)
    assert sum("Foxglove" in one.kinds for one in told) == 1


def test_a_kind_that_the_customer_will_not_take_is_not_among_those_told() -> None:
    line = order_line(product="lagurus", substitutes=(order_line(product="foxglove").product,))

    assert [crop.key for crop in kinds_of(PLAN, [line])] == ["foxglove", "lagurus"]
    assert [crop.key for crop in kinds_of(PLAN, [line], ["foxglove"])] == ["lagurus"]
    assert not any("Foxglove" in one.kinds for one in care_of(PLAN, draft_of_lines([line], "q"), ["foxglove"]))


def test_what_is_worn_is_told_in_the_words_of_what_is_worn() -> None:
    wanted = WantedFromPieces((PieceAsked("bridal bouquet", 1),), "", 0.0, False, False)
    worn = draft_of_pieces(PLAN.farm, PLAN.crops, wanted, "q")
    kinds = kinds_of(PLAN, worn.order_lines)

    assert kinds
    assert care_lines(care_of(PLAN, worn)) == tuple(map(str, warnings_at(Place.BOUQUET, kinds)))
