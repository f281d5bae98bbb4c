"""Labels for what is sown, for beds, and for the stall."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Query

from haulm.advice.asked_words import asked_in_words
from haulm.errors import NotFound
from haulm.farm.batches import Batch
from haulm.farm.place_words import Place
from haulm.farm.products import Product
from haulm.farm.varieties import Crop
from haulm.farm.warnings import only_dried, place_of
from haulm.farm.words import Form
from haulm.jobs.desk.desk import Desk
from haulm.jobs.growing.batch_forecast import first_stem_of
from haulm.jobs.growing.label_sowings import BedLabel, TrayLabel, label_beds, label_trays
from haulm.language.days import short_day
from haulm.language.words import _, many, marked
from haulm.paper.press import pressed
from haulm.paper.prices import bunch_price
from haulm.paper.sending import PDF, PaperAnswer, PaperDay, PaperDesk, PaperSize, sent
from haulm.paper.words import CARE, CARE_DRIED, care_rows, day, food_words
from haulm.web.audience import Audience, only_for

router = APIRouter(tags=["paper"], prefix="/paper", dependencies=[only_for(Audience.HAND)])
_KEEP_NOTE = marked(
    "Uneven germination is normal: write nothing off before that day, and keep kinds that "
    "want a cold spell longer. Forecasts are estimates."
)
_METHODS = {"heated": marked("heated bench"), "cover": marked("under cover")}


@router.get("/tray-labels.pdf", response_class=PaperAnswer, responses=PDF)
def tray_labels(
    desk: PaperDesk,
    first: Annotated[PaperDay | None, Query(alias="from", description="First day of sowing wanted.")] = None,
    last: Annotated[PaperDay | None, Query(alias="to", description="Last day of sowing wanted.")] = None,
    size: PaperSize = PaperSize.A4,
) -> PaperAnswer:
    """Labels for trays sown between two days, two weeks before and after today unless said."""
    labels = [_tray(label) for label in label_trays(desk, first, last)]
    data = _data(desk, _("Tray labels"), size, labels, _("Nothing is sown in trays between these days."))
    return sent(pressed("tray_labels", data), "tray-labels")


@router.get("/bed-labels.pdf", response_class=PaperAnswer, responses=PDF)
def bed_labels(
    desk: PaperDesk,
    bed: Annotated[str | None, Query(description="The key of one bed; all of them unless said.")] = None,
    size: PaperSize = PaperSize.A4,
) -> PaperAnswer:
    """Labels for beds in the order of walking, with what stands in them and what is planned for them."""
    labels = [_bed(desk, label) for label in label_beds(desk, bed)]
    data = _data(desk, _("Bed labels"), size, labels, _("Nothing stands in a bed or is planned for one."))
    return sent(pressed("bed_labels", data), "bed-labels")


@router.get("/stall-labels.pdf", response_class=PaperAnswer, responses=PDF)
def stall_labels(
    desk: PaperDesk,
    product: Annotated[list[str] | None, Query(description="A product; may be given again for another.")] = None,
    size: PaperSize = PaperSize.A4,
) -> PaperAnswer:
    """Labels for the stall, each with the caution of its kind, and not for food unless the farm said so.

    Raises:
        NotFound: a product is of no kind of this farm.
    """
    crops = desk.plan().crops
    asked = [Product.parse(text, where="product") for text in product or ()]
    for found in asked:
        if found.variety not in crops:
            raise NotFound(kind=_("variety"), key=found.variety)
    labels = [_stall(desk, found) for found in asked]
    data = _data(
        desk, _("Stall labels"), size, labels, _("Name the products: ?product=KEY, again for each further one.")
    )
    return sent(pressed("stall_label", data), "stall-labels")


def _data(desk: Desk, title: str, size: str, labels: list[dict[str, Any]], none: str) -> dict[str, Any]:
    return {"title": title, "farm": desk.store.farm().site.name, "size": size, "labels": labels, "none": none}


def _tray(label: TrayLabel) -> dict[str, Any]:
    batch, crop, window = label.batch, label.crop, label.window
    return {
        "name": crop.name,
        "botanical": crop.botanical_name or "",
        "batch": batch.key,
        "places": many("{count} place", "{count} places", batch.places) if batch.places else "",
        "sown": day(label.sown),
        "method": _(_METHODS.get(batch.method, str(batch.method))),
        "up": _("{first} to {last}, usually {usual}").format(
            first=_short(window.first), last=_short(window.last), usual=_short(window.usual)
        ),
        "keep_until": day(window.keep_until),
        "note": _("{note} Out of the tray about {day}.").format(note=_(_KEEP_NOTE), day=_short(label.plant_out)),
        "food": food_words(crop),
        **care_rows(place_of(batch), [crop]),
    }


def _bed(desk: Desk, label: BedLabel) -> dict[str, Any]:
    return {
        "bed": label.bed.name,
        "batches": [_standing(desk, batch, crop, since) for batch, crop, since in label.batches],
        **care_rows(Place.CUT, [crop for _batch, crop, _day in label.batches]),
    }


def _standing(desk: Desk, batch: Batch, crop: Crop, since: date | None) -> dict[str, str]:
    first = first_stem_of(desk.plan(), batch.key)
    cut = _("First stem: no forecast")
    if first is not None:
        cut = _("First stem about {day} (between {first} and {last})").format(
            day=day(first[1]), first=_short(first[0]), last=_short(first[2])
        )
    return {
        "name": crop.name,
        "batch": batch.key,
        "planted": "" if since is None else _("In the ground from {day}").format(day=day(since)),
        "spacing": _("{spacing} cm apart, rows {row} cm").format(
            spacing=f"{crop.spacing_cm:g}", row=f"{crop.row_cm:g}"
        ),
        "first_cut": cut,
    }


def _stall(desk: Desk, product: Product) -> dict[str, Any]:
    plan = desk.plan()
    crop = plan.crops[product.variety]
    dried = product.form is Form.DRIED
    return {
        "name": asked_in_words(product, plan.crops),
        "botanical": crop.botanical_name or "",
        "colour": crop.colour or "",
        "price": _("a bunch of {stems}: {price}").format(
            stems=crop.bunch_stems, price=bunch_price(plan, product, "____________")
        ),
        "food": food_words(crop),
        "care": _(CARE_DRIED) if dried else _(CARE),
        **care_rows(Place.HOME, [crop], only_dried([product])),
    }


def _short(found: date) -> str:
    return short_day(found)
