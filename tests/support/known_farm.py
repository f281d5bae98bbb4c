"""A farm of known stems, small enough to work out every answer by hand, and one that grows.

The farm of known stems, looked at on Monday 2027-06-14 (week 24); cut days Monday and Thursday, one day of drinking:

    lagurus keeps 4 days and stands 3. k1: 60 ready on Monday 14 June, cut on 14 or 17, so due 15 to 21 June.
                                       k2: 40 ready on Monday 21 June, cut on 21 or 24, so due 22 to 28 June.
    nigella keeps 4 days and stands 3. k3: 30 cut on Sunday 13 June, so due 14 to 17 June.
    lagurus:dried                      k5: 120 in the attic.
    anna takes 25 lagurus each Tuesday of weeks 24 and 25: 15 June (of k1) and 22 June (of k2).
"""

from __future__ import annotations

from support.farms import grower_folder

SITE = """
    format = 1
    name = "Known stems"
    latitude = 52.1
    timezone = "Europe/Amsterdam"
    """
VARIETIES = """
    key,name,role,colour,hold_days,stand_days,bunch_stems,price_minor,caution
    lagurus,Bunny tail,texture,cream,4,3,10,450,
    nigella,Love-in-a-mist,accent,blue,4,3,10,500,keep from pets
    """
CUSTOMERS = """
    key,name,email,notice_days
    anna,Studio Anna Verhoeven,anna@verhoeven.example,2
    bram,Bram's corner,,3
    """
KNOWN_STEMS = """
    key,product,ready_date,stems,cut_date
    k1,lagurus,2027-06-14,60,
    k2,lagurus,2027-06-21,40,
    k3,nigella,2027-06-12,30,2027-06-13
    k5,lagurus:dried,2026-09-01,120,
    """
STANDING_ORDERS = """
    key,customer,weekday,first_week,last_week,committed_on
    anna-weekly,anna,tue,2027-W24,2027-W25,2027-01-10
    """
STANDING_LINES = """
    key,order,stems,product
    anna-1,anna-weekly,25,lagurus
    """


def known_farm(**tables: str) -> dict[str, bytes]:
    """The farm of known stems, with further tables or others in place of its own."""
    own = {
        "site": SITE,
        "varieties": VARIETIES,
        "customers": CUSTOMERS,
        "known_stems": KNOWN_STEMS,
        "standing_orders": STANDING_ORDERS,
        "standing_lines": STANDING_LINES,
    }
    return grower_folder(**{**own, **tables})


PARTY = {
    "orders": """
        key,customer,kind,due_date,committed_on,status
        party,bram,one_off,2027-06-18,2027-06-01,contracted
        late,bram,one_off,2027-07-02,2027-06-02,contracted
        """,
    "order_lines": """
        key,order,stems,product,spare
        party-1,party,20,lagurus,5
        late-1,late,10,lagurus,
        """,
}
"""Bram's party on Friday 18 June (of k1) with spare, and an order of 2 July that nothing can serve."""


def growing_farm() -> dict[str, bytes]:
    """A farm with weather that grows too little: one batch of 10 plants, and 40 stems a week promised from week 37."""
    climate = """
        [frost]
        last_spring_p10 = "04-05"
        last_spring_p50 = "04-20"
        last_spring_p90 = "05-08"
        first_autumn_p10 = "10-01"
        first_autumn_p50 = "10-18"
        first_autumn_p90 = "11-05"

        [temperatures]
        min_c = [0.8, 0.7, 2.0, 3.4, 6.2, 9.0, 11.1, 11.0, 9.1, 6.4, 3.4, 1.2]
        max_c = [6.5, 7.2, 9.6, 12.2, 15.3, 18.0, 20.3, 20.0, 17.3, 13.3, 9.3, 6.8]
        """
    return grower_folder(
        site=SITE + climate,
        varieties="""
            key,name,role,colour,weeks_to_flower,hold_days,stand_days,bunch_stems,price_minor,lengths
            lagurus,Hare's-tail grass,texture,cream,12.5,7,10,10,450,30:0.3|40:0.5|50:0.2
            """,
        beds="key,name,metres,width_cm,kind\nsouth,South bed,40,,outdoor",
        batches="""
            key,variety,sow_date,method,sown,plants,bed,status
            first,lagurus,2027-05-25,direct,15,10,south,planned
            """,
        customers=CUSTOMERS,
        standing_orders="""
            key,customer,weekday,first_week,last_week,committed_on
            anna-weekly,anna,tue,2027-W37,2027-W38,2027-01-10
            """,
        standing_lines="key,order,stems,product\nanna-1,anna-weekly,40,lagurus",
    )
