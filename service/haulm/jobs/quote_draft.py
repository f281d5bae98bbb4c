"""The lines of a quote before anybody has looked whether the stems are there: from pieces and palette, or as asked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from haulm.advice.palette_words import ANY_PALETTE, Palette, palette_of
from haulm.advice.piece_uses import left_out
from haulm.advice.pieces import PieceAsked, PieceNeeds, piece_needs, spare_for, stems_by_role
from haulm.advice.pricing import answering
from haulm.advice.stand_ins import NEIGHBOURS, colours_for
from haulm.crop_library.recipes import by_piece, starting_recipes
from haulm.errors import NotAccepted
from haulm.farm.orders import OrderLine
from haulm.farm.products import Choice, Product
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.words import Form, Role

MOST_STEMS = 1_000_000
"""A line asks no more."""
_FEW_KINDS = 2
"""Where so few kinds can come, one of them may be all of a line; else no more than half (common practice)."""


@dataclass(frozen=True, slots=True)
class WantedFromPieces:
    """What is wanted of the pieces of a quote.

    Attributes:
        pieces: the pieces.
        palette: the palette in words; empty for any colour.
        spare_percent: spare for breakage [%].
        dried_ok: whether dried stems count.
        no_substitute: whether nothing may stand in.
    """

    pieces: tuple[PieceAsked, ...]
    palette: str
    spare_percent: float
    dried_ok: bool
    no_substitute: bool


@dataclass(frozen=True, slots=True)
class DraftLine:
    """A line with what it came from.

    Attributes:
        line: the line.
        role: the role it is for; None for a line asked as it is.
        colours: the colours asked of it.
        pieces: the pieces it is for.
        may_widen: whether neighbouring roles may stand in.
        widened: whether they do.
        barred: kinds left out for the use of its pieces, by key, that it would have taken otherwise.
    """

    line: OrderLine
    role: Role | None = None
    colours: tuple[str, ...] = ()
    pieces: tuple[str, ...] = ()
    may_widen: bool = False
    widened: bool = False
    barred: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Draft:
    """The lines of a quote, the pieces they come from, and the palette as it was understood."""

    lines: tuple[DraftLine, ...]
    needs: tuple[PieceNeeds, ...] = ()
    palette: Palette = ANY_PALETTE

    @property
    def order_lines(self) -> tuple[OrderLine, ...]:
        """The lines as the order has them."""
        return tuple(line.line for line in self.lines)


def draft_of_lines(lines: Sequence[OrderLine], order: str) -> Draft:
    """Lines asked as they are; their keys are given here.

    Raises:
        NotAccepted: a line asks more stems than any grower has.
    """
    keys = line_keys(order, len(lines))
    return _checked(
        Draft(tuple(DraftLine(replace(line, key=key, order=order)) for line, key in zip(lines, keys, strict=True)))
    )


def draft_of_pieces(farm: Farm, crops: Mapping[str, Crop], wanted: WantedFromPieces, order: str) -> Draft:
    """Lines by role, colours and use of the pieces.

    Raises:
        NotAccepted: a piece has no recipe, a count or a word of the palette is not accepted.
    """
    palette = palette_of(wanted.palette, (crop.colour for crop in crops.values() if crop.colour))
    needs = piece_needs(wanted.pieces, by_piece(farm.recipes), by_piece(starting_recipes()), palette.wishes)
    found: dict[tuple[Role, tuple[str, ...], tuple[str, ...]], tuple[int, tuple[str, ...]]] = {}
    for asked in stems_by_role(needs):
        colours = asked.colours or colours_for(asked.role, palette.colours)
        barred = _barred(asked.role, colours, left_out(asked.uses, crops), crops, wanted)
        stems, pieces = found.get((asked.role, colours, barred), (0, ()))
        key = (asked.role, colours, barred)
        found[key] = (stems + asked.stems, tuple(dict.fromkeys((*pieces, *asked.pieces))))
    lines = []
    for line_key, ((role, colours, barred), (stems, pieces)) in zip(
        line_keys(order, len(found)), found.items(), strict=True
    ):
        line = OrderLine(
            line_key,
            order,
            stems,
            choice=_choice((role,), colours, barred, dried_ok=wanted.dried_ok),
            spare=spare_for(stems, wanted.spare_percent),
            no_substitute=wanted.no_substitute,
        )
        lines.append(DraftLine(line, role, colours, pieces, not wanted.no_substitute, barred=barred))
    return _checked(Draft(tuple(lines), needs, palette))


def widened(draft: DraftLine) -> DraftLine:
    """The line with neighbouring roles allowed beside its own."""
    assert draft.role is not None and draft.line.choice is not None, "only roles have neighbours"
    choice = replace(draft.line.choice, roles=(draft.role, *NEIGHBOURS[draft.role]))
    return replace(draft, line=replace(draft.line, choice=choice), widened=True)


def with_few_kinds(draft: DraftLine, kinds: int) -> DraftLine:
    """The line, one kind of which may be all of it where so few kinds can come."""
    if draft.line.choice is None or draft.line.max_each is not None or draft.role is None:
        return draft
    most = draft.line.stems if kinds <= _FEW_KINDS else None
    return replace(draft, line=replace(draft.line, max_each=most))


def products_of(line: OrderLine, crops: Mapping[str, Crop], *, unacceptable: Sequence[str] = ()) -> tuple[Product, ...]:
    """The products a line may be given, its own first."""
    if line.product is not None:
        named = (line.product, *(() if line.no_substitute else line.substitutes))
        return tuple(product for product in named if product.variety not in unacceptable)
    assert line.choice is not None, "a line asks a product or a choice"
    return answering(replace(line.choice, without=tuple(unacceptable)), crops)


def line_keys(order: str, count: int) -> tuple[str, ...]:
    """The keys of so many lines; they rank by code point in the order in which they stand."""
    width = len(str(count))
    return tuple(f"{order}-{number:0{width}d}" for number in range(1, count + 1))


def _checked(draft: Draft) -> Draft:
    for place, line in enumerate(draft.order_lines):
        if line.stems > MOST_STEMS:
            accepted = f"1 to {MOST_STEMS} stems"
            raise NotAccepted(where=f"lines[{place}].stems", found=str(line.stems), accepted=accepted)
    return draft


def _barred(
    role: Role,
    colours: tuple[str, ...],
    hazards: tuple[str, ...],
    crops: Mapping[str, Crop],
    wanted: WantedFromPieces,
) -> tuple[str, ...]:
    """The kinds to leave out that the role, or one that may stand in for it, would take otherwise."""
    roles = (role,) if wanted.no_substitute else (role, *NEIGHBOURS[role])
    return tuple(key for key in hazards if _would_take(crops[key], roles, colours))


def _would_take(crop: Crop, roles: Sequence[Role], colours: Sequence[str]) -> bool:
    return crop.role in roles and (not colours or (crop.colour or "").lower() in colours)


def _choice(roles: tuple[Role, ...], colours: tuple[str, ...], barred: tuple[str, ...], *, dried_ok: bool) -> Choice:
    """The choice of roles and colours, as a folder can hold it.

    Raises:
        NotAccepted: a colour is no single word, or is named twice.
    """
    forms = (Form.FRESH, Form.DRIED) if dried_ok else (Form.FRESH,)
    return Choice.parse(str(Choice(roles, colours, forms, barred=barred)), where="colours")
