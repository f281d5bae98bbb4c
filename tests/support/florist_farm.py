"""One florist and her promise: twenty stems at 90 %, with a spare or without, of which a wedding may want some.

All stand ready on Monday 14 June 2027 and can leave on Friday the 18th.
"""

from __future__ import annotations

from support.farms import grower_folder
from support.known_farm import SITE, VARIETIES

CASES = ((20, 0), (20, 5), (25, 0), (25, 5))
"""Stems and spare: what was promised and no more, then five stems truly free; a spare is promised to nobody."""
FRIDAY, SUNDAY = "2027-06-18", "2027-06-20"
FALL = {
    "line": "studio-1",
    "order": "studio",
    "customer": "anna",
    "due": FRIDAY,
    "from": 1.0,
    "to": 0.0,
    "floor": 0.9,
}
"""The florist's line, if it were taken: order, line, day, from, to, floor."""


def florist_farm(stems: int, spare: int) -> dict[str, bytes]:
    """The farm with so many stems in the field, and so many of them her spare."""
    return grower_folder(
        site=SITE,
        varieties=VARIETIES,
        known_stems=f"key,product,ready_date,stems\nk1,lagurus,2027-06-14,{stems}",
        customers="key,name\nanna,Studio Anna Verhoeven\nbram,Bram's corner",
        orders=f"""
            key,customer,kind,due_date,committed_on,status
            studio,anna,one_off,{FRIDAY},2027-06-01,contracted
            """,
        order_lines=f"""
            key,order,stems,product,spare,promised_confidence
            studio-1,studio,20,lagurus,{spare},0.9
            """,
    )
