"""Standing orders of a season, one by one: renewed for the same weeks of the next, with other stems, or left to end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from haulm.advice.next_season import copied_key
from haulm.errors import NotAccepted, NotFound
from haulm.farm.edits import Row, with_rows
from haulm.farm.limits import MOST_STEMS
from haulm.farm.orders import StandingLine, StandingOrder
from haulm.farm.snapshot import Farm
from haulm.farm.weeks import growing_year, same_week_next_year
from haulm.farm.words import PriceFrom, StandingStatus
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.judging import PROMISED, keep_floors
from haulm.jobs.desk.served_days import check_day_served
from haulm.jobs.desk.sound_rows import require_sound
from haulm.jobs.promises.judge_together import asked_more, judge_together, refused
from haulm.jobs.quotes.keep_prices import price_kept
from haulm.jobs.quotes.promise_refused import Judged, PromiseRefused, override_facts
from haulm.language.words import _
from haulm.store.unit_of_work import UnitOfWork

RENEWED, LET_END = "standing-renewed", "standing-let-end"


@dataclass(frozen=True, slots=True)
class Renewal:
    """A standing order of the season beside the next one's.

    Attributes:
        order: the order as it stands.
        lines: its lines.
        renewed: what stands for it in the next season already; None where it is not renewed.
        proposed: the order as it would be renewed.
        is_let_end: whether somebody said that it ends.
    """

    order: StandingOrder
    lines: tuple[StandingLine, ...]
    renewed: StandingOrder | None
    proposed: StandingOrder
    is_let_end: bool

    @property
    def is_open(self) -> bool:
        """Whether nothing was said of it yet."""
        return self.renewed is None and not self.is_let_end

    @property
    def days(self) -> tuple[date, date]:
        """The days of its first and of its last delivery in the next season."""
        shown = self.renewed or self.proposed
        return shown.first_week.day(shown.weekday), shown.last_week.day(shown.weekday)


@dataclass(frozen=True, slots=True)
class RenewAsked:
    """How a standing order is renewed.

    Attributes:
        key: the order's key.
        stems: other stems by the key of a line; 0 leaves it out, a line that is not named is as it was.
        override: why to renew it though an earlier promise would fall; None: it is refused.
    """

    key: str
    stems: Mapping[str, int] = field(default_factory=dict[str, int])
    override: str | None = None


def see_renewals(desk: Desk, season: int) -> tuple[Renewal, ...]:
    """The standing orders of a growing year that have not been ended, by their first delivery. Reads only."""
    farm = desk.store.farm()
    ended = {entry.subject for entry in desk.store.entries_of(LET_END)}
    found = [_renewal(farm, order, _subject(order) in ended) for order in _of_season(farm, season)]
    return tuple(sorted(found, key=lambda one: (one.days, one.order.key)))


def renew_standing(desk: Desk, work: UnitOfWork, asked: RenewAsked) -> StandingOrder:
    """Put the order of the next season into the farm with its lines, judged like any that asks for stems.

    One that is renewed already is given back as it stands.

    Raises:
        NotFound: there is no such standing order.
        NotAccepted: it was ended, a line is none of it, or every line would be left out.
        DayNotServed: no cut day can serve its deliveries.
        PromiseRefused: an earlier promise would fall, and nobody overrode it.
    """
    farm = work.farm
    found = _renewal(farm, _order(farm, asked.key), is_let_end=False)
    if found.renewed is not None:
        return found.renewed
    lines = tuple(_lines(desk, farm, found, asked.stems))
    order = replace(found.proposed, committed_on=desk.today())
    rows: tuple[Row, ...] = (order, *lines)
    require_sound(farm, rows)
    judged = _judged(desk, farm, rows, order)
    if judged is not None and not judged.verdict.accepted and asked.override is None:
        raise PromiseRefused(judged)
    facts: dict[str, object] = (
        {} if judged is None else override_facts(judged.verdict, asked.override) or {PROMISED: True}
    )
    seq = work.enter(RENEWED, _subject(order), facts)
    for row in rows:
        work.put(row, entry=seq)
    if judged is not None:
        keep_floors(desk, work, desk.plan_of(farm), judged.verdict, entry=seq)
    return order


def let_end(work: UnitOfWork, key: str) -> StandingOrder:
    """Write down that a standing order is not renewed: it runs to its last week and is not asked about again.

    Raises:
        NotFound: there is no such standing order.
        NotAccepted: it was ended, or is renewed already.
    """
    found = _renewal(work.farm, _order(work.farm, key), is_let_end=False)
    if found.renewed is not None:
        accepted = _("one that is not renewed; take its order of the next season out first")
        raise NotAccepted(where="standing order", found=_("one that is renewed"), accepted=accepted)
    if work.last_entry(LET_END, _subject(found.order)) is None:
        work.enter(LET_END, _subject(found.order), {})
    return found.order


def _of_season(farm: Farm, season: int) -> Iterator[StandingOrder]:
    for order in farm.standing_orders:
        if order.status is not StandingStatus.ENDED and _season_of(farm, order) == season:
            yield order


def _season_of(farm: Farm, order: StandingOrder) -> int:
    return growing_year(order.first_week.day(order.weekday), farm.site.latitude)


def _order(farm: Farm, key: str) -> StandingOrder:
    order = next((one for one in farm.standing_orders if one.key == key), None)
    if order is None:
        raise NotFound(kind=_("standing order"), key=key)
    if order.status is StandingStatus.ENDED:
        raise NotAccepted(where="standing order", found=_("one that was ended"), accepted=_("one that still runs"))
    return order


def _renewal(farm: Farm, order: StandingOrder, is_let_end: bool) -> Renewal:
    proposed = replace(
        order,
        key=copied_key(order.key, _season_of(farm, order) + 1),
        first_week=same_week_next_year(order.first_week),
        last_week=same_week_next_year(order.last_week),
        status=StandingStatus.ACTIVE,
    )
    renewed = next((one for one in farm.standing_orders if one.key == proposed.key), None)
    lines = tuple(line for line in farm.standing_lines if line.order == order.key)
    return Renewal(order, lines, renewed, proposed, is_let_end and renewed is None)


def _lines(desk: Desk, farm: Farm, found: Renewal, stems: Mapping[str, int]) -> Iterator[StandingLine]:
    """The lines of the renewed order: an agreed price stays, one of the list is the list's as it stands."""
    strange = sorted(set(stems) - {line.key for line in found.lines})
    if strange:
        raise NotAccepted(where="stems", found=f"'{strange[0][:64]}'", accepted=_("lines of this standing order"))
    asked = [(line, stems.get(line.key, line.stems)) for line in found.lines]
    if not any(count for _line, count in asked):
        raise NotAccepted(where="stems", found=_("no stems in any line"), accepted=_("some stems, or let it end"))
    with_order = with_rows(farm, [found.proposed])
    year = _season_of(farm, found.proposed)
    for line, count in asked:
        if not 0 <= count <= MOST_STEMS:
            raise NotAccepted(where="stems", found=str(count), accepted=f"a whole number from 0 to {MOST_STEMS}")
        if count:
            yield _line(with_order, replace(line, stems=count, minimum=min(line.minimum, count)), year, desk.today())


def _line(farm: Farm, line: StandingLine, year: int, today: date) -> StandingLine:
    copy = replace(line, key=copied_key(line.key, year), order=copied_key(line.order, year))
    if line.price_from is PriceFrom.AGREED and line.bunch_price_minor is not None:
        return copy
    bare = replace(copy, bunch_price_minor=None, bunch_stems=None, price_from=PriceFrom.AGREED)
    priced = price_kept(farm, bare, {}, today=today)
    assert isinstance(priced, StandingLine), "a line stays a line"
    return priced


def _judged(desk: Desk, farm: Farm, rows: tuple[Row, ...], order: StandingOrder) -> Judged | None:
    """The judgement of the renewed order; None where it asks for nothing from today on."""
    changed = with_rows(farm, rows)
    crops = desk.plan_of(farm).crops
    for line in asked_more(desk, farm, changed).get(order.key, ()):
        check_day_served(farm.site, crops, line, line.due)
    found = judge_together(desk, farm, changed)
    return next(iter(refused(found)), next((one for one in found if one.order == order.key), None))


def _subject(order: StandingOrder) -> str:
    return f"standing_orders/{order.key}"
