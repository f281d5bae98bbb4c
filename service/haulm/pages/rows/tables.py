"""Every table that has pages of this room, by its address and by its collection."""

from __future__ import annotations

from collections.abc import Mapping

from haulm.language.words import marked
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
ELSEWHERE_WORDS: Mapping[str, str] = {
    "past_years": marked("Past years"),
    "usual_sales": marked("Usual sales"),
    "at_home": marked("What is at home or ordered"),
    "piece_decisions": marked("What was decided of it in bouquets and on tables"),
}
assert set(ELSEWHERE_WORDS) == set(ELSEWHERE), "every table has its words"
