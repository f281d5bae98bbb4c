"""Checks that one row alone can fail: numbers and texts within their limits, dates in order, what its kind needs.

References and rows compared with each other are the business of `cross_checks`.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from operator import attrgetter
from typing import Any

from haulm.farm.batches import Batch
from haulm.farm.beds import Spray
from haulm.farm.faults import Fault, quoted
from haulm.farm.limits import (
    NOTE_SENTENCE,
    NOTES,
    NUMBERS,
    TEXT_SENTENCE,
    TEXTS,
    Limits,
    is_note,
    is_required_text,
    is_text,
)
from haulm.farm.moments import MOMENT_SENTENCE, is_moment
from haulm.farm.orders import Customer, Order, OrderLine, StandingLine, StandingOrder
from haulm.farm.past_year_checks import past_year_complaints
from haulm.farm.piece_decisions import ASKED_USES, PieceDecision, use_of
from haulm.farm.products import CHOICE_SENTENCE, KEY, KEY_SENTENCE
from haulm.farm.records import DayTemperature, KnownStems, Record
from haulm.farm.temperature_checks import whole_complaint
from haulm.farm.usual_sales import usual_sale_complaints
from haulm.farm.varieties import STAGES_SENTENCE, Variety, stages_text
from haulm.farm.words import OrderStatus, RecordKind
from haulm.language.words import _, marked

Complaint = tuple[str, str, str]
"""Column, found, accepted."""

DATE_SENTENCE = marked("a date such as 2027-05-20, years 1900 to 2999")
PHONE_SENTENCE = marked("one phone number of 3 to 15 digits such as +44 1632 960 123")
EMAIL_SENTENCE = marked("one email address such as anna@example.org")
_PHONE = re.compile(r"(?=(?:[^0-9]*[0-9]){3,15}[^0-9]*\Z)\+?[0-9 ()./-]+\Z")
"""Digits as people part them, at most as many as ITU-T E.164 has. Of which country they are, and whether anybody has
them, is not asked: a farm's book holds numbers as they are dialled from where it is."""
FIRST_DATE = dt.date(1900, 1, 1)
LAST_DATE = dt.date(2999, 12, 31)

_DATES: Mapping[str, tuple[str, ...]] = {
    "batches": ("sow_date", "plant_out_date"),
    "records": ("date",),
    "known_stems": ("ready_date", "cut_date", "usable_until"),
    "temperatures": ("date",),
    "standing_orders": ("committed_on",),
    "orders": ("due_date", "event_date", "committed_on", "hold_until", "final_numbers_date"),
    "sprays": ("date", "wait_until"),
    "past_years": ("sow_date", "first_cut", "last_cut"),
    "at_home": ("date",),
}
_KEYLESS = ("temperatures", "prices", "recipes", "piece_decisions", "at_home")
_NAMES = ("name", "piece")
_COUNTED = frozenset((RecordKind.GERMINATED, RecordKind.PLANTED, RecordKind.STANDING, RecordKind.CUT))
_LOSSES = frozenset((RecordKind.LOST, RecordKind.WASTE))
_ABOUT_NOBODY = frozenset((RecordKind.FROST, RecordKind.CORRECTED))


def row_faults(collection: str, rows: Sequence[Any]) -> tuple[Fault, ...]:
    """What is wrong with the rows of one collection, each row alone.

    Args:
        collection: the name of the collection in a Farm, such as `orders`.
        rows: its nouns, in order.

    Returns:
        Faults by row and, in a row, in the order of the checks; `row` is the index in `rows`. What is wrong with
        temperatures as a whole is one fault of the first row.
    """
    whole = whole_complaint(rows) if collection == "temperatures" else None
    if whole is not None:
        # Swapped columns are one slip: thousands of faults would hide it.
        return (Fault(collection, 0, *whole),)
    faults = [
        Fault(collection, index, column, found, accepted)
        for index, (column, found, accepted) in (
            *_number_complaints(rows, NUMBERS[collection]),
            *_text_complaints(collection, rows),
            *_date_complaints(rows, _DATES.get(collection, ())),
            *_rule_complaints(rows, _RULES.get(collection)),
        )
    ]
    return tuple(sorted(faults, key=lambda fault: fault.row or 0))


def _number_complaints(rows: Sequence[Any], fields: Mapping[str, Limits]) -> Iterator[tuple[int, Complaint]]:
    for field, limits in fields.items():
        least, most = limits.least, limits.most
        for index, value in enumerate(map(attrgetter(field), rows)):
            if value is not None and not least <= value <= most:
                yield index, (field, f"{value:.15g}", _("a number {range}").format(range=limits.sentence))


def _text_complaints(collection: str, rows: Sequence[Any]) -> Iterator[tuple[int, Complaint]]:
    for field in TEXTS.get(collection, ()):
        yield from _unclean(rows, field, is_required_text if field in _NAMES else is_text, _(TEXT_SENTENCE))
    for field in NOTES.get(collection, ()):
        yield from _unclean(rows, field, is_note, _(NOTE_SENTENCE))
    if collection not in _KEYLESS:
        yield from _unclean(rows, "key", _is_key, _(KEY_SENTENCE))


def _unclean(
    rows: Sequence[Any], field: str, is_clean: Callable[[str], bool], accepted: str
) -> Iterator[tuple[int, Complaint]]:
    for index, text in enumerate(map(attrgetter(field), rows)):
        if text is not None and not is_clean(text):
            yield index, (field, quoted(text) if text else _("nothing"), accepted)


def _is_key(text: str) -> bool:
    return KEY.fullmatch(text) is not None


def _date_complaints(rows: Sequence[Any], fields: tuple[str, ...]) -> Iterator[tuple[int, Complaint]]:
    for field in fields:
        for index, day in enumerate(map(attrgetter(field), rows)):
            if day is not None and not FIRST_DATE <= day <= LAST_DATE:
                yield index, (field, str(day), _(DATE_SENTENCE))


def _rule_complaints(
    rows: Sequence[Any], rule: Callable[[Any], Iterator[Complaint]] | None
) -> Iterator[tuple[int, Complaint]]:
    if rule is not None:
        for index, row in enumerate(rows):
            for complaint in rule(row):
                yield index, complaint


def _variety(row: Variety) -> Iterator[Complaint]:
    if not is_text(stages_text(row.stages)):
        yield "stages", quoted(stages_text(row.stages)), _(STAGES_SENTENCE)
    for through, figure in (("weeks_through", "weeks_to_flower"), ("stems_through", "stems_per_plant")):
        if getattr(row, through) is not None and getattr(row, figure) is None:
            yield (
                through,
                str(getattr(row, through)),
                _("nothing, where {figure} is not the farm's own").format(figure=figure),
            )


def _batch(row: Batch) -> Iterator[Complaint]:
    yield from _not_before("plant_out_date", row.plant_out_date, "sow_date", row.sow_date)


def _record(row: Record) -> Iterator[Complaint]:
    about = (row.batch is not None) + (row.variety is not None)
    if about == 2:
        yield (
            "variety",
            _("batch {batch} and variety {variety}").format(batch=row.batch, variety=row.variety),
            _("a batch or a variety, not both"),
        )
    if row.kind is RecordKind.FROST and about:
        yield "batch", _("a frost of one batch or variety"), _("neither batch nor variety: a frost is the whole farm's")
    if row.kind not in _ABOUT_NOBODY and not about:
        accepted = _("a batch or a variety; only a frost is the whole farm's")
        yield "batch", _("{kind} with neither batch nor variety").format(kind=row.kind), accepted
    if row.kind in _COUNTED and row.count is None:
        yield "count", _("nothing"), _("a count: a record of kind {kind} needs one").format(kind=row.kind)
    if row.kind is RecordKind.CORRECTED and row.corrects is None:
        yield "corrects", _("nothing"), _("the key of the record it corrects")
    yield from _loss(row)
    if row.typed_at is not None and not is_moment(row.typed_at):
        yield "typed_at", quoted(row.typed_at), _(MOMENT_SENTENCE)


def _loss(row: Record) -> Iterator[Complaint]:
    if row.reason is not None and row.kind not in _LOSSES:
        yield (
            "reason",
            _("{reason} of a record of kind {kind}").format(reason=row.reason, kind=row.kind),
            _("nothing: only lost and waste have a reason"),
        )
    if row.share_pct is not None and (row.kind is not RecordKind.LOST or row.count is not None):
        accepted = _("nothing: only lost has a share, and either a share or a count")
        yield (
            "share_pct",
            _("{share_pct} % of a record of kind {kind}").format(share_pct=row.share_pct, kind=row.kind),
            accepted,
        )


def _known_stems(row: KnownStems) -> Iterator[Complaint]:
    yield from _not_before("cut_date", row.cut_date, "ready_date", row.ready_date)
    after = ("ready_date", row.ready_date) if row.cut_date is None else ("cut_date", row.cut_date)
    yield from _not_before("usable_until", row.usable_until, *after)


def _temperature(row: DayTemperature) -> Iterator[Complaint]:
    if row.min_c > row.max_c:
        yield (
            "min_c",
            _("min_c {min_c} above max_c {max_c}").format(min_c=f"{row.min_c:g}", max_c=f"{row.max_c:g}"),
            _("min_c at most max_c"),
        )


def _customer(row: Customer) -> Iterator[Complaint]:
    if row.email:
        # Only a letter can tell whether an address is somebody's; this catches slips of the pen.
        name, at, place = row.email.partition("@")
        # A domain may have accents, which servers are told in other letters; few of them take any before the @.
        if not (name.isascii() and name and at and place) or "@" in place or any(map(str.isspace, row.email)):
            yield "email", quoted(row.email), _(EMAIL_SENTENCE)
    if row.phone and not _PHONE.fullmatch(row.phone):
        yield "phone", quoted(row.phone), _(PHONE_SENTENCE)


def _standing_order(row: StandingOrder) -> Iterator[Complaint]:
    if row.last_week < row.first_week:
        yield (
            "last_week",
            str(row.last_week),
            _("a week not before first_week {first_week}").format(first_week=row.first_week),
        )


def _line(row: StandingLine | OrderLine) -> Iterator[Complaint]:
    if row.product is None and row.choice is None:
        yield "product", _("neither product nor choice"), _("a product or a choice")
    if row.product is not None and row.choice is not None:
        yield (
            "choice",
            _("product {product} and choice {choice}").format(product=row.product, choice=quoted(str(row.choice))),
            _("a product or a choice, not both"),
        )
    if row.choice is not None and not is_text(str(row.choice)):
        yield "choice", quoted(str(row.choice)), _(CHOICE_SENTENCE)
    if row.minimum > row.stems:
        yield "minimum", str(row.minimum), _("at most the stems of the line, {stems}").format(stems=row.stems)
    if row.max_each is not None and row.choice is None:
        yield (
            "max_each",
            _("{max_each} on a line without a choice").format(max_each=row.max_each),
            _("empty, unless the line is a choice"),
        )
    yield from _price_of_a_bunch(row)
    if len(set(row.substitutes)) < len(row.substitutes) or row.product in row.substitutes:
        found = quoted("|".join(map(str, row.substitutes)))
        yield "substitutes", found, _("each product once, and not the line's own product")


def _price_of_a_bunch(row: StandingLine | OrderLine) -> Iterator[Complaint]:
    if row.bunch_price_minor is not None and row.bunch_stems is None:
        yield "bunch_stems", _("nothing"), _("the stems of the bunch that bunch_price_minor is the price of")
    if row.bunch_price_minor is None and row.bunch_stems is not None:
        yield (
            "bunch_price_minor",
            _("nothing"),
            _("the price of a bunch of {bunch_stems}, or bunch_stems empty as well").format(
                bunch_stems=row.bunch_stems
            ),
        )


def _order(row: Order) -> Iterator[Complaint]:
    if row.status is OrderStatus.ON_HOLD and row.hold_until is None:
        yield "hold_until", _("nothing"), _("the last day of the hold: an order on_hold needs one")
    yield from _not_before("event_date", row.event_date, "due_date", row.due_date)
    for column, day in (("final_numbers_date", row.final_numbers_date), ("committed_on", row.committed_on)):
        if day is not None and day > row.due_date:
            yield column, str(day), _("a date not after due_date {due_date}").format(due_date=row.due_date)
    if len(set(row.unacceptable)) < len(row.unacceptable):
        yield "unacceptable", quoted("|".join(row.unacceptable)), _("each variety once")


def _spray(row: Spray) -> Iterator[Complaint]:
    yield from _not_before("wait_until", row.wait_until, "date", row.date)


def _piece_decision(row: PieceDecision) -> Iterator[Complaint]:
    if row.use not in ASKED_USES:
        yield (
            "use",
            str(row.use),
            _("one of {uses}: nothing is decided about what is set up or food").format(uses=", ".join(ASKED_USES)),
        )
    elif row.piece and use_of(row.piece) is not row.use:
        yield (
            "piece",
            _("{piece}, which is {use}").format(piece=quoted(row.piece), use=use_of(row.piece)),
            _("a piece that is {use}, or none").format(use=row.use),
        )


def _not_before(column: str, day: dt.date | None, other: str, bound: dt.date | None) -> Iterator[Complaint]:
    if day is not None and bound is not None and day < bound:
        yield column, str(day), _("a date not before {other} {bound}").format(other=other, bound=bound)


_RULES: Mapping[str, Callable[[Any], Iterator[Complaint]]] = {
    "varieties": _variety,
    "batches": _batch,
    "records": _record,
    "known_stems": _known_stems,
    "temperatures": _temperature,
    "customers": _customer,
    "standing_orders": _standing_order,
    "standing_lines": _line,
    "orders": _order,
    "order_lines": _line,
    "sprays": _spray,
    "piece_decisions": _piece_decision,
    "past_years": past_year_complaints,
    "usual_sales": usual_sale_complaints,
}
assert set(_RULES) <= set(NUMBERS), "a rule is one for the rows of a collection"
assert set(_DATES) <= set(NUMBERS), "dates are those of a collection"
