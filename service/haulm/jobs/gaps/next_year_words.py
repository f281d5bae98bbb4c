"""A sowing of a season and its copy, as people read them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from haulm.advice.next_season import Stays, begun_on
from haulm.farm.batches import Batch
from haulm.farm.weeks import day_in_words
from haulm.jobs.desk.money_words import money_words
from haulm.jobs.desk.names import Names
from haulm.jobs.gaps.see_next_year import NextSowing
from haulm.language.words import _, many, marked

STAYS_WORDS: Mapping[Stays, str] = {
    Stays.PERENNIAL: marked("a perennial: it stays"),
    Stays.TUBER: marked("kept over the winter"),
    Stays.WINTERS: marked("begun already: it stands over the winter"),
}
assert set(STAYS_WORDS) == set(Stays), "every reason has its words"


def copy_in_words(names: Names, one: NextSowing) -> str:
    """What would be written: `Mon 3 Apr 2028, 72 places in trays under cover, Hedge bed`."""
    return ", ".join(filter(None, (_day(one.copy), _places(names, one.copy), names.bed(one.copy.bed))))


def stood_for(one: NextSowing, currency: str) -> str:
    """What the sowing was and stood for: its day, its stems and the money of a metre of bed, and what became of it."""
    return _("This season {what}.").format(what="; ".join((_day(one.batch), *_figures(one, currency))))


def _figures(one: NextSowing, currency: str) -> Iterator[str]:
    if one.is_lost:
        yield _("it was lost")
    if one.cut:
        yield many("{count} stem cut", "{count} stems cut", one.cut)
    if one.to_come is not None and round(one.to_come):
        yield many("about {count} stem to come", "about {count} stems to come", round(one.to_come))
    if not (one.is_lost or one.cut or one.to_come):
        yield _("no stems written down")
    if one.earned is not None and not one.is_lost:
        yield _("{money} a metre of bed").format(money=money_words(round(one.earned.per_metre), currency))
    if one.is_hoped:
        yield _("sown in hope: nobody is promised any of it")


def _places(names: Names, batch: Batch) -> str:
    if not batch.places:
        return names.how(batch)
    places = many("{count} place", "{count} places", batch.places)
    return f"{places} {names.how(batch)}"


def _day(batch: Batch) -> str:
    day = begun_on(batch)
    return "" if day is None else day_in_words(day)
