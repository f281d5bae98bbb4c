"""The two parts of an order that is changed: what stood stays the smaller part, as far as it is still asked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from haulm.advice.piece_names import piece_meant
from haulm.advice.pieces import PieceAsked
from haulm.advice.quote_places import places_of
from haulm.farm.orders import Order, OrderLine
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderPart, PriceFrom
from haulm.farm_folder.cells import row_from_values
from haulm.jobs.promises.hold_quote import lines_of
from haulm.jobs.promises.tell_places import lines_told, parts_told, price_of_parts
from haulm.jobs.quotes.answer import Answered, QuoteAsked, parts_of
from haulm.jobs.quotes.order_parts import TwoParts
from haulm.jobs.quotes.places_told import PlacesTold
from haulm.jobs.quotes.size import Part, line_part
from haulm.jobs.quotes.version import QuoteVersion


def parts_after(farm: Farm, order: Order, version: QuoteVersion | None, asked: QuoteAsked) -> TwoParts | None:
    """How what is asked now falls into the two parts of an order; None where it is not in two parts.

    Of each piece, or line, as many belong to the smaller part as did and are still asked; all else to what is sown for.

    Args:
        farm: the farm.
        order: the order as it stands.
        version: how it was last written.
        asked: what is asked now.
    """
    places = None if version is None else version.places
    if places is None or all(line.part is not OrderPart.SOWN for line in lines_of(farm, order.key)):
        return None
    stood: dict[str, int] = {}
    for name, count in zip(_names(places.pieces, _lines(places)), places.counts.promised, strict=True):
        stood[name] = stood.get(name, 0) + count
    every = [piece.count for piece in asked.pieces] or [line.stems for line in asked.lines]
    inner: list[int] = []
    for name, count in zip(_names(asked.pieces, asked.lines), every, strict=True):
        inner.append(min(count, stood.get(name, 0)))
        stood[name] = stood.get(name, 0) - inner[-1]
    return TwoParts(tuple(inner), tuple(n - few for n, few in zip(every, inner, strict=True)))


def anew_in(farm: Farm, before: Order, now: Answered) -> list[OrderLine]:
    """The lines that ask something else than before, or on another day: these alone are promised anew."""
    stood = {line.key: line for line in lines_of(farm, before.key)} if before.due_date == now.order.due_date else {}
    return [line for line in now.draft.order_lines if not _is_as(line, stood.get(line.key))]


def places_kept(found: Answered, asked: QuoteAsked, parts: TwoParts, before: PlacesTold) -> PlacesTold:
    """The places of an order in two parts once it is changed: what was sown for it stays so, and no wish is left.

    Args:
        found: the order as it is now, in its place.
        asked: what is asked now.
        parts: how it falls into the two.
        before: the places before.
    """
    trial, order, none = found.trial, found.order, tuple(0 for _ in parts.inner)
    counts = places_of(parts.larger, parts.inner, parts.larger, parts.larger)
    seed = 0 if before.sown is None else before.sown.price.seed_minor
    inner = price_of_parts(trial, order, asked, TwoParts(parts.inner, none)) if any(parts.inner) else None
    larger = price_of_parts(trial, order, asked, parts, seed)
    now = _parts(found, asked)
    stands = [line for line in trial.lines_of(order.key) if line.part is OrderPart.STANDS]
    promised = before.promised
    if promised is not None and inner is not None:
        sure = trial.joint_of(trial.result.places[line] for line in stands)
        promised = replace(promised, parts=parts_told(now, parts.inner, asked), order_confidence=sure, price=inner)
    sown = before.sown
    if sown is not None:
        sown = replace(
            sown,
            parts=parts_told(now, parts.outer, asked),
            order_confidence=trial.joint(order.key),
            price=larger,
            more_minor=larger.total_minor - (0 if inner is None else inner.total_minor),
            contract="",
        )
    return PlacesTold(
        asked.pieces,
        lines_told(asked),
        counts,
        promised if inner is not None else None,
        sown if any(parts.outer) else None,
    )


def _parts(found: Answered, asked: QuoteAsked) -> list[Part]:
    """What is asked now, in words."""
    if asked.pieces:
        return list(parts_of(asked, found.trial, found.order, found.draft))
    return [line_part(line, found.trial.crops, 1.0) for line in asked.lines]


def _names(pieces: Iterable[PieceAsked], lines: Iterable[OrderLine]) -> list[str]:
    """What each piece or line is, however it was written."""
    return [*(piece_meant(piece.piece) for piece in pieces), *(str(line.product or line.choice) for line in lines)]


def _lines(places: PlacesTold) -> list[OrderLine]:
    return [row_from_values("order_lines", values) for values in places.lines]


def _is_as(line: OrderLine, before: OrderLine | None) -> bool:
    """Whether a line asks what it asked before; what it costs and how sure it is promised is no part of that."""
    return before is not None and _bare(line) == _bare(before)


def _bare(line: OrderLine) -> OrderLine:
    return replace(
        line,
        promised_confidence=None,
        agreed_price_minor=None,
        bunch_price_minor=None,
        bunch_stems=None,
        price_from=PriceFrom.AGREED,
    )
