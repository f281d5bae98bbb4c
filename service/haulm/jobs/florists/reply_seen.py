"""What the grower's word on a florist's answer rests on: what is asked, what would come of it, what it would cost."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from haulm.errors import NotFound
from haulm.jobs.bucket_day.confirmed_lists import OF_SETTLED
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.seen import Shown
from haulm.jobs.florists.florist_page import REPLIED
from haulm.jobs.florists.judge_reply import if_accepted
from haulm.jobs.florists.reply_to_list import JUDGED, Reply, ask_in_words, open_replies
from haulm.language.words import _, marked
from haulm.planning.plan import Plan
from haulm.store.journal import Entry
from haulm.store.unit_of_work import UnitOfWork

COST, OUTCOME = marked("Accepting it"), marked("Then it is answered")
"""The figures that say whose promise accepting it would lower, and what would be said to each ask."""


def look_at_reply(desk: Desk, number: int) -> Callable[[UnitOfWork], Shown]:
    """How the grower's word looks at an answer in its own transaction."""

    def look(work: UnitOfWork) -> Shown:
        books = {kind: work.entries_of(kind) for kind in (REPLIED, JUDGED)}
        return _shown(desk, desk.plan_of(work.farm), number, (books, work.entries_of(*OF_SETTLED)))

    return look


def replies_shown(desk: Desk) -> tuple[tuple[Reply, Shown], ...]:
    """The answers that wait, oldest first, each as it is shown."""
    plan = desk.plan()
    books = {kind: desk.store.entries_of(kind) for kind in (REPLIED, JUDGED)}
    settled = desk.store.entries_of(*OF_SETTLED)
    return tuple((reply, _shown(desk, plan, reply.number, (books, settled))) for reply in open_replies(desk))


def _shown(desk: Desk, plan: Plan, number: int, books: tuple[Mapping[str, Sequence[Entry]], Sequence[Entry]]) -> Shown:
    kept, settled = books
    entry = next((found for found in kept[REPLIED] if found.seq == number), None)
    if entry is None:
        raise NotFound(kind=_("answer"), key=str(number))
    what = _("This answer")
    asked = {"Asked": "; ".join(ask_in_words(ask, plan.farm) for ask in entry.facts["asks"])}
    word = next((found for found in kept[JUDGED] if found.facts["reply"] == number), None)
    if word is not None:
        return Shown(what, {**asked, "Your word": _("accepted") if word.facts["accepted"] else _("declined")})
    found = if_accepted(desk, plan, entry, settled)
    comes = {COST: found.cost, OUTCOME: "; ".join(found.outcomes)}
    return Shown(what, {**asked, "Your word": _("not given yet"), **comes})
