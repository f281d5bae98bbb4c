"""Things that somebody does on a small farm and may want to take back, each by its own job."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from haulm.advice.pieces import PieceAsked
from haulm.advice.rhythm import Rhythm
from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.farm.varieties import Variety
from haulm.farm.words import Decision, InHand, Method, Needed, OrderPart, Use
from haulm.farm_folder.sheet_columns import BY_NAME, proposed_columns
from haulm.farm_folder.sheets import sheet_from_text
from haulm.jobs.bucket_day.bucket_lines import Choices
from haulm.jobs.bucket_day.keep_shares import keep_shares
from haulm.jobs.bucket_day.tell_expected import tell_expected
from haulm.jobs.couples.answer_quote import CoupleSays, Wish, answer_quote, read_answer
from haulm.jobs.farm.bring_in_folder import bring_in_folder
from haulm.jobs.farm.bring_in_sheet import SheetAsked, bring_in_sheet
from haulm.jobs.farm.change_rows import RowAsked, add_row, change_row
from haulm.jobs.farm.change_settings import change_settings
from haulm.jobs.farm.enter_rows import (
    BEDS_MADE,
    FLORIST_ENTERED,
    KINDS_PICKED,
    WEDDING_ENTERED,
    KeyOf,
    NewRow,
    enter_rows,
    picked_kind,
)
from haulm.jobs.farm.food_marks import take_back_food_marks
from haulm.jobs.farm.import_farm import export_farm, import_farm
from haulm.jobs.farm.learn_figures import accept_figure, refuse_figure
from haulm.jobs.farm.sow_in_rhythm import RhythmAsked, sow_in_rhythm
from haulm.jobs.farm.take_back_row import take_back_row
from haulm.jobs.farm.take_out_row import take_out_row
from haulm.jobs.farm.tick_at_home import TickAsked, tick_at_home
from haulm.jobs.field.cool_store import cool_store
from haulm.jobs.florists.florist_links import end_links
from haulm.jobs.florists.forget_person import forget_person
from haulm.jobs.florists.judge_reply import Word, judge_reply
from haulm.jobs.florists.no_more_mail import want_mail
from haulm.jobs.florists.reply_to_list import AskKind, FloristAsk, open_replies, reply_to_list
from haulm.jobs.florists.send_availability import send_availability
from haulm.jobs.gaps.copy_season import CopyAsked, copy_season
from haulm.jobs.gaps.renew_standing import RenewAsked, let_end, renew_standing
from haulm.jobs.journal.take_back_entry import put_back_entry, take_back_entry
from haulm.jobs.promises.change_quote import change_quote
from haulm.jobs.promises.decide_kinds import DecisionAsked, decide_kinds
from haulm.jobs.promises.end_quote import cancel_quote, fulfil_order, release_quote
from haulm.jobs.promises.final_numbers import final_numbers
from haulm.jobs.promises.hold_quote import contract_quote, hold_quote
from haulm.jobs.promises.lapse_holds import lapse_holds
from haulm.jobs.promises.promise_part import PartStep, promise_part
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from haulm.jobs.promises.take_back_part import take_back_part
from haulm.jobs.warning.list_calendar import make_calendar_link
from haulm.store.words import Account
from support.bucket_days import BucketDay
from support.desks import MONDAY, NOW, on
from support.slip_farm import FRIDAY, Slip, order_of, quote


def _added(collection: str, **values: object) -> Slip:
    return lambda day: day.done(lambda work: add_row(day.desk, work, RowAsked(collection, values)))


def _changed(collection: str, key: str, **values: object) -> Slip:
    asked = RowAsked(collection, values)
    return lambda day: day.done(lambda work: change_row(day.desk, work, key, asked, expected=None))


def _pile(day: BucketDay, product: str) -> str:
    """The pile of the cool store that is of a product."""
    return next((one.pile for one in cool_store(day.desk) if str(one.product) == product), "none")


def _stored(account: Account, stems: int) -> Slip:
    return lambda day: day.move(_pile(day, "lagurus"), account, stems)


def _with_a_past_year(day: BucketDay) -> None:
    _added("past_years", key="y1", year=2025, variety="lagurus", stems=480, plants=100)(day)
    day.done(lambda work: take_back_row(work, "past_years", "y1"))


def _on_friday(slip: Slip) -> Slip:
    def then(day: BucketDay) -> None:
        on(day.desk, FRIDAY)
        try:
            slip(day)
        finally:
            on(day.desk, MONDAY)

    return then


def _quoted(job: Callable[..., object], place: int, *more: Any, **named: Any) -> Slip:
    return lambda day: day.done(lambda work: job(day.desk, work, order_of(day, place), *more, **named))


def _couple_read(day: BucketDay) -> None:
    _quoted(answer_quote, 0, CoupleSays(Wish.QUESTION, "May we have more grass?"))(day)
    day.done(lambda work: read_answer(work, order_of(day, 0)))


def _contract_and_deliver(day: BucketDay) -> None:
    _quoted(contract_quote, 1, override="a friend")(day)
    _on_friday(_quoted(fulfil_order, 1))(day)


def _wedding(*, product: str, stems: str, due_date: str) -> tuple[NewRow, ...]:
    return (
        NewRow("customers", {"name": "Kees and Anna"}),
        NewRow("orders", {"customer": KeyOf(0), "kind": "wedding", "due_date": due_date, "status": "contracted"}),
        NewRow("order_lines", {"order": KeyOf(1), "product": product, "stems": stems}),
    )


def _written(job: Callable[..., object], *more: Any, **named: Any) -> Slip:
    """A job that asks for the unit of work alone."""
    return lambda day: day.done(lambda work: job(work, *more, **named))


def _asked(job: Callable[..., object], *more: Any, **named: Any) -> Slip:
    """A job that asks for the desk and the unit of work."""
    return lambda day: day.done(lambda work: job(day.desk, work, *more, **named))


def _settings(day: BucketDay) -> None:
    site = replace(day.desk.store.farm().site, name="Pond farm", condition_days=2)
    day.done(lambda work: change_settings(work, site))


def _site_alone(day: BucketDay) -> None:
    """As an earlier release wrote the settings."""
    site = replace(day.desk.store.farm().site, name="Hill farm")
    day.done(lambda work: work.site(site))


def _row_alone(day: BucketDay) -> None:
    """As an earlier release wrote a row."""
    (bed, *_others) = day.desk.store.farm().beds
    day.done(lambda work: work.put(replace(bed, name="Top bed")))


def _sheet(day: BucketDay) -> None:
    sheet = sheet_from_text("Bed,Length,Width\nA,12 m,1.2 m\nB,9 m,1.2 m\n")
    asked = SheetAsked(BY_NAME["beds"], sheet, proposed_columns(BY_NAME["beds"], sheet.rows[0]))
    day.done(lambda work: bring_in_sheet(day.desk, work, asked, MONDAY))


def _folder(day: BucketDay, *, over_everything: bool) -> None:
    """The farm's own folder with another name for a bed and a batch more."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "out"
        export_farm(day.desk.store, folder, now=NOW)
        beds, batches = folder / "beds.csv", folder / "batches.csv"
        beds.write_text(beds.read_text().replace("South bed", "Orchard bed"))
        head, *rows = batches.read_text().splitlines()
        batches.write_text("\n".join([head, *rows, rows[0].replace("older", "third")]) + "\n")
        if over_everything:
            import_farm(day.desk.store, folder, replace=True, actor="owner", now=NOW)
        else:
            bring_in_folder(day.desk, folder, actor="owner")


def _judged(*, accept: bool) -> Slip:
    def then(day: BucketDay) -> None:
        (first, *_later) = open_replies(day.desk)
        word = Word(first.number, accept=accept, bunches={}, note="gladly", override="a friend")
        day.done(lambda work: judge_reply(day.desk, work, word))

    return then


def _settled(day: BucketDay) -> None:
    day.confirm(choices=Choices(acknowledged=frozenset(one.key for one in day.desk.store.farm().customers)))


def _after_settling(slip: Slip) -> Slip:
    def then(day: BucketDay) -> None:
        _settled(day)
        slip(day)

    return then


def _left(day: BucketDay) -> None:
    _settled(day)
    day.deliver()


def _claimed(day: BucketDay) -> None:
    _left(day)
    day.claim("anna-1", 3)


def _marked_as_food(day: BucketDay) -> None:
    day.done(lambda work: work.put(Variety("blue", "Monkshood", food_use=True)))
    take_back_food_marks(day.desk, "clock")


def _counted_again(day: BucketDay) -> None:
    """Stock that a list packed, and that went back into the store, is counted again."""
    rows = _wedding(product="cosmos", stems="12", due_date="2027-06-15")
    day.done(lambda work: enter_rows(work, WEDDING_ENTERED, rows, MONDAY))
    _settled(day)
    day.take_back()
    _changed("known_stems", "bucketful", stems=5)(day)


def _of_pieces(day: BucketDay) -> None:
    asked = QuoteAsked(FRIDAY + timedelta(days=2), (PieceAsked("posy", 2),))
    made = day.done(lambda work: quote_wedding(day.desk, work, asked))
    day.done(lambda work: final_numbers(day.desk, work, made.order.key, (PieceAsked("posy", 3),)))


def _sown_for(day: BucketDay) -> None:
    """An order for September, of which a part is sown for; then that part is taken back."""
    due = date(2027, 9, 14)
    asked = QuoteAsked(due, lines=(OrderLine("", "", 40, Product("lagurus")),), due_date=due)
    made = day.done(lambda work: quote_wedding(day.desk, work, asked)).order.key
    for part in OrderPart:
        day.done(lambda work, part=part: promise_part(day.desk, work, made, PartStep(part, override="a friend")))
    day.done(lambda work: take_back_part(day.desk, work, made))


def _with_a_usual_sale(day: BucketDay) -> None:
    sale = {"key": "s1", "customer": "anna", "product": "lagurus", "first_week": "2027-W26", "last_week": "2027-W30"}
    _added("usual_sales", **sale, source="florist", stems=20)(day)
    day.done(lambda work: take_back_row(work, "usual_sales", "s1"))


def _lapsed(day: BucketDay) -> None:
    on(day.desk, FRIDAY + timedelta(days=1))
    try:
        lapse_holds(day.desk, "clock")
    finally:
        on(day.desk, MONDAY)


def _back_and_forth(day: BucketDay, *, again: bool) -> None:
    _changed("batches", "newer", plants=33)(day)
    seq = day.desk.store.next_seq() - 1
    day.done(lambda work: take_back_entry(day.desk, work, seq))
    if again:
        day.done(lambda work: put_back_entry(day.desk, work, seq))


_FLORIST = (
    NewRow("customers", {"name": "Hedge and Rose"}),
    NewRow(
        "standing_orders", {"customer": KeyOf(0), "weekday": "tue", "first_week": "2027-W27", "last_week": "2027-W28"}
    ),
    NewRow("standing_lines", {"order": KeyOf(1), "product": "lagurus", "stems": "1"}),
)
_RHYTHM = Rhythm("lagurus", date(2027, 6, 21), date(2027, 7, 10), 2, 72, Method.COVER)

SLIPS: Mapping[str, Slip] = {
    "a batch added": _added("batches", key="b9", variety="lagurus", sow_date="2027-06-12", bed="north", plants=40),
    "a batch changed": _changed("batches", "newer", plants=35),
    "the same batch changed": _changed("batches", "newer", plants=36, bed="south"),
    "a bed renamed": _changed("beds", "south", name="Pond bed"),
    "a kind added": _added("varieties", key="ammi", name="Bishop's flower"),
    "a kind changed": _changed("varieties", "lagurus", price_minor=500),
    "a customer changed": _changed("customers", "anna", notice_days=5),
    "a standing line changed": _changed("standing_lines", "anna-1", stems=25),
    "a week skipped": _added("changes", key="c1", order="bram-weekly", week="2027-W25", stems=0),
    "a walk": lambda day: day.walk(lagurus=80),
    "a cut": lambda day: day.cut(8, left=30, more=True),
    "a cut of one batch": lambda day: day.cut(5, batch="older", more=True),
    "a loss": _added("records", kind="lost", batch="newer"),
    "a quote": quote(6),
    "a hold": _quoted(hold_quote, 0, FRIDAY, override="a friend"),
    "a contract": _quoted(contract_quote, 1, override="a friend"),
    "stems let go": _quoted(release_quote, 1),
    "a cancellation": _quoted(cancel_quote, 1, reason="moved away"),
    "an order delivered": _contract_and_deliver,
    "stems thrown": _stored(Account.WASTE, 10),
    "stems to the stall": _stored(Account.STALL, 90),
    "a count of the store": lambda day: day.count(_pile(day, "lagurus"), 85),
    "a list settled": lambda day: _settled(day),
    "no mail": lambda day: day.done(lambda work: want_mail(work, "anna", wanted=False)),
    "mail again": lambda day: day.done(lambda work: want_mail(work, "anna", wanted=True)),
    "at home": lambda day: day.done(
        lambda work: tick_at_home(day.desk, work, TickAsked("lagurus", Needed.SEED, InHand.AT_HOME))
    ),
    "a past year taken out": _with_a_past_year,
    "shared evenly": lambda day: day.done(lambda work: keep_shares(day.desk, work, MONDAY, frozenset({"lagurus"}))),
    "availability": lambda day: send_availability(day.desk, "owner"),
    "a batch taken out": _asked(take_out_row, "batches", "newer"),
    "a rhythm": _asked(sow_in_rhythm, RhythmAsked(_RHYTHM)),
    "a season copied": _asked(copy_season, CopyAsked(2027, ("late",))),
    "a standing order renewed": _asked(renew_standing, RenewAsked("anna-weekly")),
    "a standing order left to end": _written(let_end, "anna-weekly"),
    "a sheet": _sheet,
    "kinds picked": _written(enter_rows, KINDS_PICKED, [picked_kind("zinnia"), picked_kind("zinnia", "white")], MONDAY),
    "beds made": _written(enter_rows, BEDS_MADE, [NewRow("beds", {"name": "New bed", "metres": "12"})], MONDAY),
    "a florist entered": _written(enter_rows, FLORIST_ENTERED, _FLORIST, MONDAY),
    "a wedding entered": _written(
        enter_rows, WEDDING_ENTERED, _wedding(product="lagurus", stems="2", due_date="2027-06-24"), MONDAY
    ),
    "settings": _settings,
    "settings of old": _site_alone,
    "a row of old": _row_alone,
    "a row of old gone": _written(lambda work: work.remove("recipes", "posy|texture")),
    "a folder": lambda day: _folder(day, over_everything=False),
    "a folder over everything": lambda day: _folder(day, over_everything=True),
    "a person erased": _written(forget_person, "bram"),
    "a cut counted again": lambda day: day.recount(day.desk.store.farm().records[-1].key, 85),
    "stock counted again": _counted_again,
    "a kind kept out": _asked(decide_kinds, (DecisionAsked("lagurus", Decision.KEEP_OUT, Use.WORN),)),
    "a quote changed": _quoted(
        change_quote, 0, QuoteAsked(FRIDAY + timedelta(days=2), lines=(OrderLine("", "", 3, Product("lagurus")),))
    ),
    "final numbers": _of_pieces,
    "a sowing taken back": _sown_for,
    "a hold that ran out": _lapsed,
    "an answer": _asked(reply_to_list, "bram", (FloristAsk(AskKind.SKIP),)),
    "a couple's question": _quoted(answer_quote, 0, CoupleSays(Wish.QUESTION, "May we have more grass?")),
    "a couple's question read": _couple_read,
    "an answer accepted": _judged(accept=True),
    "an answer declined": _judged(accept=False),
    "links ended": _written(end_links, "anna"),
    "the calendar's link": _written(make_calendar_link, "a token"),
    "a figure taken over": _asked(accept_figure, "cosmos", "stems_per_plant"),
    "a figure left aside": _asked(refuse_figure, "cosmos", "stems_per_plant"),
    "a mark of food": _marked_as_food,
    "a usual sale taken out": _with_a_usual_sale,
    "a list corrected": _after_settling(lambda day: day.correct("anna-1", 20)),
    "a list delivered": _left,
    "a list taken back": _after_settling(lambda day: day.take_back()),
    "a claim": _claimed,
    "florists told": _asked(tell_expected, MONDAY),
    "a change taken back": lambda day: _back_and_forth(day, again=False),
    "a change put back": lambda day: _back_and_forth(day, again=True),
}
"""By what somebody would call it."""
