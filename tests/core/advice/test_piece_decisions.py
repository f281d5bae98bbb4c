"""Whether a kind goes into a piece: the grower's word first, then how grave the harm is; and who is hurt at home."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.homes import home_warnings, homes_in_words
from haulm.advice.piece_decisions import decision_on, kind_in_piece
from haulm.farm.hazards import Hazard, Severity
from haulm.farm.piece_decisions import PieceDecision
from haulm.farm.words import Decision, HazardClass, Home, PlantPart, Use
from support.forecast_builders import crop

USE_IT, KEEP_OUT = Decision.USE, Decision.KEEP_OUT
HAZARDS = st.builds(
    Hazard,
    st.just("Viola"),
    st.just(()),
    st.sampled_from(HazardClass),
    st.sampled_from(Severity),
    st.sampled_from(PlantPart).map(lambda part: (part,)),
    st.just(""),
    st.just(("from_memory",)),
)


def harm(hazard_class: HazardClass, severity: Severity, note: str = "") -> Hazard:
    return Hazard("Viola", (), hazard_class, severity, (PlantPart.ALL,), note, ("from_memory",))


LARKSPUR = crop(key="larkspur", hazards=(harm(HazardClass.POISON, Severity.DANGEROUS),))
ROSE = crop(key="rose", hazards=(harm(HazardClass.THORN, Severity.HARMFUL),))


def test_until_she_decides_what_is_grave_stays_out_and_what_is_ordinary_comes() -> None:
    assert [kind_in_piece(one, "bouquet", ()).is_out for one in (LARKSPUR, ROSE)] == [True, False]
    assert [kind_in_piece(one, "bouquet", ()).is_told for one in (LARKSPUR, ROSE, crop(key="aster"))] == [
        True,
        True,
        False,
    ]
    assert not kind_in_piece(LARKSPUR, "arch", ()).is_told


def test_her_word_goes_before_the_harm_and_her_word_on_a_piece_before_that_on_its_use() -> None:
    worn = PieceDecision("larkspur", Use.WORN, USE_IT)
    bridal = PieceDecision("larkspur", Use.WORN, KEEP_OUT, "bridal_bouquet", "the bride's skin is tender")

    assert not kind_in_piece(LARKSPUR, "posy", (worn, bridal)).is_out
    found = kind_in_piece(LARKSPUR, "bridal bouquet", (worn, bridal))
    assert (found.is_out, found.decided) == (True, bridal)
    assert kind_in_piece(LARKSPUR, "jar", (worn, bridal)).decided is None


@pytest.mark.parametrize("name", ["bouquet", "Bridesmaid bouquets", "attendant_bouquet"])
def test_a_decision_on_a_piece_holds_by_any_of_its_names(name: str) -> None:
    row = PieceDecision("larkspur", Use.WORN, USE_IT, name)
    assert decision_on((row,), "larkspur", "attendant bouquet") is row
    assert decision_on((row,), "larkspur", "bridal bouquet") is None


@given(st.lists(HAZARDS, max_size=3), st.sampled_from(Decision), st.sampled_from((Use.WORN, Use.TABLE)))
def test_no_decision_makes_food_of_what_is_none(hazards: list[Hazard], decision: Decision, use: Use) -> None:
    one = crop(hazards=tuple(hazards), food_use=False)
    rows = [PieceDecision(one.key, use, decision), PieceDecision(one.key, use, decision, "cake flowers")]
    assert all(kind_in_piece(one, piece, rows).is_out for piece in ("wedding cake", "food table", "cake_flowers"))
    assert not kind_in_piece(crop(food_use=True), "wedding cake", rows).is_out


@given(st.lists(HAZARDS, max_size=3), st.sampled_from(("posy", "jar", "arch")))
def test_what_stays_out_unasked_is_always_asked_about(hazards: list[Hazard], piece: str) -> None:
    found = kind_in_piece(crop(hazards=tuple(hazards)), piece, ())
    assert found.is_told or not found.is_out


LILY = crop(key="lily", name="Lily", hazards=(harm(HazardClass.PETS, Severity.DANGEROUS, "A lick kills a cat."),))
PEA = crop(key="pea", name="Sweet pea", hazards=(harm(HazardClass.POISON, Severity.HARMFUL),))
DAHLIA = crop(key="dahlia", name="Dahlia", hazards=(harm(HazardClass.PETS, Severity.MILD),))
NETTLE = crop(key="nettle", name="Nettle", hazards=(harm(HazardClass.SKIN, Severity.HARMFUL),))
KINDS = (DAHLIA, NETTLE, PEA, LILY)


def test_with_cats_at_home_the_kinds_that_hurt_them_are_named_the_worst_first_a_line_each() -> None:
    assert home_warnings((Home.CATS,), KINDS) == (
        "Lily: can kill pets (all parts). Keep it from cats. A lick kills a cat.",
        "Sweet pea: poisonous (all parts). Keep it from cats.",
        "Dahlia: mildly harmful to pets (all parts). Keep it from cats.",
    )


def test_children_are_warned_of_what_is_eaten_and_nobody_of_anything_where_nobody_is_named() -> None:
    assert home_warnings((Home.CHILDREN,), KINDS) == ("Sweet pea: poisonous (all parts). Keep it from small children.",)
    assert home_warnings((), KINDS) == ()
    (line, *_) = home_warnings((Home.CATS, Home.CHILDREN), (PEA,))
    assert line.endswith("Keep it from cats and small children.")
    assert [homes_in_words(homes) for homes in ((), (Home.DOGS,), tuple(Home))] == [
        "nobody named",
        "dogs",
        "cats, dogs and small children",
    ]
