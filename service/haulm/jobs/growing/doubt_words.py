"""What stems are unsure for, in words for the grower: parts of the doubt, a figure worth telling, a kind's first year.

Said to the grower alone; no paper for a customer has a word of it.
"""

from __future__ import annotations

from collections.abc import Mapping

from haulm.errors import NotFound
from haulm.evidence.doubts import is_first_year
from haulm.farm.varieties import Crop
from haulm.farm.words import LineClass, OrderStatus
from haulm.forecast.parts_of_doubt import Part, PartOfDoubt
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _, marked, one_or_more
from haulm.planning.doubt_explained import (
    DoubtExplained,
    FigureToTell,
    WorthTelling,
    doubt_of_products,
    products_of_rows,
    worth_telling_of_batch,
)
from haulm.planning.plan import Plan

_PARTS: Mapping[Part, str] = {
    Part.WEATHER: marked("the weather"),
    Part.SEASON: marked("how quick and how rich the year is for all sowings alike"),
    Part.WEEKS: marked("how long the kind takes with you"),
    Part.STEMS: marked("how many stems a plant gives with you"),
    Part.BAD_SEASONS: marked("seasons that are bad for every kind"),
    Part.DEAD_LOTS: marked("seed that does not come up"),
    Part.SOWING: marked("this sowing's own luck"),
}
_WORTH: Mapping[FigureToTell, str] = {
    FigureToTell.TOTAL: marked("With last year's total of {kind} about {stems} might be promised of those days."),
    FigureToTell.FIRST_CUT: marked(
        "With the day of last year's first cut of {kind} about {stems} might be promised of those days."
    ),
    FigureToTell.COUNT: marked("With a count of what came up of {kind} about {stems} might be promised of those days."),
}


def doubt_in_words(parts: tuple[PartOfDoubt, ...]) -> str:
    """What the doubt comes from: `What is not known of it comes from: 45 % the weather, ...`; empty: none."""
    said = [f"{round(100 * one.share)} % {_(_PARTS[one.part])}" for one in parts if one.share >= 0.005]
    return _("What is not known of it comes from: {said}.").format(said=", ".join(said)) if said else ""


def worth_in_words(worth: WorthTelling | None) -> str:
    """The figure that would help most: `With last year's total of Zinnia about 40 more stems might ...`; or empty."""
    if worth is None:
        return ""
    stems = one_or_more("{count} more stem", "{count} more stems", worth.stems).format(count=worth.stems)
    return _(_WORTH[worth.figure]).format(kind=worth.kind_name, stems=stems)


def first_year_in_words(plan: Plan, crop: Crop) -> str:
    """That a kind's figures are other growers'; empty where the farm has some of its own."""
    if not is_first_year(plan.farm, crop):
        return ""
    return _(
        "{name} is in its first year with you: how long it takes and what it gives are other growers' figures."
    ).format(name=crop.name)


def batch_in_words(plan: Plan, key: str, crop: Crop) -> tuple[str, ...]:
    """What is worth knowing of a batch beside the parts of its doubt: its first year, the figure that helps most."""
    level = plan.farm.site.level_of(LineClass.ONE_OFF)
    said = (first_year_in_words(plan, crop), worth_in_words(worth_telling_of_batch(plan, key, level)))
    return tuple(filter(None, said))


def explained_in_words(found: DoubtExplained) -> tuple[str, ...]:
    """The parts of some lines' doubt and the figure that would help most, in sentences."""
    return tuple(filter(None, (doubt_in_words(found.parts), worth_in_words(found.worth))))


def quote_in_words(desk: Desk, key: str) -> tuple[str, ...]:
    """What the stems of a quote are unsure for, in sentences for the grower; none once it is at its end.

    Raises:
        NotFound: there is no such order.
    """
    plan = desk.plan()
    order = next((one for one in plan.farm.orders if one.key == key), None)
    if order is None:
        raise NotFound(kind=_("order"), key=key)
    if order.status in (OrderStatus.DELIVERED, OrderStatus.CANCELLED):
        return ()
    rows = [line for line in plan.farm.order_lines if line.order == key]
    level = plan.farm.site.level_of(LineClass(order.kind))
    return explained_in_words(doubt_of_products(plan, products_of_rows(plan, rows), order.due_date, level))
