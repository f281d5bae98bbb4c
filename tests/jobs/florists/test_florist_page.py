"""What a florist sees: what is sure on offer, what may be hoped for beside it, and neither taken for the other."""

from collections.abc import Callable
from datetime import date

from haulm.jobs.desk.desk import Desk
from haulm.jobs.florists.florist_page import florist_page
from haulm.jobs.florists.send_availability import availability_facts
from support.desks import on
from support.known_farm import growing_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]


WEEKS = (date(2027, 8, 16), date(2027, 8, 30), date(2027, 9, 13))


def weekly_farm() -> dict[str, bytes]:
    """Anna takes a stem every Tuesday of a planted batch that gives most about the end of August."""
    files = growing_farm()
    files["batches.csv"] = files["batches.csv"].replace(b"15,10", b"60,60").replace(b",planned", b",planted")
    files["standing_orders.csv"] = files["standing_orders.csv"].replace(b"W37", b"W30").replace(b"W38", b"W40")
    files["standing_lines.csv"] = files["standing_lines.csv"].replace(b",40,", b",1,")
    return files


def test_what_is_only_hoped_for_is_not_on_offer(open_desk: OpenDesk) -> None:
    desk = open_desk(weekly_farm())
    pages = []
    for monday in WEEKS:
        on(desk, monday)
        pages.append(florist_page(desk, "anna"))

    offered = [one for page in pages for one in page.offered]
    hoped = [one for page in pages for one in page.hoped]
    assert offered and all(1 <= one.bunches < one.hope_bunches for one in offered)
    assert hoped and all(one.bunches == 0 < one.hope_bunches for one in hoped)
    for page in pages:
        facts = availability_facts(page)
        assert [row["bunches"] for row in facts["rows"]] == [one.bunches for one in page.offered]
        assert [row["bunches"] for row in facts["hoped"]] == [one.hope_bunches for one in page.hoped]
