"""Papers of a confirmed bucket list: the whole list, labels, packing list, delivery note. A draft is not printed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Annotated, Any

from fastapi import APIRouter, Query

from haulm.advice.asked_words import asked_in_words
from haulm.advice.sprayed import sprays_on
from haulm.errors import NotFound
from haulm.farm.place_words import Place
from haulm.farm.varieties import Crop
from haulm.farm.warnings import kinds_among, only_dried
from haulm.farm.weeks import near_day_in_words
from haulm.farm.words import Form
from haulm.jobs.bucket_day.list_prices import ListTerms
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _, marked, one_or_more
from haulm.paper.confirmed_list import Packed, PackedLine, Part, confirmed_list, kept_caution
from haulm.paper.letterhead import sender
from haulm.paper.note_prices import note_prices
from haulm.paper.press import pressed
from haulm.paper.sending import PDF, PaperAnswer, PaperDay, PaperDesk, PaperSize, sent
from haulm.paper.words import NOT_FOR_FOOD, care_of, care_rows, day, food_words, length, stems_words
from haulm.planning.plan import Plan
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["paper"], prefix="/paper/bucket-lists/{bucket_day}")
_BY_HAND = marked("Cut on: ______________")
_EMPTY = marked("Nothing goes out: no line of this list got stems.")
_PRICE_NOTE = marked(
    "Stems only, at the price agreed for each line; a stand-in costs that or less. Delivery "
    "and tax are on the invoice. This note is no invoice."
)


class YesNo(StrEnum):
    """An answer in a query."""

    YES = "yes"
    NO = "no"


OneCustomer = Annotated[str | None, Query(description="The key of one customer; everybody on the list unless said.")]


@dataclass(frozen=True, slots=True)
class _Round:
    """What the papers of one bucket day are made from."""

    day: date
    size: str
    plan: Plan
    packed: tuple[Packed, ...]

    @property
    def crops(self) -> Mapping[str, Crop]:
        """The farm's kinds."""
        return self.plan.crops

    def name(self, customer: str) -> str:
        """A customer as people say it."""
        return next((found.name for found in self.plan.farm.customers if found.key == customer), customer)

    def data(self, title: str, **more: Any) -> dict[str, Any]:
        """What every paper of the day says."""
        words = day(self.day)
        return {
            "title": f"{title}, {words}",
            "farm": self.plan.farm.site.name,
            "sender": sender(self.plan.farm.site.papers),
            "size": self.size,
            "none": _(_EMPTY),
            "day": words,
            **more,
        }


@router.get("/list.pdf", response_class=PaperAnswer, responses=PDF, dependencies=[only_for(Audience.HAND)])
def whole_list(desk: PaperDesk, bucket_day: PaperDay, size: PaperSize = PaperSize.A4) -> PaperAnswer:
    """The whole confirmed list, by customer, with a box to tick for each kind."""
    found = _round(desk, bucket_day, size)
    customers = [
        {"name": found.name(one.customer), "rows": [row for line in one.lines for row in _rows(found, line)]}
        for one in found.packed
    ]
    data = found.data(
        _("Bucket list"),
        intro=_("As it was confirmed. Stems without a day of cutting stood in the field then."),
        customers=customers,
        **_care(found, found.packed),
        notes=[_food(found)],
    )
    return sent(pressed("bucket_list", data), f"bucket-list-{bucket_day}")


@router.get("/labels.pdf", response_class=PaperAnswer, responses=PDF, dependencies=[only_for(Audience.HAND)])
def labels(
    desk: PaperDesk, bucket_day: PaperDay, customer: OneCustomer = None, size: PaperSize = PaperSize.A4
) -> PaperAnswer:
    """Labels for buckets, several to a sheet: one for each customer, kind, length and day of cutting."""
    found = _round(desk, bucket_day, size, customer)
    made = [label for one in found.packed for line in one.lines for label in _labels(found, one.customer, line)]
    return sent(pressed("bucket_labels", found.data(_("Bucket labels"), labels=made)), f"bucket-labels-{bucket_day}")


@router.get("/packing.pdf", response_class=PaperAnswer, responses=PDF, dependencies=[only_for(Audience.HAND)])
def packing(
    desk: PaperDesk, bucket_day: PaperDay, customer: OneCustomer = None, size: PaperSize = PaperSize.A4
) -> PaperAnswer:
    """Packing lists, a customer a page, without prices."""
    found = _round(desk, bucket_day, size, customer)
    return sent(pressed("delivery", _notes(found, _("Packing list"))), f"packing-list-{bucket_day}")


@router.get("/delivery.pdf", response_class=PaperAnswer, responses=PDF, dependencies=[only_for(Audience.OWNER)])
def delivery(
    desk: PaperDesk,
    bucket_day: PaperDay,
    customer: OneCustomer = None,
    prices: Annotated[YesNo, Query(description="Whether prices stand on it.")] = YesNo.NO,
    size: PaperSize = PaperSize.A4,
) -> PaperAnswer:
    """Delivery notes, a customer a page; with prices where they are wanted."""
    found = _round(desk, bucket_day, size, customer)
    data = _notes(found, _("Delivery note"), ListTerms(desk, bucket_day) if prices is YesNo.YES else None)
    return sent(pressed("delivery", data), f"delivery-notes-{bucket_day}")


def _round(desk: Desk, bucket_day: date, size: str, customer: str | None = None) -> _Round:
    """The day's list, of one customer where one is named.

    Raises:
        NotFound: no list was confirmed for the day, or the customer is not on it.
    """
    packed = confirmed_list(desk, bucket_day)
    if customer is not None:
        packed = tuple(one for one in packed if one.customer == customer)
        if not packed:
            raise NotFound(kind=_("customer on the bucket list of {day}").format(day=bucket_day), key=customer)
    return _Round(bucket_day, size, desk.plan(), packed)


def _parts(line: PackedLine) -> Iterator[tuple[Part, bool]]:
    """What goes out for a line; whether it is spare."""
    yield from ((part, False) for part in line.parts)
    yield from ((part, True) for part in line.spare)


def _out(found: _Round, line: PackedLine, part: Part, *, spare: bool) -> str:
    """How stems go out: in bunches, or loose."""
    crop = found.crops.get(part.product.variety)
    if spare:
        return _("spare for breakage, loose")
    if line.is_loose or crop is None:
        return _("loose")
    bunches, over = divmod(part.stems, crop.bunch_stems)
    of = one_or_more("{count} bunch of {stems}", "{count} bunches of {stems}", bunches)
    words = [of.format(count=f"{bunches:,}", stems=crop.bunch_stems)] if bunches else []
    return ", ".join([*words, _("{over} over").format(over=over)] if over else words)


def _instead(found: _Round, line: PackedLine, part: Part) -> str:
    if not line.is_instead(part):
        return ""
    said = _("for {asked}") if "=" in line.asked else _("instead of {asked}")
    return said.format(asked=line.asked_words(found.crops))


def _rows(found: _Round, line: PackedLine) -> Iterator[dict[str, str]]:
    """The rows of a line; one that gets nothing is there too."""
    if not line.parts:
        nothing = _("asked {stems}, nothing goes out").format(stems=stems_words(line.wanted))
        yield {**_row(line.asked_words(found.crops), line), "stems": "0", "out": nothing}
    for part, spare in _parts(line):
        yield {
            **_row(asked_in_words(part.product, found.crops), line),
            "length": length(part.length_cm),
            "stems": f"{part.stems:,}",
            "out": _out(found, line, part, spare=spare),
            "instead": _instead(found, line, part),
            "caution": kept_caution(part, line, found.crops),
        }


def _row(name: str, line: PackedLine) -> dict[str, str]:
    leaves = near_day_in_words(line.due)
    return {"name": name, "leaves": leaves, "length": "", "instead": "", "caution": "", "price": ""}


def _labels(found: _Round, customer: str, line: PackedLine) -> Iterator[dict[str, Any]]:
    for part, spare in _parts(line):
        crop = found.crops.get(part.product.variety)
        yield {
            "customer": found.name(customer),
            "name": asked_in_words(part.product, found.crops),
            "colour": "" if crop is None else crop.colour or "",
            "length": length(part.length_cm),
            "stems": stems_words(part.stems),
            "out": _out(found, line, part, spare=spare),
            "cut": _cut(part),
            "leaves": near_day_in_words(line.due),
            "caution": kept_caution(part, line, found.crops),
            "care": care_of([part.product.form]),
            **care_rows(Place.CONDITIONING, kinds_among([part.product], found.crops), only_dried([part.product])),
            "food": _(NOT_FOR_FOOD) if crop is None else food_words(crop),
        }


def _cut(part: Part) -> str:
    """When it was cut, or a place to write it; of dried stems nobody asks."""
    if part.product.form is Form.DRIED:
        return ""
    return _(_BY_HAND) if part.cut_date is None else _("Cut on: {day}").format(day=day(part.cut_date))


def _notes(found: _Round, kind: str, terms: ListTerms | None = None) -> dict[str, Any]:
    """Packing lists and delivery notes; with prices where there are terms."""
    return found.data(
        kind,
        kind=kind,
        priced=terms is not None,
        price_note=_(_PRICE_NOTE),
        food=_food(found),
        notes_of=[_note(found, place, one, terms) for place, one in enumerate(found.packed, 1)],
    )


def _food(found: _Round) -> str:
    """The kinds on the list that the farm grows for food, and that the others are not."""
    products = {part.product for one in found.packed for line in one.lines for part, _spare in _parts(line)}
    kinds = [
        asked_in_words(product, found.crops)
        for product in sorted(products)
        if product.variety in found.crops and found.crops[product.variety].food_use
    ]
    return (
        _("Grown for food use, says the farm: {kinds}. Everything else is not for food.").format(kinds=", ".join(kinds))
        if kinds
        else _(NOT_FOR_FOOD)
    )


def _note(found: _Round, place: int, one: Packed, terms: ListTerms | None) -> dict[str, Any]:
    rows = [
        {
            **_row(asked_in_words(part.product, found.crops), line),
            "length": length(part.length_cm),
            "stems": stems_words(part.stems),
            "out": _out(found, line, part, spare=spare),
            "instead": _instead(found, line, part),
        }
        for line in one.lines
        for part, spare in _parts(line)
    ]
    return {
        "number": f"{found.day}/{place}",
        "customer": found.name(one.customer),
        **({"rows": rows} if terms is None else _priced(found, one, rows, terms)),
        "short": [_missing(found, line) for line in one.lines if line.stems < line.wanted],
        "cautions": list(_cautions(found, one)),
        **_care(found, [one]),
        "care": care_of(part.product.form for line in one.lines for part, _spare in _parts(line)),
    }


def _priced(found: _Round, one: Packed, rows: Sequence[dict[str, str]], terms: ListTerms) -> dict[str, Any]:
    """The rows with their prices, and the sums below them."""
    prices = note_prices(terms, one.lines, found.crops, found.plan.farm.site.currency)
    return {
        "rows": [{**row, "price": price} for row, price in zip(rows, prices.rows, strict=True)],
        "agreed": prices.agreed,
        "credits": prices.credits,
        "total": prices.together,
        "claims": prices.claims,
        "to_pay": prices.to_pay,
    }


def _cautions(found: _Round, one: Packed) -> Iterator[str]:
    """The caution of each kind that is grown no more, once, with its name."""
    told: set[str] = set()
    for line in one.lines:
        for part, _spare in _parts(line):
            caution, name = kept_caution(part, line, found.crops), asked_in_words(part.product, found.crops)
            if caution and name not in told:
                told.add(name)
                yield f"{name}: {caution}"


def _care(found: _Round, packed: Iterable[Packed]) -> dict[str, Any]:
    """What is to be said of all that goes out where it is stripped and put in buckets, and what was sprayed on it."""
    parts = [part for one in packed for line in one.lines for part, _spare in _parts(line)]
    products = [part.product for part in parts]
    kinds = kinds_among(products, found.crops)
    stems = [(part.product, part.cut_date) for part in parts]
    sprays = sprays_on(found.plan.farm, found.crops, stems, found.day)
    return {**care_rows(Place.CONDITIONING, kinds, only_dried(products)), "sprays": list(sprays)}


def _missing(found: _Round, line: PackedLine) -> str:
    return _("{kind}: asked {asked}, {stems} here.").format(
        kind=line.asked_words(found.crops), asked=stems_words(line.wanted), stems=f"{line.stems:,}"
    )
