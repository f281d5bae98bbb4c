"""A farm on a bucket day: two batches that stand ready, two florists and a party; and its jobs, each in one go."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from haulm.farm.products import Product
from haulm.farm.words import Grade
from haulm.jobs.bucket_day.after_the_list import Claimed, make_claim
from haulm.jobs.bucket_day.bucket_lines import AS_DRAFTED, BucketLine, Choices
from haulm.jobs.bucket_day.confirm_bucket_list import (
    AS_IT_STANDS,
    Settled,
    Settling,
    confirm_bucket_list,
    post_bucket_list,
)
from haulm.jobs.bucket_day.confirmed_lists import CONFIRMED, subject_of
from haulm.jobs.bucket_day.correct_list import Correction, correct_list, take_back
from haulm.jobs.bucket_day.deliver_list import deliver_list
from haulm.jobs.bucket_day.reasons import Reason
from haulm.jobs.bucket_day.tell_what_left import tell_what_left
from haulm.jobs.desk.desk import Desk
from haulm.jobs.field.cool_store import count_stored, move_stored
from haulm.jobs.field.record_cut import CutAsked, record_cut, recount_cut
from haulm.jobs.field.record_walk import Said, Sighting, Walked, record_walk
from haulm.store.journal import Promise, StemPosting
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.words import Account, PromiseState
from support.desks import MONDAY, Found, done
from support.known_farm import CUSTOMERS, growing_farm

NEXT_MONDAY = MONDAY + timedelta(days=7)


def bucket_farm(*, asked: Sequence[int] = (60, 40, 20), **files: str) -> dict[str, bytes]:
    """Lagurus stands in two beds; anna, bram and cora ask for it each Tuesday of weeks 24 and 25."""
    customers = CUSTOMERS.strip() + "\n    cora,Cora's stems,,3\n"
    names = ("anna", "bram", "cora")[: len(asked)]
    orders = ["key,customer,weekday,first_week,last_week,committed_on"]
    orders += [f"{name}-weekly,{name},tue,2027-W24,2027-W25,2027-01-{day}" for day, name in enumerate(names, 10)]
    lines = ["key,order,stems,product"]
    lines += [f"{name}-1,{name}-weekly,{stems},lagurus" for name, stems in zip(names, asked, strict=True)]
    own = {
        "beds": "key,name,metres,width_cm,kind,walk\nsouth,South bed,10,,outdoor,2\nnorth,North bed,20,,outdoor,1",
        "batches": "key,variety,sow_date,method,sown,plants,plant_out_date,bed,status\n"
        "older,lagurus,2027-02-22,heated,60,50,2027-04-20,south,planted\n"
        "newer,lagurus,2027-03-01,heated,60,50,2027-04-27,north,planted",
        "customers": "\n".join(line.strip() for line in customers.splitlines()),
        "standing_orders": "\n".join(orders),
        "standing_lines": "\n".join(lines),
        **files,
    }
    return {**growing_farm(), **{f"{name}.csv": (text.strip() + "\n").encode() for name, text in own.items()}}


@dataclass(frozen=True)
class BucketDay:
    """The jobs of a bucket day at one desk; each is a unit of work of its own, written wholly or not at all."""

    desk: Desk

    def done(self, job: Callable[[UnitOfWork], Found]) -> Found:
        """One job, saved."""
        return done(self.desk, job)

    def walk(self, *, frost: bool = False, **standing: int) -> list[str]:
        """The records of a walk on which so many stems were counted of each kind."""
        seen = [Sighting(Said.STANDING, variety=variety, count=stems) for variety, stems in standing.items()]
        return self.see(*seen, frost=frost)

    def see(self, *seen: Sighting, **more: Any) -> list[str]:
        """The records of a walk on which this was seen."""
        walked = Walked(seen, **more)
        return [row.key for row in self.done(lambda work: record_walk(self.desk, work, walked))]

    def cut(
        self,
        stems: int,
        *,
        batch: str | None = None,
        left: int | None = None,
        grade: Grade = Grade.A,
        more: bool = False,
    ) -> str:
        """The record of a cut of lagurus, or of a batch of it; `more` than was counted, where it is said."""
        variety = "lagurus" if batch is None else None
        asked = CutAsked(stems, batch, variety, left, grade=grade, beyond_count=more)
        return self.done(lambda work: record_cut(self.desk, work, asked)).key

    def recount(self, cut: str, stems: int) -> str:
        """The record by which a cut was of so many stems after all."""
        return self.done(lambda work: recount_cut(self.desk, work, cut, stems)).key

    def confirm(
        self, day: date = MONDAY, choices: Choices = AS_DRAFTED, settling: Settling = AS_IT_STANDS
    ) -> tuple[BucketLine, ...]:
        """The lines of a list that are settled and posted: of all that can be, unless deliveries are named."""

        def job(work: UnitOfWork) -> Settled:
            found = confirm_bucket_list(self.desk, work, day, choices, settling)
            post_bucket_list(work, found)
            return found

        return self.done(job).lines

    def confirm_as_before(self, stems: Mapping[str, int], day: date = MONDAY) -> None:
        """A list as an earlier release confirmed it: its lines delivered at once, packed straight from the field."""
        due = day + timedelta(days=1)
        by_line = {line: _line_of_before(line, n, due, day) for line, n in stems.items()}
        customers = [{"customer": line.partition("-")[0], "lines": [facts]} for line, facts in by_line.items()]

        def job(work: UnitOfWork) -> None:
            facts = {"date": day.isoformat(), "confirmed": True, "customers": customers}
            seq = work.enter(CONFIRMED, subject_of(day), facts)
            source = f"field:{day}.0"
            for line, n in stems.items():
                order = f"{line.partition('-')[0]}-weekly"
                work.promise(Promise(line, due, order, PromiseState.CONTRACTED, n), entry=seq)
                work.promise(Promise(line, due, order, PromiseState.DELIVERED, n), entry=seq)
                key = f"{line}:{due}:lagurus:{source}:field"
                post = StemPosting(key, Product("lagurus"), source, Account.FIELD, Account.PACKED, n)
                if n:
                    work.post(post, entry=seq)

        self.done(job)

    def correct(self, line: str, stems: int, *, day: date = MONDAY, reason: str = Reason.BACK_IN_STORE) -> None:
        """A settled line gets another number of stems after all."""
        correction = Correction(line, day + timedelta(days=1), stems, reason)
        self.done(lambda work: correct_list(self.desk, work, day, correction))

    def take_back(self, day: date = MONDAY, order: str | None = None) -> int:
        """The stems that are back in the store of a list, or of one delivery, that was taken back."""
        named = () if order is None else ((order, day + timedelta(days=1)),)
        return self.done(lambda work: take_back(self.desk, work, day, named))

    def deliver(self, day: date = MONDAY) -> int:
        """The stems with which the van left."""
        return self.done(lambda work: deliver_list(self.desk, work, day))

    def tell(self, day: date, key: tuple[str, date], stems: Mapping[str, int]) -> None:
        """What left of a delivery whose day is over."""
        self.done(lambda work: tell_what_left(self.desk, work, day, key, stems))

    def count(self, pile: str, counted: int) -> int:
        """By how many stems a pile of the store differs from what the books had."""
        return self.done(lambda work: count_stored(self.desk, work, pile, counted))

    def claim(self, line: str, stems: int, *, credit: int = 0, day: date = MONDAY, reason: str = "wilted") -> int:
        """The number of a claim."""
        said = Claimed(line, day + timedelta(days=1), stems, reason)
        return self.done(lambda work: make_claim(self.desk, work, said, credit))

    def move(self, pile: str, to: Account, stems: int) -> None:
        """Stems of the cool store go elsewhere."""
        self.done(lambda work: move_stored(self.desk, work, pile, to, stems))

    def held(self, account: Account) -> int:
        """The stems in an account, over all piles."""
        return sum(stems for pile, stems in self.desk.store.stem_balances().items() if pile.account is account)


def _line_of_before(line: str, stems: int, due: date, ready: date) -> dict[str, Any]:
    source = {"product": "lagurus", "ready_date": ready.isoformat(), "stems": stems}
    return {
        "line": line,
        "order": f"{line.partition('-')[0]}-weekly",
        "class": "standing",
        "product": "lagurus",
        "choice": None,
        "due": due.isoformat(),
        "asked": {"anna-1": 60, "bram-1": 40, "cora-1": 20}[line],
        "filled": stems,
        "bunches": stems // 10,
        "over": stems % 10,
        "from": [{**source, "length_cm": None, "cut_date": None, "stock": None}] if stems else [],
        "caution": None,
        "share": None,
        "spare": 0,
        "spare_filled": 0,
        "spare_from": [],
    }
