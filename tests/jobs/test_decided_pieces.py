"""Laws of quotes from pieces: what is kept out is nowhere in them, what is let in may come, whatever the decisions."""

from hypothesis import given
from hypothesis import strategies as st

from haulm.advice.piece_decisions import kind_in_piece
from haulm.advice.pieces import PieceAsked
from haulm.farm.edits import identity
from haulm.farm.hazards import Hazard, Severity
from haulm.farm.orders import Recipe
from haulm.farm.piece_decisions import PieceDecision
from haulm.farm.site import Site
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.words import Decision, HazardClass, PlantPart, Role, Use
from haulm.jobs.quotes.draft import (
    QuoteDraft,
    StandInsAgreed,
    WantedFromPieces,
    asked_products,
    draft_of_pieces,
    products_of,
    with_stand_ins,
)
from support.forecast_builders import crop

PIECES = {
    Use.WORN: ("posy", "bridal_bouquet"),
    Use.TABLE: ("jar", "centre"),
    Use.SET_UP: ("arch",),
    Use.FOOD: ("cake",),
}
ROLES = (Role.FOCAL, Role.FILLER, Role.ACCENT)
RECIPES = tuple(Recipe(piece, role, 4) for use in PIECES for piece in PIECES[use] for role in ROLES)
COLOURS = ("white", "cream", "pink")
KEYS = tuple(f"kind{number}" for number in range(8))
HAZARDS = st.builds(
    Hazard,
    st.just("Viola"),
    st.just(()),
    st.sampled_from(HazardClass),
    st.sampled_from(Severity),
    st.sampled_from((PlantPart.ALL, PlantPart.SEED)).map(lambda part: (part,)),
    st.just(""),
    st.just(("from_memory",)),
)


@st.composite
def farms_crops(draw: st.DrawFn) -> dict[str, Crop]:
    """Eight kinds of any role, colour and harm."""
    return {
        key: crop(
            key=key,
            role=draw(st.sampled_from(ROLES)),
            colour=draw(st.sampled_from(COLOURS)),
            hazards=tuple(draw(st.lists(HAZARDS, max_size=2))),
        )
        for key in KEYS
    }


DECISIONS = st.lists(
    st.sampled_from((Use.WORN, Use.TABLE)).flatmap(
        lambda use: st.builds(
            PieceDecision,
            st.sampled_from(KEYS),
            st.just(use),
            st.sampled_from(Decision),
            st.none() | st.sampled_from(PIECES[use]),
        )
    ),
    max_size=8,
    unique_by=identity,
)
ASKED = st.lists(
    st.sampled_from([piece for use in PIECES for piece in PIECES[use]]), min_size=1, max_size=4, unique=True
)
PALETTES = st.sampled_from(("", "white", "pink"))


def drafted(crops: dict[str, Crop], decisions: list[PieceDecision], pieces: list[str], palette: str) -> QuoteDraft:
    """The draft of one of each piece, with the stand-ins that may be."""
    farm = Farm(Site("A farm", 52.0), recipes=RECIPES, piece_decisions=tuple(decisions))
    asked = WantedFromPieces(tuple(PieceAsked(piece, 1) for piece in pieces), palette, 15, False, False)
    draft = draft_of_pieces(farm, crops, asked, "q")
    return with_stand_ins(draft, crops, StandInsAgreed(draft.palette.colours))


@given(farms_crops(), DECISIONS, ASKED, PALETTES)
def test_what_stays_out_of_a_piece_is_neither_asked_nor_a_stand_in_there(
    crops: dict[str, Crop], decisions: list[PieceDecision], pieces: list[str], palette: str
) -> None:
    for draft in drafted(crops, decisions, pieces, palette).lines:
        for product in products_of(draft.line, crops):
            for piece in draft.pieces:
                assert not kind_in_piece(crops[product.variety], piece, decisions).is_out


@given(farms_crops(), DECISIONS, ASKED, PALETTES)
def test_what_is_let_in_may_be_given_by_the_line_of_its_role_and_colour(
    crops: dict[str, Crop], decisions: list[PieceDecision], pieces: list[str], palette: str
) -> None:
    draft = drafted(crops, decisions, pieces, palette)
    for piece in pieces:
        for one in crops.values():
            lines = [line for line in draft.lines if piece in line.pieces and line.role is one.role]
            fits = any(not line.colours or one.colour in line.colours for line in lines)
            may_come = any(product.variety == one.key for line in lines for product in asked_products(line.line, crops))
            assert may_come == (fits and not kind_in_piece(one, piece, decisions).is_out)


@given(farms_crops(), ASKED, PALETTES)
def test_each_kind_that_stays_out_unasked_of_what_is_worn_or_on_a_table_is_asked_about(
    crops: dict[str, Crop], pieces: list[str], palette: str
) -> None:
    draft = drafted(crops, [], pieces, palette)
    asked = {(kind.variety, kind.piece) for kind in draft.kinds}
    for line in draft.lines:
        for piece in line.pieces:
            out = [key for key in line.barred if kind_in_piece(crops[key], piece, ()).use is not Use.FOOD]
            assert {(key, piece) for key in out} <= asked
