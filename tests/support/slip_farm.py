"""The small farm on which somebody slips: that of bucket days, with a kind that finished last year and some cut stock.

Before anybody slips some stems are counted and cut, two quotes are written, and a florist answers the list.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from functools import cache
from pathlib import Path

from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.jobs.desk.desk import Desk
from haulm.jobs.florists.reply_to_list import AskKind, FloristAsk, reply_to_list
from haulm.jobs.promises.hold_quote import hold_quote
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from haulm.planning.growth import Drawing
from haulm.planning.planner import Planner
from haulm.store.store import Store
from support.bucket_days import BucketDay, bucket_farm
from support.desks import NOW, Calendar, desk_over, sqlite_store

FRIDAY = date(2027, 6, 18)
Slip = Callable[[BucketDay], object]
_DRAWING = Drawing(20, 1)
_TABLES = {
    "varieties": """
        key,name,role,colour,weeks_to_flower,hold_days,stand_days,bunch_stems,price_minor,lengths,stems_per_plant
        lagurus,Hare's-tail grass,texture,cream,12.5,7,10,10,450,30:0.3|40:0.5|50:0.2,
        cosmos,Cosmos,accent,pink,,4,3,10,500,,10
        """,
    "batches": """
        key,variety,sow_date,method,sown,plants,plant_out_date,bed,status
        older,lagurus,2027-02-22,heated,60,50,2027-04-20,south,planted
        newer,lagurus,2027-03-01,heated,60,50,2027-04-27,north,planted
        late,lagurus,2027-05-25,direct,15,10,,south,sown
        c1,cosmos,2026-04-15,direct,200,100,,,finished
        """,
    "records": """
        key,date,kind,batch,count,left
        r1,2026-08-01,cut,c1,1000,
        r2,2026-09-01,cut,c1,500,400
        r3,2026-09-10,finished,c1,,
        """,
    "known_stems": """
        key,product,ready_date,stems,cut_date
        bucketful,cosmos,2027-06-12,30,2027-06-13
        """,
    "recipes": """
        piece,role,stems
        posy,texture,2
        """,
}


@contextmanager
def slip_farm() -> Iterator[BucketDay]:
    """The farm as it stands before anybody slips, thrown away afterwards."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "slips.db"
        path.write_bytes(_before_anybody_slips())
        store = Store.open(f"sqlite:///{path}")
        try:
            yield BucketDay(Desk(store, Planner(_DRAWING), Calendar(), lambda: NOW))
        finally:
            store.close()


@cache
def _before_anybody_slips() -> bytes:
    """The database of the farm: 90 stems cut, a quote open, one held, an answer that waits."""
    tables = {name: "\n".join(line.strip() for line in text.strip().splitlines()) for name, text in _TABLES.items()}
    with tempfile.TemporaryDirectory() as folder:
        store = sqlite_store(Path(folder))
        day = BucketDay(desk_over(store, bucket_farm(asked=(30, 20), **tables), seasons=_DRAWING.seasons))
        day.walk(lagurus=90)
        day.cut(90, left=40, more=True)
        for stems in (5, 4):
            quote(stems)(day)
        day.done(lambda work: hold_quote(day.desk, work, order_of(day, 1), FRIDAY, override="a friend"))
        asks = (FloristAsk(AskKind.MORE, product="lagurus", bunches=1),)
        day.done(lambda work: reply_to_list(day.desk, work, "anna", asks, "for a christening"))
        store.backup(Path(folder) / "whole.db")
        store.close()
        return (Path(folder) / "whole.db").read_bytes()


def order_of(day: BucketDay, place: int) -> str:
    """The key of one of the two orders."""
    return day.desk.store.farm().orders[place].key


def quote(stems: int) -> Slip:
    """A quote for so many lagurus."""
    asked = QuoteAsked(FRIDAY + timedelta(days=2), lines=(OrderLine("", "", stems, Product("lagurus")),))
    return lambda day: day.done(lambda work: quote_wedding(day.desk, work, asked))
