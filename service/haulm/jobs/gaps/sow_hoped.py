"""Put a sowing that usual sales would pay for into the plan, exactly as it was shown."""

from __future__ import annotations

from haulm.farm.batches import Batch
from haulm.farm_folder.cells import values_of
from haulm.jobs.desk.desk import Desk
from haulm.jobs.desk.seen import NotAsSeen, Seen, Shown, changed_figures
from haulm.jobs.farm.change_rows import RowAsked, add_row
from haulm.jobs.gaps.see_usual_sales import hoped_shown
from haulm.language.words import _
from haulm.store.unit_of_work import UnitOfWork


def sow_hoped(desk: Desk, work: UnitOfWork, variety: str, seen: Seen) -> Batch:
    """Add the sowing that was seen of a variety, as it is shown for the farm that was just locked.

    Args:
        desk: the desk.
        work: the unit of work.
        variety: the variety's key: one sowing of each is shown at most.
        seen: what was seen of it.

    Raises:
        NotAsSeen: the sowing is another by now, or would not pay any more.
        FolderRefused: the batch is not accepted.
    """
    found = {one.sowing.batch.variety: one for one in hoped_shown(desk.plan_of(work.farm))}
    now = found.get(variety)
    if now is None or now.shown.tag != seen.tag:
        shown = Shown(_("the sowing"), {}) if now is None else now.shown
        raise NotAsSeen(shown=shown, changes=changed_figures(seen, shown.figures))
    added: Batch = add_row(desk, work, RowAsked("batches", values_of("batches", now.sowing.batch)))
    return added
