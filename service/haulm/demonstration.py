"""The demo: an invented farm in a throw-away database lives through the three jobs, and keeps serving."""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import replace
from datetime import date, timedelta
from importlib import resources
from pathlib import Path

from haulm.advice.options.option import Option
from haulm.advice.pieces import PieceAsked
from haulm.farm.weeks import Week
from haulm.jobs.close_gap import DatedGap, gap_options, list_shortfalls
from haulm.jobs.confirm_bucket_list import BucketList, draft_bucket_list
from haulm.jobs.desk import Desk
from haulm.jobs.digest_text import digest_text
from haulm.jobs.hold_quote import hold_quote
from haulm.jobs.import_farm import import_farm
from haulm.jobs.quote_wedding import Quote, QuoteAsked, quote_wedding
from haulm.jobs.refusals import PromiseRefused
from haulm.jobs.warn_early import warn_early
from haulm.serving import desk_over, serve, utc_now
from haulm.settings import Settings
from haulm.store.store import Store
from haulm.store.unit_of_work import UnitOfWork

DEMO_TODAY = date(2027, 3, 15)
_WEDDING = QuoteAsked(
    event_date=date(2027, 8, 14),
    pieces=(
        PieceAsked("bridal bouquet", 1),
        PieceAsked("attendant bouquet", 4),
        PieceAsked("buttonhole", 10),
        PieceAsked("table jar", 3),
    ),
    confidence=0.7,
)
_ACTOR = "demo"


def demo(settings: Settings, *, port: int, once: bool) -> int:
    """Run the three jobs on the demo farm, print them with the time each took, and serve unless told not to."""
    with tempfile.TemporaryDirectory(prefix="haulm-demo-") as folder:
        store = Store.open(f"sqlite:///{Path(folder) / 'farm.db'}")
        store.migrate()
        chosen = replace(settings, today=settings.today or DEMO_TODAY)
        desk = desk_over(store, chosen)
        try:
            _jobs(desk)
            if not once:
                _say(f"\nServing on http://127.0.0.1:{port} until Ctrl-C; try: haulm shortfalls")
                serve(store, chosen, host="127.0.0.1", port=port)
        finally:
            store.close()
    return 0


def _jobs(desk: Desk) -> None:
    with _timed("Import the farm folder"):
        folder = resources.files("haulm.demo_farm").joinpath("folder")
        with resources.as_file(folder) as path:
            found = import_farm(desk.store, path, replace=False, actor=_ACTOR, now=utc_now())
    _say(f"  {found.name}, on {desk.today()}: {', '.join(f'{n} {name}' for name, n in found.rows.items() if n)}")
    with _timed("Draw the seasons and match every promise"):
        plan = desk.plan()
    _say(f"  {plan.result.supply.seasons} seasons, {len(plan.result.lines)} lines of demand")
    _warn(desk)
    _quote(desk)
    _monday(desk)
    with _timed("Write the early warning"):
        letter = digest_text(warn_early(desk))
    _say("\n" + "\n".join(f"  | {line}" for line in letter.splitlines()))


def _warn(desk: Desk) -> None:
    with _timed("Job one: what is short, and what closes it"):
        gaps = list_shortfalls(desk)
    for found in gaps:
        weeks = found.gap.weeks
        when = str(weeks[0]) if len(weeks) == 1 else f"{weeks[0]} to {weeks[-1]}"
        _say(f"  by {found.decide_by}  {found.gap.confidence:4.0%} sure  {found.gap.asked}, {when}")
    with _timed("  options of the first gap that a sowing closes"):
        closed = _first_closed(desk, gaps)
    if closed is None:
        _say("  No gap can be closed by sowing any more.")
        return
    found, option = closed
    _say(f"  {found.gap.key}: {option.sentence}")
    with _timed("  add it to the plan and look again"):
        with _writing(desk) as work:
            entry = work.enter("row-added", f"batches/{option.batches[0].key}")
            for batch in option.batches:
                work.put(batch, entry=entry)
            work.save()
        still = {dated.gap.key for dated in list_shortfalls(desk)}
    _say(f"  {found.gap.key} is {'still short' if found.gap.key in still else 'no longer short'}.")


def _first_closed(desk: Desk, gaps: tuple[DatedGap, ...]) -> tuple[DatedGap, Option] | None:
    for found in gaps:
        _, options = gap_options(desk, found.gap.key)
        for option in options:
            if option.closes and option.batches:
                return found, option
    return None


def _quote(desk: Desk) -> None:
    with _timed("Job two: quote a wedding on 14 August"), _writing(desk) as work:
        quote = quote_wedding(desk, work, _WEDDING)
        work.save()
    currency = desk.store.farm().site.currency
    for quoted in quote.lines:
        line = quoted.line
        asked = str(line.product or line.choice)
        _say(
            f"  {line.stems:4d} stems and {line.spare} spare  {asked:24s} free {quoted.free_to_promise:5d}"
            f"  {quoted.confidence:4.0%} sure  {quoted.price_minor / 100:9.2f} {currency}"
        )
    total = f"{quote.total_minor / 100:.2f} {currency}"
    _say(f"  all at once {quote.order_confidence:.0%} sure, {total} with delivery and tax")
    _hold(desk, quote)


def _hold(desk: Desk, quote: Quote) -> None:
    until = desk.today() + timedelta(days=14)
    try:
        with _writing(desk) as work:
            hold_quote(desk, work, quote.order.key, until, level=quote.level)
            work.save()
        _say(f"  held until {until} at {quote.level:.0%}: nobody promised earlier loses by it")
    except PromiseRefused as refusal:
        _say(f"  not held: {refusal}")


def _monday(desk: Desk) -> None:
    with _timed("Job three: the first bucket list of the season"):
        drafted = _first_list(desk)
    if drafted is None:
        _say("  Nothing is due this year.")
        return
    _say(f"  due {drafted.day} to {drafted.last}")
    for bucket in drafted.lines:
        asked = str(bucket.line.product or bucket.line.choice)
        caution = f"  ! {bucket.caution}" if bucket.caution else ""
        _say(
            f"  {bucket.line.customer:14s} {asked:28s} {bucket.filled:4d} of {bucket.line.stems:4d} stems,"
            f" {bucket.bunches} bunches{caution}"
        )


def _first_list(desk: Desk) -> BucketList | None:
    plan = desk.plan()
    day = Week.of(desk.today()).day(plan.farm.site.bucket_day)
    for _ in range(60):
        drafted = draft_bucket_list(desk, day)
        if drafted.lines:
            return drafted
        day += timedelta(weeks=1)
    return None


def _writing(desk: Desk) -> AbstractContextManager[UnitOfWork]:
    return desk.store.unit_of_work(actor=_ACTOR, now=utc_now())


@contextmanager
def _timed(what: str) -> Iterator[None]:
    start = time.perf_counter()
    yield
    _say(f"{what}: {time.perf_counter() - start:.2f} s")


def _say(text: str) -> None:
    sys.stdout.write(text + "\n")
    sys.stdout.flush()
