"""The demo: an invented farm in a throw-away database lives through the three jobs, and keeps serving."""

from __future__ import annotations

import shutil
import sys
import tempfile
import textwrap
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, ExitStack, contextmanager
from dataclasses import replace
from datetime import date, timedelta
from importlib import resources
from pathlib import Path

from haulm.advice.asked_words import asked_in_words
from haulm.advice.options.option import Option
from haulm.advice.pieces import PieceAsked
from haulm.demand.dated_line import DatedLine
from haulm.farm.orders import OrderLine
from haulm.farm.products import Choice, Product
from haulm.farm.quantities import percent
from haulm.farm.varieties import Crop
from haulm.farm.weeks import Week, day_in_words, weeks_in_words
from haulm.farm.words import Role
from haulm.jobs.bucket_day.bucket_lines import BucketLine, BucketList
from haulm.jobs.bucket_day.draft_bucket_list import draft_bucket_list
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.names import Names
from haulm.jobs.farm.import_farm import import_farm
from haulm.jobs.gaps.close_gap import gap_options, list_shortfalls
from haulm.jobs.gaps.follow_jobs import work_out_jobs
from haulm.jobs.gaps.list_jobs import list_jobs
from haulm.jobs.gaps.standing_gaps import DatedGap, act_by_words
from haulm.jobs.promises.hold_quote import contract_quote, hold_quote
from haulm.jobs.promises.quote_wedding import Quote, QuoteAsked, quote_wedding
from haulm.jobs.quotes.promise_refused import PromiseRefused, RefusedWords, with_a_way_on
from haulm.jobs.quotes.version import SheetLine
from haulm.jobs.warning.digest_text import digest_text
from haulm.jobs.warning.warn_early import warn_early
from haulm.opening import desk_over, utc_now
from haulm.serving import address_of, compile_ahead, listening, serve
from haulm.settings import Settings
from haulm.store.store import Store
from haulm.store.unit_of_work import UnitOfWork

DEMO_TODAY = date(2027, 3, 15)
_WEDDING_DAY = date(2027, 8, 14)
_LEAVING_DAY = date(2027, 8, 13)
_SMALL_WEDDING = QuoteAsked(
    event_date=_WEDDING_DAY,
    pieces=(
        PieceAsked("bridal bouquet", 1),
        PieceAsked("attendant bouquet", 2),
        PieceAsked("buttonhole", 8),
        PieceAsked("small jar", 4),
    ),
    due_date=_LEAVING_DAY,
)
_LARGE_WEDDING = QuoteAsked(
    event_date=_WEDDING_DAY,
    lines=(
        OrderLine("greenery", "large", 80, choice=Choice((Role.FILLER,), ("white", "green"))),
        OrderLine("dahlias", "large", 100, Product.parse("dahlia_white")),
    ),
    due_date=_LEAVING_DAY,
)
_ACTOR = "demo"
_OWN_YEARS = ("past_years.csv",)
_WIDTH = 100
_COLUMN = 28
_CUSTOMER = 22
_MOST_BUCKETS = 12
_MOST_JOBS = 5


def demo(settings: Settings, *, port: int | None, first_year: bool = False) -> None:
    """Run the three jobs on the demo farm, print them with the time each took, and serve.

    Args:
        settings: of this service; its database is not touched.
        port: where to serve until interrupted; None ends after the jobs.
        first_year: whether the farm has nothing of its own to go by yet: no past years.

    Raises:
        NotAccepted: the port is taken; this is said before anything is done.
    """
    with ExitStack() as open_things:
        door = None if port is None else open_things.enter_context(listening("127.0.0.1", port))
        folder = open_things.enter_context(tempfile.TemporaryDirectory(prefix="haulm-demo-"))
        store = Store.open(f"sqlite:///{Path(folder) / 'farm.db'}")
        open_things.callback(store.close)
        store.migrate()
        chosen = replace(settings, today=settings.today or DEMO_TODAY)
        desk = desk_over(store, chosen)
        compile_ahead()
        _jobs(desk, first_year)
        if door is not None:
            _say("\nThis farm stays to be asked, from a second window:")
            _say(f"  haulm shortfalls --url {address_of(door)}")
            _say(f"  haulm quote --date {_WEDDING_DAY} --line lagurus=10 --url {address_of(door)}")
            serve(desk, chosen, door)
            _say("Stopped; the throw-away farm is gone.")


def _jobs(desk: Desk, first_year: bool) -> None:
    with _step("Import the farm folder"), tempfile.TemporaryDirectory(prefix="haulm-demo-") as made:
        copied = Path(made) / "folder"
        with resources.as_file(resources.files("haulm.demo_farm").joinpath("folder")) as path:
            shutil.copytree(path, copied, ignore=shutil.ignore_patterns(*(_OWN_YEARS if first_year else ())))
        found = import_farm(desk.store, copied, replace=False, actor=_ACTOR, now=utc_now())
    rows = ", ".join(f"{count} {name.replace('_', ' ')}" for name, count in found.rows.items() if count)
    _tell(f"{found.name} as on {day_in_words(desk.today())}: {rows}.")
    with _step("Draw the seasons and match every promise"):
        plan = desk.plan()
    _tell(f"{plan.result.supply.seasons} seasons, {len(plan.result.lines)} dated lines of demand.")
    _warn(desk)
    _quote(desk)
    _refuse(desk)
    _monday(desk)
    with _step("Write the early warning as a letter"):
        work_out_jobs(desk)
        letter = digest_text(warn_early(desk))
    _say("\n".join(f"  | {line}".rstrip() for line in letter.splitlines()))


def _warn(desk: Desk) -> None:
    with _step("Job one: what will be short, by the day to decide"):
        work_out_jobs(desk)
        gaps = list_shortfalls(desk)
    for found in gaps:
        by = act_by_words(found, desk.today(), desk.store.farm().site.timezone)
        short = f"{found.gap.expected_missing:4.0f} stems short"
        what = f"{weeks_in_words(found.gap.weeks):14s}  {asked_in_words(found.gap.asked, desk.plan().crops)}"
        _say(f"  by {by:15s}  {_sure(found.gap.confidence)}  {short}  {what}")
    for job in list_jobs(desk).gap_jobs[:_MOST_JOBS]:
        _tell(f"By {job.act_by}: {job.sentence}")
    with _step("Job one: the first gap that sowing or planting still closes"):
        closed = _first_closed(desk, gaps)
    if closed is None:
        _tell("No gap can be closed by sowing or planting any more.")
        return
    found, option = closed
    asked = asked_in_words(found.gap.asked, desk.plan().crops)
    name = f"{asked}, {weeks_in_words(found.gap.weeks)}"
    _tell(f"{name}: {option.sentence}")
    with _step("Job one: add that to the plan and look again"):
        with _writing(desk) as work:
            entry = work.enter("row-added", f"batches/{option.batches[0].key}")
            for batch in option.batches:
                work.put(batch, entry=entry)
            work.save()
        left = list_shortfalls(desk)
    is_short = any(dated.gap.key == found.gap.key for dated in left)
    _tell(f"{name} is {'still' if is_short else 'no longer'} short; gaps: {len(gaps)} before, {len(left)} now.")


def _first_closed(desk: Desk, gaps: Sequence[DatedGap]) -> tuple[DatedGap, Option] | None:
    for found in gaps:
        for option in gap_options(desk, found.gap.key).options:
            if option.closes and option.batches:
                return found, option
    return None


def _quote(desk: Desk) -> None:
    pieces = ", ".join(f"{asked.count} {asked.piece}" for asked in _SMALL_WEDDING.pieces)
    with _step(f"Job two: quote a wedding on {day_in_words(_WEDDING_DAY)}"):
        quote = _quoted(desk, _SMALL_WEDDING)
    _tell(f"Asked: {pieces}; the stems leave on {day_in_words(quote.order.due_date)}.")
    currency = desk.store.farm().site.currency
    for line in quote.version.lines:
        _say(_quoted_line(line, desk.plan().crops, currency))
    _tell(
        f"All lines at once: {_sure(quote.version.order_confidence).strip()}; "
        f"{_money(quote.version.price.total_minor)} {currency} with delivery and tax."
    )
    until = desk.today() + timedelta(days=14)
    with _step(f"Job two: hold it until {day_in_words(until)}"):
        refusal = _refusal(desk, quote, until)
    held = f"Held at {percent(quote.version.level)}: the stems are reserved, and nobody promised earlier loses by it."
    _tell_refusal(refusal, held)


def _refuse(desk: Desk) -> None:
    with _step(f"Job two: contract a larger wedding on {day_in_words(_WEDDING_DAY)}"):
        quote = _quoted(desk, _LARGE_WEDDING)
        refusal = _refusal(desk, quote, None)
    for line in quote.version.lines:
        _say(_quoted_line(line, desk.plan().crops, desk.store.farm().site.currency))
    _tell_refusal(refusal, f"Contracted at {percent(quote.version.level)}.")


def _tell_refusal(refusal: RefusedWords | None, otherwise: str) -> None:
    """What a refusal says, a line each: what stands against it, what would pass, what could be sown first."""
    if refusal is None:
        _tell(otherwise)
        return
    for one in (f"Refused: {refusal.short}", *refusal.passes, refusal.sow_by, *(f"- {one}" for one in refusal.sowings)):
        _tell(one)


def _quoted(desk: Desk, asked: QuoteAsked) -> Quote:
    with _writing(desk) as work:
        quote = quote_wedding(desk, work, asked)
        work.save()
    return quote


def _refusal(desk: Desk, quote: Quote, until: date | None) -> RefusedWords | None:
    """Hold a quote through a day, or contract it where there is none; what a refusal says, else nothing."""
    try:
        with _writing(desk) as work:
            if until is None:
                contract_quote(desk, work, quote.order.key, level=quote.version.level)
            else:
                hold_quote(desk, work, quote.order.key, until, level=quote.version.level)
            work.save()
    except PromiseRefused as refusal:
        return with_a_way_on(refusal).words
    return None


def _quoted_line(line: SheetLine, crops: Mapping[str, Crop], currency: str) -> str:
    more = line.hope_to_offer is not None and line.hope_to_offer > line.free_to_promise
    hope = f" / {line.hope_to_offer} hope" if more else ""
    stems = f"{line.stems:4d} stems + {line.spare:2d} spare {line.free_to_promise:4d} promise{hope:12s}"
    return (
        f"  {_asked(line, crops):{_COLUMN}s}{stems}  {_sure(line.confidence)} {_money(line.price_minor):>7s} {currency}"
    )


def _monday(desk: Desk) -> None:
    with _step("Job three: the next bucket list with anything on it"):
        drafted = _next_list(desk)
    if drafted is None:
        _tell("Nothing is due this year.")
        return
    _bucket_list(desk, drafted)
    week = Week.of(_WEDDING_DAY)
    with _step(f"Job three: the bucket list of week {week.number}, as it would be today"):
        later = draft_bucket_list(desk, week.day(desk.store.farm().site.bucket_day))
    _bucket_list(desk, later)


def _next_list(desk: Desk) -> BucketList | None:
    day = Week.of(desk.today()).day(desk.store.farm().site.bucket_day)
    for _ in range(60):
        drafted = draft_bucket_list(desk, day)
        if drafted.lines:
            return drafted
        day += timedelta(weeks=1)
    return None


def _bucket_list(desk: Desk, drafted: BucketList) -> None:
    names, crops = Names(desk.store.farm()), desk.plan().crops
    _tell(f"What leaves from {day_in_words(drafted.day)} to {day_in_words(drafted.last)}: {len(drafted.lines)} lines.")
    shown = drafted.lines[:_MOST_BUCKETS]
    for bucket in shown:
        _say(_bucket_line(bucket, names, crops))
    if len(drafted.lines) > len(shown):
        _tell(f"and {len(drafted.lines) - len(shown)} more")
    for caution in sorted({bucket.caution for bucket in shown if bucket.caution}):
        asked = dict.fromkeys(_asked(bucket.line, crops) for bucket in shown if bucket.caution == caution)
        _tell(f"Mind with {', '.join(asked)}: {caution}.")


def _bucket_line(bucket: BucketLine, names: Names, crops: Mapping[str, Crop]) -> str:
    line = bucket.line
    customer = textwrap.shorten(names.customer(line.customer), _CUSTOMER, placeholder=" ...")
    bunches = f"{bucket.bunches} bunch{'' if bucket.bunches == 1 else 'es'}"
    return (
        f"  {line.due:%a} {customer:{_CUSTOMER}s} {_asked(line, crops):{_COLUMN}s} "
        f"{bucket.filled:4d} of {line.stems:4d} stems, {bunches}"
    )


def _asked(line: SheetLine | DatedLine, crops: Mapping[str, Crop]) -> str:
    """What a line asks by its name, short enough for its column."""
    asked = line.product or line.choice
    assert asked is not None, "a line asks a product or a choice"
    return textwrap.shorten(asked_in_words(asked, crops), _COLUMN, placeholder=" ...")


def _writing(desk: Desk) -> AbstractContextManager[UnitOfWork]:
    return desk.store.unit_of_work(actor=_ACTOR, now=utc_now())


@contextmanager
def _step(what: str) -> Iterator[None]:
    """One step: announced on a terminal while it runs, then its heading with the time it took."""
    waiting = sys.stderr.isatty()
    if waiting:
        sys.stderr.write(f"{what} ...")
        sys.stderr.flush()
    start = time.perf_counter()
    yield
    if waiting:
        sys.stderr.write(f"\r{' ' * (len(what) + 4)}\r")
        sys.stderr.flush()
    _say(f"\n{what}  [{time.perf_counter() - start:.2f} s]")


def _tell(text: str) -> None:
    _say(textwrap.fill(text, _WIDTH, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False))


def _say(text: str) -> None:
    sys.stdout.write(text + "\n")
    sys.stdout.flush()


def _sure(confidence: float) -> str:
    """Rounded down, so that nothing looks surer than it is."""
    return f"{percent(confidence):>5s} sure"


def _money(amount_minor: int) -> str:
    """Of the demo farm, whose currency has two decimals."""
    return f"{amount_minor // 100}.{amount_minor % 100:02d}"
