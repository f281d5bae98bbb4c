"""The lines of a quote before anybody has looked whether the stems are there, and what may stand in for each of them.

They come from pieces and a palette, or as they were asked.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from haulm.advice.options.palette import same_family
from haulm.advice.palette_words import ANY_PALETTE, Palette, beside, palette_of
from haulm.advice.piece_decisions import KindInPiece, kinds_in_piece
from haulm.advice.pieces import PieceAsked, PieceNeeds, RoleAsked, piece_needs, spare_for, stems_by_role
from haulm.advice.pricing import answering
from haulm.advice.stand_ins import NEIGHBOURS, SERVED, colours_for, in_place_of_kind, in_place_of_role
from haulm.crop_library.recipes import by_piece, starting_recipes
from haulm.errors import NotAccepted
from haulm.farm.edits import Row
from haulm.farm.faults import Way
from haulm.farm.limits import MOST_STEMS
from haulm.farm.orders import OrderLine
from haulm.farm.products import Choice, Product
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.words import Form, Role
from haulm.language.words import _

"""A line asks no more."""


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
class StandInsAgreed:
    """What was agreed of stand-ins.

    Attributes:
        palette: the colours they may have, none for any; None takes the colours of what the lines ask.
        dried_ok: whether dried stems may stand in for fresh ones, and fresh for dried.
        unacceptable: keys of kinds the customer will not take.
    """

    palette: tuple[str, ...] | None = None
    dried_ok: bool = False
    unacceptable: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DraftLine:
    """A line with what it came from.

    Attributes:
        line: the line.
        role: the role it is for; None for a line asked as it is.
        colours: the colours asked of it.
        pieces: the pieces it is for.
        barred: kinds left out for the use of its pieces, by key, that it would have taken otherwise.
    """

    line: OrderLine
    role: Role | None = None
    colours: tuple[str, ...] = ()
    pieces: tuple[str, ...] = ()
    barred: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class QuoteDraft:
    """The lines of a quote, the pieces they come from, and the palette as it was understood.

    `kinds` are those that are asked about, decided or told of, in each piece that would take them otherwise.
    """

    lines: tuple[DraftLine, ...]
    needs: tuple[PieceNeeds, ...] = ()
    palette: Palette = ANY_PALETTE
    kinds: tuple[KindInPiece, ...] = ()

    @property
    def order_lines(self) -> tuple[OrderLine, ...]:
        """The lines as the order has them."""
        return tuple(line.line for line in self.lines)


def draft_of_lines(lines: Sequence[OrderLine], order: str) -> QuoteDraft:
    """Lines asked as they are; their keys are given here.

    Raises:
        NotAccepted: a line asks more stems than any grower has.
    """
    keys = line_keys(order, len(lines))
    return _checked(
        QuoteDraft(tuple(DraftLine(replace(line, key=key, order=order)) for line, key in zip(lines, keys, strict=True)))
    )


def draft_of_pieces(farm: Farm, crops: Mapping[str, Crop], wanted: WantedFromPieces, order: str) -> QuoteDraft:
    """Lines by role, colours and what stays out. One kind may be all of a role; stand-ins are agreed apart.

    Raises:
        NotAccepted: a piece has no recipe, a count or a word of the palette is not accepted.
    """
    palette = palette_of(wanted.palette, farms_colours(crops))
    needs = piece_needs(wanted.pieces, by_piece(farm.recipes), by_piece(starting_recipes()), palette.wishes)
    found: dict[tuple[Role, tuple[str, ...], tuple[str, ...]], tuple[int, tuple[str, ...]]] = {}
    told: dict[KindInPiece, None] = {}
    for asked, kinds in _asked_of_pieces(needs, crops, farm):
        colours = asked.colours or colours_for(asked.role, palette.colours)
        takes = _would_take(asked.role, colours, crops, wanted)
        barred = tuple(kind.variety for kind in kinds if kind.is_out and takes(kind.variety))
        told |= dict.fromkeys(k for k in kinds if k.is_told and takes(k.variety) and _fits(crops[k.variety], colours))
        stems, pieces = found.get((asked.role, colours, barred), (0, ()))
        key = (asked.role, colours, barred)
        found[key] = (stems + asked.stems, tuple(dict.fromkeys((*pieces, *asked.pieces))))
    keys = _keys_as_served(order, [role for role, _, _ in found])
    lines = []
    for line_key, ((role, colours, barred), (stems, pieces)) in zip(keys, found.items(), strict=True):
        line = OrderLine(
            line_key,
            order,
            stems,
            choice=_choice((role,), colours, barred, dried_ok=wanted.dried_ok),
            max_each=stems,
            spare=spare_for(stems, wanted.spare_percent),
            no_substitute=wanted.no_substitute,
        )
        missed = tuple(key for key in barred if _fits(crops[key], colours))
        lines.append(DraftLine(line, role, colours, pieces, barred=missed))
    return _checked(QuoteDraft(tuple(lines), needs, palette, tuple(told)))


def with_ways(rows: Sequence[Row], draft: QuoteDraft) -> tuple[list[Row], list[Way]]:
    """Rows and behind them the lines of a draft, and the way to each in what was asked; a line of pieces has none."""
    ways = [() if line.pieces else ("lines", place) for place, line in enumerate(draft.lines)]
    return [*rows, *draft.order_lines], [*[()] * len(rows), *ways]


def farms_colours(crops: Mapping[str, Crop]) -> Iterable[str]:
    """The colours that the farm's kinds have."""
    return (crop.colour for crop in crops.values() if crop.colour)


def with_stand_ins(draft: QuoteDraft, crops: Mapping[str, Crop], agreed: StandInsAgreed) -> QuoteDraft:
    """The lines with stand-ins behind what each asks, from the start and whether it is sure or not.

    What a line served later asks is never a stand-in; what one served before it asks comes last. So no line of the
    order is less sure than without stand-ins, and nor are all of them together. A choice is a role here: one kind may
    be all of it, unless a line served later would miss it.
    """
    asked = {line.key: products_of(line, crops) for line in draft.order_lines}
    served = sorted(draft.order_lines, key=lambda line: line.key)
    later: set[Product] = set()
    asked_later: dict[str, frozenset[Product]] = {}
    for line in reversed(served):
        asked_later[line.key] = frozenset(later)
        later.update(asked[line.key])
    before: set[Product] = set()
    found: dict[str, OrderLine] = {}
    for line in served:
        barred = {*asked_later[line.key], *asked[line.key]}
        offered = [product for product in _offered(line, draft, crops, agreed) if product not in barred]
        offered.sort(key=before.__contains__)
        is_free = line.choice is not None and asked_later[line.key].isdisjoint(asked[line.key])
        most = line.stems if is_free and line.max_each is None else line.max_each
        found[line.key] = replace(line, substitutes=(*line.substitutes, *offered), max_each=most)
        before.update(asked[line.key])
    return replace(draft, lines=tuple(replace(one, line=found[one.line.key]) for one in draft.lines))


def products_of(line: OrderLine, crops: Mapping[str, Crop], *, unacceptable: Sequence[str] = ()) -> tuple[Product, ...]:
    """The products a line may be given: those it asks, then its stand-ins."""
    own = asked_products(line, crops, unacceptable=unacceptable)
    return tuple(dict.fromkeys((*own, *stand_ins_of(line, unacceptable=unacceptable))))


def asked_products(
    line: OrderLine, crops: Mapping[str, Crop], *, unacceptable: Sequence[str] = ()
) -> tuple[Product, ...]:
    """The products a line asks: its named kind, or what answers its choice."""
    if line.product is not None:
        return () if line.product.variety in unacceptable else (line.product,)
    assert line.choice is not None, "a line asks a product or a choice"
    return answering(replace(line.choice, without=tuple(unacceptable)), crops)


def stand_ins_of(line: OrderLine, *, unacceptable: Sequence[str] = ()) -> tuple[Product, ...]:
    """The products that may stand in for what a line asks, in the order in which they do."""
    if line.no_substitute:
        return ()
    return tuple(product for product in line.substitutes if product.variety not in unacceptable)


def line_keys(order: str, count: int) -> tuple[str, ...]:
    """The keys of so many lines; they rank by code point in the order in which they stand."""
    width = len(str(count))
    return tuple(f"{order}-{number:0{width}d}" for number in range(1, count + 1))


def _keys_as_served(order: str, roles: Sequence[Role]) -> tuple[str, ...]:
    """The keys of lines for these roles, such that they rank in the order in which roles are served."""
    places = sorted(range(len(roles)), key=lambda place: SERVED.index(roles[place]))
    by_place = dict(zip(places, line_keys(order, len(roles)), strict=True))
    return tuple(by_place[place] for place in range(len(roles)))


def _offered(
    line: OrderLine, draft: QuoteDraft, crops: Mapping[str, Crop], agreed: StandInsAgreed
) -> Iterable[Product]:
    """What may stand in for a line by its role and the palette, whatever other lines ask."""
    for product in () if line.no_substitute else _by_role(line, draft, crops, agreed):
        crop = crops[product.variety]
        if crop.key not in agreed.unacceptable and (line.stage is None or _has_stage(crop, line.stage)):
            yield product


def _by_role(
    line: OrderLine, draft: QuoteDraft, crops: Mapping[str, Crop], agreed: StandInsAgreed
) -> tuple[Product, ...]:
    if line.choice is not None:
        return in_place_of_role(line.choice, crops)
    assert line.product is not None, "a line asks a product or a choice"
    palette = agreed.palette if agreed.palette is not None else _colours_asked(draft.order_lines, crops)
    if palette is None:
        return ()
    forms = (Form.FRESH, Form.DRIED) if agreed.dried_ok else (line.product.form,)
    return in_place_of_kind(line.product, palette, crops, forms=forms)


def _colours_asked(lines: Sequence[OrderLine], crops: Mapping[str, Crop]) -> tuple[str, ...] | None:
    """The palette of lines that nobody named one for: the colours they ask; None where they tell none."""
    named = [crops[line.product.variety].colour for line in lines if line.product is not None]
    chosen = [colour for line in lines if line.choice is not None for colour in line.choice.colours]
    return beside(colour for colour in (*named, *chosen) if colour) or None


def _has_stage(crop: Crop, name: str) -> bool:
    return any(stage.name == name for stage in crop.stages)


def _checked(draft: QuoteDraft) -> QuoteDraft:
    for place, line in enumerate(draft.order_lines):
        if line.stems > MOST_STEMS:
            accepted = _("1 to {most_stems} stems").format(most_stems=MOST_STEMS)
            raise NotAccepted(where=f"lines[{place}].stems", found=str(line.stems), accepted=accepted)
    return draft


def _asked_of_pieces(
    needs: Iterable[PieceNeeds], crops: Mapping[str, Crop], farm: Farm
) -> Iterator[tuple[RoleAsked, tuple[KindInPiece, ...]]]:
    """Stems by role of one piece after the other, each with every kind in it: one piece may be decided by itself."""
    for need in needs:
        kinds = kinds_in_piece(need.piece, crops, farm.piece_decisions)
        for asked in stems_by_role((need,)):
            yield asked, kinds


def _would_take(
    role: Role, colours: Sequence[str], crops: Mapping[str, Crop], wanted: WantedFromPieces
) -> Callable[[str], bool]:
    """Whether the role, or one that may stand in for it, would take a kind otherwise, now or in a gap."""
    roles = (role,) if wanted.no_substitute else (role, *NEIGHBOURS[role])

    def takes(key: str) -> bool:
        crop = crops[key]
        return crop.role in roles and (not colours or any(same_family(crop.colour, colour) for colour in colours))

    return takes


def _fits(crop: Crop, colours: Sequence[str]) -> bool:
    """Whether a kind has one of these colours: only then is it missed where it stays out."""
    return not colours or (crop.colour or "").lower() in colours


def _choice(roles: tuple[Role, ...], colours: tuple[str, ...], barred: tuple[str, ...], *, dried_ok: bool) -> Choice:
    """The choice of roles and colours, as a folder can hold it.

    Raises:
        NotAccepted: a colour is no single word, or is named twice.
    """
    forms = (Form.FRESH, Form.DRIED) if dried_ok else (Form.FRESH,)
    return Choice.parse(str(Choice(roles, colours, forms, barred=barred)), where="colours")
