"""The order list of a season in words: seed, plugs and tubers of what is planned, less what is left, with days."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from haulm.advice.next_season import begun_on, flowers_in
from haulm.advice.order_list import ToOrder, order_list
from haulm.errors import NotAccepted
from haulm.farm.at_home import needed
from haulm.farm.place_words import Place
from haulm.farm.weeks import growing_year
from haulm.farm.words import BatchStatus, Needed
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.tick_at_home import Need, needs_of
from haulm.jobs.gaps.see_next_year import season_name
from haulm.language.words import _, many, marked
from haulm.planning.plan import Plan
from haulm.planning.sowing_search import terms_of

WHAT_WORDS: Mapping[Needed, str] = {
    Needed.SEED: marked("seed"),
    Needed.PLUGS: marked("plugs"),
    Needed.TUBERS: marked("tubers"),
}
_PLANTED_AS: Mapping[str, str] = {
    "tuber": marked("tubers"),
    "corm": marked("corms"),
    "bulb": marked("bulbs"),
    "crown": marked("crowns"),
}
PLACE = Place.BENCH
"""What is ordered is sown or planted by hand: what is to be said of a kind there is said beside it."""
_CSV_HEAD = (
    "kind",
    "what",
    "places_planned",
    "places_left",
    "places_to_order",
    "places_as_sold",
    "packs",
    "sowings",
    "first_sowing",
    "last_sowing",
    "order_by",
    "too_late",
)
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet would take for a formula at the beginning of a cell."""


@dataclass(frozen=True, slots=True)
class OrderRow:
    """A row of the order list in words.

    Attributes:
        found: its figures.
        what: what it is: seed, plugs, tubers, corms, bulbs or crowns.
        need: the tick of it, as it stands today.
    """

    found: ToOrder
    what: str
    need: Need

    @property
    def name(self) -> str:
        """The kind."""
        return self.found.crop.name

    @property
    def packs(self) -> int:
        """Trays or bags as they are sold; for seed the places."""
        return self.found.bought // self.found.pack

    @property
    def amount(self) -> str:
        """How much to order, as it is sold."""
        if not self.found.to_order:
            return _("nothing") if not self.found.unsaid else _("as many as you will sow")
        if self.found.what is Needed.PLUGS:
            sold = many("{count} tray", "{count} trays", self.packs)
            return _("{sold} of {pack}").format(sold=sold, pack=self.found.pack)
        if self.found.what is Needed.TUBERS:
            sold = many("{count} bag", "{count} bags", self.packs)
            return _("{sold} of {pack}").format(sold=sold, pack=self.found.pack)
        places = many("seed for {count} place", "seed for {count} places", self.found.to_order)
        each = self.found.crop.seeds_per_place
        return places if each == 1 else _("{places}, {each} seeds in each").format(places=places, each=each)

    @property
    def reckoning(self) -> str:
        """How that comes about: the plan, less what is left, and the sowings whose places nobody said."""
        said = many("{count} sowing", "{count} sowings", self.found.sowings)
        places = many("{count} place", "{count} places", self.found.places)
        words = _("{places} in {sowings}").format(places=places, sowings=said)
        if self.found.left:
            words = _("{words}, less {left} at home or ordered").format(words=words, left=f"{self.found.left:,}")
        if self.found.unsaid:
            unsaid = many("{count} of them says no places", "{count} of them say no places", self.found.unsaid)
            words = f"{words}; {unsaid}"
        return words


@dataclass(frozen=True, slots=True)
class SeasonOrders:
    """The order list of a season.

    Attributes:
        season: the growing year it is for; `name` as people say it.
        seasons: growing years that have sowings to come, each with its name.
        rows: what is to be ordered, the first day first; what is at home last.
    """

    season: int
    name: str
    seasons: tuple[tuple[int, str], ...]
    rows: tuple[OrderRow, ...]

    @property
    def to_order(self) -> tuple[OrderRow, ...]:
        """What has to be ordered."""
        return tuple(row for row in self.rows if row.found.wanted_by is not None)

    @property
    def at_home(self) -> tuple[OrderRow, ...]:
        """What is at home or ordered already."""
        return tuple(row for row in self.rows if row.found.wanted_by is None)


def see_order_list(desk: Desk, season: int | None = None) -> SeasonOrders:
    """What the sowings to come of a season need that is bought. Reads only.

    Args:
        desk: the desk.
        season: the growing year the sowings are for; None: the coming one, or this one where that has none yet.

    Raises:
        NotAccepted: nothing is to be sown for that season.
    """
    plan = desk.plan()
    farm = plan.farm
    waiting = [
        (batch, year)
        for batch in plan.growth.seen.batches
        if batch.status is BatchStatus.PLANNED and needed(batch.method) is not None
        if (day := begun_on(batch)) is not None and day >= plan.today
        if (year := flowers_in(batch, plan.crops[batch.variety], farm.site)) is not None
    ]
    seasons = tuple(sorted({year for _batch, year in waiting}))
    if season is not None and season not in seasons and waiting:
        raise NotAccepted(where="season", found=str(season), accepted=", ".join(map(str, seasons)))
    chosen = _season(plan, seasons) if season is None else season
    batches = [batch for batch, year in waiting if year == chosen]
    found = order_list(batches, plan.crops, terms_of(plan))
    needs = {(need.variety, need.what): need for need in needs_of(farm, plan.today, batches)}
    rows = tuple(OrderRow(one, what_in_words(one), needs[one.crop.key, one.what]) for one in found)
    named = tuple((year, season_name(year, farm)) for year in seasons)
    return SeasonOrders(chosen, season_name(chosen, farm), named, rows)


def what_in_words(one: ToOrder) -> str:
    """What is ordered of a kind, in a word: seed, plugs, tubers, corms, bulbs or crowns."""
    planted = _PLANTED_AS.get(one.crop.costs.planted_as) if one.what is Needed.TUBERS else None
    return _(planted or WHAT_WORDS[one.what])


def as_csv(found: SeasonOrders) -> str:
    """The list as a table for other programs: figures and ISO days, one row a kind and form."""
    written = io.StringIO()
    table = csv.writer(written, lineterminator="\r\n")
    table.writerow(_CSV_HEAD)
    table.writerows(_cells(found))
    return written.getvalue()


def _cells(found: SeasonOrders) -> Iterator[tuple[object, ...]]:
    for row in found.rows:
        one = row.found
        name = f"'{row.name}" if row.name.startswith(_FORMULA) else row.name
        figures = (one.places, one.left, one.to_order, one.bought, row.packs if one.pack > 1 else "", one.sowings)
        order_by = "" if one.order_by is None else one.order_by.isoformat()
        yield (
            name,
            row.what,
            *figures,
            one.first.isoformat(),
            one.last.isoformat(),
            order_by,
            "yes" if one.is_late else "",
        )


def _season(plan: Plan, seasons: tuple[int, ...]) -> int:
    """The coming season where it has sowings to come, else this one."""
    this_year = growing_year(plan.today, plan.farm.site.latitude)
    return max((year for year in seasons if year <= this_year + 1), default=this_year)
