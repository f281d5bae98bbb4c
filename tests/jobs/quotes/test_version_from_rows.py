"""An order that came with an import is a version of a quote as its rows say it."""

from haulm.jobs.desk.desk import Desk
from haulm.jobs.quotes.version_from_rows import version_from_rows


def test_lines_price_and_level_are_those_of_the_rows(party_desk: Desk) -> None:
    plan = party_desk.plan()
    party = next(order for order in plan.farm.orders if order.key == "party")
    version = version_from_rows(plan, party)

    (line,) = version.lines
    assert (line.line, line.wanted, line.stems, line.spare, line.role) == ("party-1", "Bunny tail", 20, 5, None)
    assert (version.made_on, version.due_date, version.number) == (party.committed_on, party.due_date, 1)
    assert (version.price.stems_minor, version.price.spare_minor, version.price.labour_minor) == (900, 225, 0)
    assert version.level == plan.farm.site.level_of(party.kind.line_class)
    assert version.order_confidence == line.confidence == 1.0


def test_what_nothing_can_serve_is_said_to_be_unsure(party_desk: Desk) -> None:
    plan = party_desk.plan()
    late = next(order for order in plan.farm.orders if order.key == "late")
    version = version_from_rows(plan, late)
    assert version.order_confidence == version.lines[0].confidence == 0.0
