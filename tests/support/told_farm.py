"""A farm of pink peony and yarrow that may flower any day, with a florist of every Friday and a wedding of 18 June.

Looked at on Monday 14 June 2027: of the 25 peonies of the wedding none is there in a careful season and all in a
generous one; of the 20 yarrow of the florist one is cut already.
"""

from __future__ import annotations

from support.known_farm import growing_farm

_TABLES = {
    "varieties": """
        key,name,life_cycle,role,colour,weeks_to_flower,hold_days,stand_days,bunch_stems,price_minor
        peony,Pink peony,hardy_annual,focal,pink,13,7,10,5,450
        yarrow,Yarrow,,filler,white,12,7,10,10,300
        """,
    "beds": "key,name,metres,width_cm,kind\nsouth,South bed,10,,outdoor\nnorth,North bed,20,,outdoor",
    "batches": """
        key,variety,sow_date,method,sown,plants,plant_out_date,bed,status
        pink,peony,2027-03-08,heated,60,40,2027-05-04,south,planted
        white,yarrow,2027-03-08,heated,60,40,2027-05-04,north,planted
        """,
    "known_stems": "key,product,ready_date,stems\none,yarrow,2027-06-14,1",
    "customers": """
        key,name,kind,email
        anna,Studio Anna Verhoeven,florist,anna@verhoeven.example
        mira,Mira and Jo,wedding,mira@jo.example
        """,
    "standing_orders": """
        key,customer,weekday,first_week,last_week,committed_on
        anna-weekly,anna,fri,2027-W24,2027-W27,2027-01-10
        """,
    "standing_lines": "key,order,stems,product\nanna-1,anna-weekly,20,yarrow",
    "orders": """
        key,customer,kind,due_date,committed_on,status
        wedding,mira,wedding,2027-06-18,2027-03-01,contracted
        """,
    "order_lines": "key,order,stems,product\nwedding-1,wedding,25,peony",
}


def told_farm() -> dict[str, bytes]:
    """Its folder."""
    lines = {name: "\n".join(line.strip() for line in text.strip().splitlines()) for name, text in _TABLES.items()}
    return {**growing_farm(), **{f"{name}.csv": (text + "\n").encode() for name, text in lines.items()}}
