"""What a confirmed bucket list costs, as `haulm bucket-list DATE --prices` shows it."""

from __future__ import annotations

from haulm_cli.fields import MISSING, Fields, items, money, text
from haulm_cli.tables import Column, Screen, table

_SUMS = ("agreed_minor", "short_minor", "stand_in_minor", "claimed_minor", "due_minor")
_COLUMNS = (
    Column("customer"),
    Column("line"),
    Column("due", gives_way=3),
    Column("sent", right=True),
    Column("agreed", right=True),
    Column("short", right=True, gives_way=1),
    Column("stand-in", right=True, gives_way=1),
    Column("claimed", right=True, gives_way=1),
    Column("to pay", right=True),
)


def shown_prices(body: Fields, day: str, screen: Screen) -> list[str]:
    """A table of lines with their credits, and what each customer has to pay."""
    rows = []
    for customer in items(body, "customers"):
        for line in items(customer, "lines"):
            names = (text(customer, "customer"), text(line, "line"), text(line, "due"), text(line, "sent"))
            rows.append([*names, *_sums(line, body)])
        rows.append([text(customer, "customer"), "all of it", MISSING, MISSING, *_sums(customer, body)])
    heading = screen.heading(f"Prices of the bucket list of {day}: stems only, no delivery and no tax")
    return [heading, "", *(table(_COLUMNS, rows, screen) if rows else ["Nobody is on it."])]


def _sums(found: Fields, body: Fields) -> list[str]:
    return [money(found.get(name), body.get("currency")) for name in _SUMS]
