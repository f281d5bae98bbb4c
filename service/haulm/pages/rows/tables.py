"""Every table that has pages of this room, by its address and by its collection."""

from __future__ import annotations

from collections.abc import Mapping

from haulm.pages.rows.ground import BEDS, SPRAYS, TEMPERATURES
from haulm.pages.rows.growing import BATCHES, KNOWN_STEMS, RECORDS, VARIETIES
from haulm.pages.rows.money import PRICES, RECIPES
from haulm.pages.rows.page_words import Table
from haulm.pages.rows.takers import CHANGES, CUSTOMERS, ORDER_LINES, ORDERS, STANDING_LINES, STANDING_ORDERS

TABLES: tuple[Table, ...] = (
    *(VARIETIES, BEDS, BATCHES, RECORDS, KNOWN_STEMS, TEMPERATURES, CUSTOMERS, STANDING_ORDERS, STANDING_LINES),
    *(CHANGES, ORDERS, ORDER_LINES, PRICES, RECIPES, SPRAYS),
)
BY_PLACE: Mapping[str, Table] = {table.place: table for table in TABLES}
BY_COLLECTION: Mapping[str, Table] = {table.collection: table for table in TABLES}
ELSEWHERE: Mapping[str, str] = {
    "past_years": "/past-years",
    "usual_sales": "/usual-sales",
    "at_home": "/at-home",
    "piece_decisions": "/decisions",
}
"""Collections whose rows have pages of their own."""
