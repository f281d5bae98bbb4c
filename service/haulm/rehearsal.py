"""The rehearsal: the demo farm lives through some weeks under a clock of its own, with invented weather and replies.

What grows is one of the seasons that the forecast drew in March, hidden from the farm: the grower in it counts, cuts,
confirms and answers by what stands there, through the same jobs as everybody. No mail leaves: each is a file to read.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import partial
from importlib import resources
from pathlib import Path

from haulm.advice.room import plant_out_day
from haulm.errors import NotAccepted
from haulm.farm.weeks import Week, day_in_words, last_of
from haulm.farm.words import BatchStatus, CustomerKind, Form, Method, Weekday
from haulm.farm_folder.cells import values_of
from haulm.hidden_season import hidden_season, rehearsed_lines
from haulm.jobs.bucket_day.bucket_lines import Choices, DeliveryKey, LineDue
from haulm.jobs.bucket_day.confirm_bucket_list import Settling, confirm_bucket_list, post_bucket_list
from haulm.jobs.bucket_day.confirmed_lists import settled_of, short_before
from haulm.jobs.bucket_day.cut_list import cut_list
from haulm.jobs.bucket_day.deliver_list import deliver_list
from haulm.jobs.bucket_day.see_week import see_week
from haulm.jobs.bucket_day.tell_expected import tell_expected
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.seen import ANY_TAG
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.jobs.farm.import_farm import import_farm
from haulm.jobs.field.cool_store import cool_store, move_stored
from haulm.jobs.field.record_cut import CutAsked, record_cut
from haulm.jobs.field.record_walk import Said, Sighting, Walked, record_walk
from haulm.jobs.field.walk_field import walk_field
from haulm.jobs.florists.judge_reply import Word, judge_reply
from haulm.jobs.florists.reply_to_list import AskKind, FloristAsk, open_replies, reply_to_list
from haulm.jobs.florists.send_availability import send_availability
from haulm.jobs.gaps.follow_gaps import work_out_gaps
from haulm.jobs.gaps.kept_options import options_kept
from haulm.jobs.gaps.standing_gaps import dated_gaps
from haulm.jobs.quotes.promise_refused import PromiseRefused
from haulm.jobs.warning.run_due import run_due
from haulm.jobs.warning.warn_early import telling_gaps
from haulm.mail.post import PostOffice, post_once
from haulm.planning.growth import Drawing
from haulm.planning.planner import Planner
from haulm.rehearsed_weeks import RehearsedLine, in_words, measured
from haulm.store.store import Store
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account
from haulm.web.links import Links

DRAWN_ON = date(2027, 3, 15)
START = date(2027, 5, 17)
WEEKS = 8
SEASONS = 400
_ACTOR = "rehearsal"
_MORNING = time(6, 0, tzinfo=UTC)
_FROM_TRAYS = (Method.HEATED, Method.COVER)
_SURVIVE = 0.85
_COLD_DAY = START + timedelta(days=9)
_PAUSE_WEEK = 3
Look = Callable[[Desk], None]


@dataclass
class Clock:
    """The clock of the rehearsal: both the day that stands for today and the moment of entries."""

    day: date

    def today(self) -> date:
        """The day."""
        return self.day

    def now(self) -> datetime:
        """Six in the morning of that day."""
        return datetime.combine(self.day, _MORNING)


@dataclass
class FileCarrier:
    """Carries each mail into a folder, as a file that any mail program opens."""

    folder: Path
    count: int = 0

    def carry(self, sender: str, recipient: str, content: bytes, hand_over: Callable[[], None]) -> str:
        """Write one mail."""
        hand_over()
        self.count += 1
        (self.folder / f"{self.count:03d}.eml").write_bytes(content)
        return "250 kept as a file"

    def close(self) -> None:
        """There is no connection to end."""


@dataclass
class Tally:
    """What has happened so far."""

    lists: int = 0
    replies: int = 0
    counts: int = 0
    cut: int = 0
    settled: int = 0
    sent: int = 0
    asked: int = 0
    sown_extra: int = 0
    evenings: int = 0


def rehearse(
    folder: Path,
    *,
    weeks: int = WEEKS,
    seasons: int = SEASONS,
    seed: int | None = None,
    letters: bool = True,
    each_day: Look | None = None,
) -> tuple[RehearsedLine, ...]:
    """Live through some weeks in a new folder: the farm's database and the mails are left there.

    Args:
        folder: a folder that is not there yet, or is empty.
        weeks: how many weeks from the middle of May on.
        seasons: how many seasons the forecast draws; fewer are quicker and rougher.
        seed: which season is hidden (see `hidden_season`).
        letters: whether mails are written, which takes most of the time and changes no stem.
        each_day: looks at the farm each day once what is due has been done.

    Returns:
        Every line that was on a list of these weeks and was still asked, with what was said, possible and sent.

    Raises:
        NotAccepted: the folder has something in it.
    """
    if folder.exists() and any(folder.iterdir()):
        raise NotAccepted(where="folder", found=f"'{folder}', which has something in it", accepted="a new folder")
    (folder / "mails").mkdir(parents=True, exist_ok=True)
    store = Store.open(f"sqlite:///{folder / 'farm.db'}")
    try:
        store.migrate()
        return _Life(store, folder, seasons, letters=letters, each_day=each_day).live(weeks, seed)
    finally:
        store.close()


class _Life:
    """One run of the rehearsal."""

    def __init__(self, store: Store, folder: Path, seasons: int, *, letters: bool, each_day: Look | None) -> None:
        self.each_day = each_day
        self.clock = Clock(DRAWN_ON)
        self.desk = Desk(store, Planner(Drawing(seasons, 7)), self.clock.today, self.clock.now)
        self.carrier = FileCarrier(folder / "mails")
        links = Links("of the rehearsal alone", self.clock.now)
        farm = "Wimberbeek Flower Field <field@wimberbeek.example>"
        self.office = PostOffice(farm, farm, self.carrier, links, "http://127.0.0.1:8000", "rehearsal")
        self.letters = letters
        self.tally = Tally()
        self.said: dict[LineDue, tuple[int, int]] = {}

    def live(self, weeks: int, seed: int | None) -> tuple[RehearsedLine, ...]:
        """Every day of some weeks."""
        with resources.as_file(resources.files("haulm.demo_farm").joinpath("folder")) as path:
            import_farm(self.desk.store, path, replace=False, actor=_ACTOR, now=self.clock.now())
        self.truth = hidden_season(self.desk, seed, (_COLD_DAY,))
        self.clock.day = START
        self._catch_up()
        _say(f"The farm on {day_in_words(START)}: what was planned before has been sown and planted.")
        for number in range(7 * weeks):
            self.clock.day = START + timedelta(days=number)
            self._day(number)
            if number % 7 == 6:
                self._say_week()
        _say(f"{self.carrier.count} mails are in {self.carrier.folder}.")
        lines = rehearsed_lines(self.desk, self.truth, START, self.said)
        for sentence in in_words(measured(lines)):
            _say(sentence)
        _say(f"The ledger balanced on {self.tally.evenings} evenings.")
        return lines

    def _day(self, number: int) -> None:
        self._catch_up()
        if self.clock.day == _COLD_DAY:
            self._do(lambda work: record_walk(self.desk, work, Walked(frost=True)))
            _say(f"{day_in_words(self.clock.day)}: a frost in the night, written down for the whole farm.")
        run_due(self.desk, writes_letters=self.letters)
        if self.each_day is not None:
            self.each_day(self.desk)
        self._sow_what_closes()
        self._speak(number // 7)
        self._work()
        if self.letters:
            post_once(self.desk, self.office)
        self._balance()

    def _speak(self, week: int) -> None:
        """What a day of the week has of lists, answers and promises."""
        weekday = self.clock.day.isoweekday()
        if weekday == Weekday.THU.iso:
            self._walk()
            if self.letters:
                self.tally.lists += send_availability(self.desk, _ACTOR)
        if weekday == Weekday.FRI.iso:
            self._florists_answer(week)
        if weekday == Weekday.SUN.iso:
            self._judge()

    def _work(self) -> None:
        """What a day of the week has of cutting, packing and driving."""
        site, weekday = self.desk.store.farm().site, self.clock.day.isoweekday()
        day = last_of(self.clock.day, (site.bucket_day,))
        if self.clock.day == day:
            self._say_what_is_theirs()
            if self.letters:
                self._do(partial(_called, tell_expected, self.desk, day))
        if weekday in site.cut_weekdays:
            self._cut()
        if weekday in site.cut_weekdays or self.clock.day == day:
            self._settle(day)
        if any(one.due == self.clock.day and not one.has_left for one in settled_of(self.desk, day)):
            self._do(lambda work: deliver_list(self.desk, work, day, self.clock.day))
        if weekday == Weekday.SAT.iso:
            self._clear_store()

    def _catch_up(self) -> None:
        """Sow and plant out what is due by today, as planned; a tray loses some of its places."""
        plan = self.desk.plan()
        rows: list[tuple[date, dict[str, object]]] = []
        for batch in plan.growth.seen.batches:
            if batch.sow_date is None or batch.sow_date > self.clock.day:
                continue
            if batch.status is BatchStatus.PLANNED:
                rows.append((batch.sow_date, {"batch": batch.key, "kind": "sown", "count": batch.places}))
            out = plant_out_day(batch, plan.crops[batch.variety], batch.sow_date)
            waits = batch.status in (BatchStatus.PLANNED, BatchStatus.SOWN) and batch.method in _FROM_TRAYS
            if waits and out <= self.clock.day and batch.places:
                count = max(1, int(batch.places * _SURVIVE))
                rows.append((out, {"batch": batch.key, "kind": "planted", "count": count}))
        if rows:
            rows.sort(key=lambda row: row[0])
            asked = [RowAsked("records", {**values, "date": day.isoformat()}) for day, values in rows]
            self._do(lambda work: [_record(self.desk, work, one, place) for place, one in enumerate(asked)])

    def _walk(self) -> None:
        counts = [
            Sighting(Said.STANDING, variety=kind.crop.key, count=self.truth.standing(kind.crop.key, self.clock.day))
            for kind in walk_field(self.desk).kinds
            if kind.expected[2] > 0 and not kind.is_sprayed
        ]
        if counts:
            self._do(lambda work: record_walk(self.desk, work, Walked(tuple(counts), really=True)))
            self.tally.counts += len(counts)

    def _cut(self) -> None:
        """Cut what is asked and stands, as long and as old as asked; what was cut is written down by length."""
        cut: dict[str, Counter[int]] = {}
        for row in cut_list(self.desk, self.clock.day).rows:
            variety = row.product.variety
            found = self.truth.take(variety, self.clock.day, row.up_to, least_cm=row.length_cm, stage=row.stage)
            cut.setdefault(variety, Counter()).update(found)
        for variety, by_length in sorted(cut.items()):
            for place, (length, stems) in enumerate(sorted(by_length.items()), 1):
                # What stands is seen once all of the kind is cut.
                left = self.truth.standing(variety, self.clock.day) if place == len(by_length) else None
                asked = CutAsked(
                    stems, variety=variety, left=left, length_cm=length or None, beyond_count=True, really=True
                )
                self._do(partial(_called, record_cut, self.desk, asked))
                self.tally.cut += stems

    def _florists_answer(self, week: int) -> None:
        """One says yes, one asks for more, one pauses once; the others say nothing."""
        florists = [found.key for found in self.desk.store.farm().customers if found.kind is CustomerKind.FLORIST]
        answers: list[tuple[str, FloristAsk]] = []
        if florists:
            answers.append((florists[week % len(florists)], FloristAsk(AskKind.YES)))
        if len(florists) > 1:
            more = FloristAsk(AskKind.MORE, product="lagurus:dried", bunches=1)
            answers.append((florists[(week + 1) % len(florists)], more))
        if week == _PAUSE_WEEK and len(florists) > 2:
            until = Week.of(self.clock.day).plus(3)
            answers.append((florists[2], FloristAsk(AskKind.PAUSE, until=until)))
        for customer, ask in answers:
            self._do(partial(_called, reply_to_list, self.desk, customer, [ask]))
        self.tally.replies += len(answers)

    def _judge(self) -> None:
        for reply in open_replies(self.desk):
            try:
                self._do(partial(_called, judge_reply, self.desk, Word(reply.number, accept=True, bunches={})))
            except PromiseRefused:
                note = "We are sorry, that is more than we can be sure of."
                word = Word(reply.number, accept=False, bunches={}, note=note)
                self._do(partial(_called, judge_reply, self.desk, word))

    def _say_what_is_theirs(self) -> None:
        """What the list says on its bucket day of every line of the week."""
        week = see_week(self.desk, self.clock.day)
        self.said |= {(one.line.line, one.line.due): (one.yours, one.up_to) for one in week.draft.lines}

    def _settle(self, day: date) -> None:
        """Settle what was cut for, or will not be cut for any more."""
        draft = see_week(self.desk, day).draft
        ready = draft.can_settle | {
            one.key for one in draft.deliveries if one.last_cut is not None and one.last_cut <= self.clock.day
        }
        if ready:
            choices = Choices(acknowledged=short_before(self.desk, day))
            settling = Settling(deliveries=dict.fromkeys(ready, ANY_TAG))

            def settled(work: UnitOfWork) -> None:
                post_bucket_list(work, confirm_bucket_list(self.desk, work, day, choices, settling))

            self._do(settled)
            self._count(day, ready)

    def _count(self, day: date, keys: frozenset[DeliveryKey]) -> None:
        """Hold what was settled against what was asked."""
        self.tally.settled += len(keys)
        for one in settled_of(self.desk, day):
            for line in one.lines if one.key in keys else ():
                self.tally.asked += line["asked"]
                self.tally.sent += line["filled"]

    def _sow_what_closes(self) -> None:
        """Once, take the best sowing that closes a gap, as the early warning suggests it."""
        if self.tally.sown_extra:
            return
        work_out_gaps(self.desk)
        plan = self.desk.plan()
        for dated in telling_gaps(plan, dated_gaps(self.desk, plan)):
            ways = options_kept(self.desk, dated) or ()
            best = next((way for way in ways if way.closes and way.batches), None)
            if best is None:
                continue
            rows = [RowAsked("batches", values_of("batches", batch)) for batch in best.batches]
            for batch in best.batches:
                self.truth.grow(plan.farm, batch)
            self._do(partial(_added, self.desk, rows))
            still = {found.gap.key for found in dated_gaps(self.desk, self.desk.plan())}
            said = "and it is closed" if dated.gap.key not in still else "and it is smaller"
            _say(f"{day_in_words(self.clock.day)}: {best.sentence} It was put into the plan, {said}.")
            self.tally.sown_extra += 1
            return

    def _clear_store(self) -> None:
        """Fresh stems that may not leave any more go to waste, the other fresh ones to the stall."""
        for one in [one for one in cool_store(self.desk) if one.product.form is Form.FRESH]:
            to = Account.WASTE if one.is_over else Account.STALL
            self._do(partial(_called, move_stored, self.desk, one.pile, to, one.stems))

    def _balance(self) -> None:
        """Each evening every pile adds up to nothing over its accounts, and only the field is below zero."""
        sums: Counter[tuple[str, str]] = Counter()
        for pile, stems in self.desk.store.stem_balances().items():
            assert stems >= 0 or pile.account is Account.FIELD, f"{pile} holds {stems}"
            sums[pile.source, str(pile.product)] += stems
        assert not any(sums.values()), f"the book of stems does not balance: {sums}"
        self.tally.evenings += 1

    def _say_week(self) -> None:
        tally = self.tally
        _say(
            f"Up to {day_in_words(self.clock.day)}: {tally.lists} lists sent, {tally.replies} answers, "
            f"{tally.counts} counts, {tally.cut} stems cut, {tally.settled} deliveries settled, "
            f"{tally.sent} of {tally.asked} stems sent, {self.carrier.count} mails."
        )

    def _do(self, act: Callable[[UnitOfWork], object]) -> None:
        with self.desk.store.unit_of_work(actor=_ACTOR, now=self.clock.now()) as work:
            act(work)
            work.save()


def _called(job: Callable[..., object], desk: Desk, *more: object) -> object:
    """A job with its unit of work put in where jobs have it, as the last argument of a partial."""
    *given, work = more
    return job(desk, work, *given)


def _added(desk: Desk, rows: list[RowAsked], work: UnitOfWork) -> object:
    return [add_row(desk, work, row) for row in rows]


def _record(desk: Desk, work: UnitOfWork, asked: RowAsked, place: int) -> object:
    values = {**asked.values, "key": f"r-{desk.today()}-{work.next_seq}-{place}"}
    return add_row(desk, work, RowAsked("records", values))


def _say(text: str) -> None:
    sys.stdout.write(text + "\n")
    sys.stdout.flush()
