"""See usual sales: what each would get of what nobody was promised, what beds bring, and what last year suggests."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from haulm.advice.asked_words import asked_in_words
from haulm.advice.kept_prices import kept_price
from haulm.advice.pricing import whole_minor
from haulm.farm.orders import StandingLine, StandingOrder
from haulm.farm.snapshot import Farm
from haulm.farm.usual_sales import UsualSale
from haulm.farm.weeks import Week, day_in_words
from haulm.farm.words import StandingStatus, UsualSource
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.money_words import money_words
from haulm.jobs.desk.names import HOW_WORDS
from haulm.jobs.desk.seen import Shown
from haulm.jobs.farm.take_back_row import rows_gone
from haulm.language.words import _, marked
from haulm.planning.bed_money import usual_figures
from haulm.planning.plan import Plan
from haulm.planning.usual import money_by_week
from haulm.planning.usual_figures import BedMoney, HopedSowing, SaleOutlook
from haulm.planning.usual_sowings import usual_sowings

SOURCE_WORDS = {
    UsualSource.FLORIST: marked("last year's florist"),
    UsualSource.WISHES: marked("a wish sheet"),
    UsualSource.STALL: marked("the stall"),
}
_A_YEAR_WEEKS = 52


@dataclass(frozen=True, slots=True)
class SaleShown:
    """A usual sale in words.

    Attributes:
        row: the sale.
        name: what is hoped to be sold.
        who: where the hope comes from, and the customer's name where one is known.
        outlook: what it would get in the weeks to come; None where it is only suggested or was taken back.
    """

    row: UsualSale
    name: str
    who: str
    outlook: SaleOutlook | None = None


@dataclass(frozen=True, slots=True)
class KindMoney:
    """What a kind's beds bring from today on, its batches the best first.

    Attributes:
        name: the kind's name.
        minor: in all, less what is still to be spent [minor units].
        per_metre_week: for a metre of bed and week [minor units].
        batches: its batches with the names of their varieties.
    """

    name: str
    minor: float
    per_metre_week: float
    batches: tuple[tuple[str, BedMoney], ...]


@dataclass(frozen=True, slots=True)
class UsualSales:
    """Everything that is shown of usual sales.

    Attributes:
        shown: the sales, in the order of the rows.
        weeks: money hoped for by week [minor units].
        minor: money hoped for in all [minor units].
        as_last_year: sales that last year's standing orders suggest; `key` names the line.
        gone: sales taken back last that could be put back.
        kinds: what each kind's beds bring, the most for a metre and week first.
        currency: of all money.
    """

    shown: tuple[SaleShown, ...]
    weeks: tuple[tuple[Week, float], ...]
    minor: float
    as_last_year: tuple[SaleShown, ...]
    gone: tuple[SaleShown, ...]
    kinds: tuple[KindMoney, ...]
    currency: str


def see_usual_sales(desk: Desk) -> UsualSales:
    """The usual sales as they stand. Reads only."""
    plan = desk.plan()
    found, farm = usual_figures(plan), plan.farm
    return UsualSales(
        shown=tuple(_shown(plan, one.sale, one) for one in found.sales),
        weeks=money_by_week(found.hoped),
        minor=found.hoped.minor,
        as_last_year=tuple(_shown(plan, sale) for sale in as_last_year(farm, Week.of(plan.today))),
        gone=tuple(_shown(plan, sale) for sale in _gone(desk, farm)),
        kinds=kind_money(plan, found.beds),
        currency=farm.site.currency,
    )


@dataclass(frozen=True, slots=True)
class SowingShown:
    """An extra sowing in words.

    Attributes:
        name: its variety.
        how: the way it is started.
        bed: the bed's name, or nothing.
        sowing: the sowing.
        shown: what is shown of it, on which putting it into the plan rests.
    """

    name: str
    how: str
    bed: str
    sowing: HopedSowing
    shown: Shown


def see_hoped_sowings(desk: Desk) -> tuple[SowingShown, ...]:
    """The sowings that usual sales would pay for, the most for a metre of bed and week first. Reads only."""
    return hoped_shown(desk.plan())


def hoped_shown(plan: Plan) -> tuple[SowingShown, ...]:
    """The same of a plan."""
    beds = {bed.key: bed.name for bed in plan.farm.beds}
    return tuple(_sowing_shown(plan, one, beds.get(one.batch.bed or "", "")) for one in usual_sowings(plan))


def _sowing_shown(plan: Plan, one: HopedSowing, bed: str) -> SowingShown:
    batch, currency = one.batch, plan.farm.site.currency
    name, how = plan.crops[batch.variety].name, _(HOW_WORDS[batch.method])
    assert batch.sow_date is not None, "a sowing that is advised has its day"
    figures = {
        "Sowing": _("{name}, {places} places, {how}{where}").format(
            name=name, places=batch.sown, how=how, where=f", {bed}" if bed else ""
        ),
        "Day": day_in_words(batch.sow_date),
        "May bring": money_words(round(one.gained_minor), currency),
        "Costs": money_words(round(one.spent_minor), currency),
    }
    return SowingShown(name, how, bed, one, Shown(_("the sowing"), figures))


def as_last_year(farm: Farm, week: Week) -> tuple[UsualSale, ...]:
    """What the lines of standing orders that are over suggest for the same weeks of the next season.

    Left out is what the same customer has ordered since, and what stands among the usual sales. The key of a suggestion
    is that of its line.
    """
    orders = {order.key: order for order in farm.standing_orders}
    return tuple(
        sale
        for line in farm.standing_lines
        if (order := orders[line.order]).last_week < week
        for sale in (_as_last_year(order, line, week),)
        if not _stands(farm, sale)
    )


def kind_money(plan: Plan, beds: Sequence[BedMoney]) -> tuple[KindMoney, ...]:
    """What each kind's beds bring, the most for a metre and week first; ties by name."""
    by_kind: dict[str, list[BedMoney]] = {}
    for bed in beds:
        by_kind.setdefault(plan.crops[bed.batch.variety].kind_name, []).append(bed)
    found = [
        KindMoney(
            name,
            sum(row.minor for row in rows),
            sum(row.minor for row in rows) / (sum(row.metres * row.weeks for row in rows) or 1.0),
            tuple((plan.crops[row.batch.variety].name, row) for row in rows),
        )
        for name, rows in by_kind.items()
    ]
    return tuple(sorted(found, key=lambda kind: (-kind.per_metre_week, kind.name)))


def _shown(plan: Plan, sale: UsualSale, outlook: SaleOutlook | None = None) -> SaleShown:
    asked = sale.product if sale.product is not None else sale.choice
    assert asked is not None, "a usual sale is of a product or a choice"
    names = {customer.key: customer.name for customer in plan.farm.customers}
    source = _(SOURCE_WORDS[sale.source])
    who = source if sale.customer is None else f"{names.get(sale.customer, sale.customer)}, {source}"
    return SaleShown(sale, asked_in_words(asked, plan.crops), who[0].upper() + who[1:], outlook)


def _as_last_year(order: StandingOrder, line: StandingLine, week: Week) -> UsualSale:
    ahead = _A_YEAR_WEEKS
    while order.last_week.plus(ahead) < week:
        ahead += _A_YEAR_WEEKS
    price = kept_price(line)
    return UsualSale(
        line.key,
        UsualSource.FLORIST,
        line.stems,
        order.first_week.plus(ahead),
        order.last_week.plus(ahead),
        line.product,
        line.choice,
        order.weekday,
        None if price is None else whole_minor(price.stem),
        order.customer,
    )


def _stands(farm: Farm, sale: UsualSale) -> bool:
    """Whether the same is ordered or hoped for already in some of its weeks."""
    return any(
        customer == sale.customer
        and asked == (sale.product, sale.choice)
        and first <= sale.last_week
        and last >= sale.first_week
        for customer, asked, first, last in _standing(farm)
    )


def _standing(farm: Farm) -> Iterator[tuple[str | None, tuple[object, object], Week, Week]]:
    """Customer, what is asked, and the weeks of all that is ordered or hoped for."""
    orders = {order.key: order for order in farm.standing_orders if order.status is StandingStatus.ACTIVE}
    for line in farm.standing_lines:
        order = orders.get(line.order)
        if order is not None:
            yield order.customer, (line.product, line.choice), order.first_week, order.last_week
    for sale in farm.usual_sales:
        yield sale.customer, (sale.product, sale.choice), sale.first_week, sale.last_week


def _gone(desk: Desk, farm: Farm) -> tuple[UsualSale, ...]:
    """The sales taken back last that could be put back."""
    known = {row.key for row in farm.varieties}
    return rows_gone(desk, "usual_sales", lambda sale: sale.product is None or sale.product.variety in known)
