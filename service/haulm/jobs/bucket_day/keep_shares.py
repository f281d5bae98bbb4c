"""Which products of a week's list are shared evenly: the grower's word, kept, so that everybody is told the same."""

from __future__ import annotations

from datetime import date

from haulm.errors import NotAccepted
from haulm.jobs.bucket_day.bucket_lines import BucketList, Choices
from haulm.jobs.bucket_day.confirmed_lists import subject_of
from haulm.jobs.bucket_day.draft_bucket_list import draft_of
from haulm.jobs.bucket_day.keep_yours import keep_yours, told_lines, untold
from haulm.jobs.bucket_day.kept_shares import SHARED, kept_evenly
from haulm.jobs.bucket_day.told_letters import told_expected
from haulm.jobs.desk.desk import Desk
from haulm.language.words import _
from haulm.store.unit_of_work import UnitOfWork


def keep_shares(desk: Desk, work: UnitOfWork, day: date, evenly: frozenset[str] | None) -> BucketList:
    """Keep that these products of a list are shared evenly, and no others; gives the list as it is then expected.

    Who was written to and gets less by it is to be rung, as after any other loss. None leaves it as it was kept.

    Raises:
        NotABucketDay: the day is not the farm's bucket day.
        NotAccepted: nobody asks for one of the products on the list.
    """
    plan, kept = desk.plan_of(work.farm), kept_evenly(desk.store, day)
    draft = draft_of(desk, plan, day, Choices(evenly=evenly))
    asked = {str(bucket.line.product) for bucket in draft.lines if bucket.line.product is not None}
    strange = sorted((evenly or frozenset()) - asked - kept)
    if strange:
        accepted = _("a product that somebody on the list asks for by name")
        raise NotAccepted(where="evenly", found=f"'{strange[0]}'", accepted=accepted)
    if evenly is not None and evenly != kept:
        work.enter(SHARED, subject_of(day), {"products": sorted(evenly)})
    written = told_expected(desk.store, day)
    told = {key: row for key, row in told_lines(desk.store, day).items() if row["customer"] in written}
    keep_yours(work, day, untold(draft, plan.crops, told))
    return draft
