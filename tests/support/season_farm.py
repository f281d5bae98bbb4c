"""A small farm in mid-season, on Monday 14 June 2027: what is sown every year, what stays, what was lost."""

from __future__ import annotations

from support.farms import grower_folder

SITE = """
    format = 1
    name = "Season farm"
    latitude = 52.1
    [frost]
    last_spring_p10 = "04-20"
    last_spring_p50 = "05-04"
    last_spring_p90 = "05-18"
    first_autumn_p10 = "10-08"
    first_autumn_p50 = "10-24"
    first_autumn_p90 = "11-10"
    [temperatures]
    min_c = [1.3, 1.4, 2.5, 4.0, 7.1, 10.1, 12.2, 12.2, 10.1, 7.4, 4.3, 2.4]
    max_c = [6.6, 7.9, 10.6, 13.6, 16.8, 19.7, 22.0, 22.0, 19.5, 15.0, 10.2, 7.2]
    """
VARIETIES = """
    key,name,price_minor
    zinnia,White zinnia,600
    cosmos,White cosmos,600
    cornflower,Blue cornflower,600
    rudbeckia,Bronze rudbeckia,600
    sunflower_single,Lone sunflower,600
    dahlia,White dahlia,900
    peony,Pink peony,1500
    sweet_william,Sweet William,600
    """
BEDS = """
    key,name,metres,width_cm
    long,Long bed,40,120
    short,Short bed,6,120
    """
BATCHES = """
    key,variety,sow_date,method,sown,plants,trays,bed,metres,plant_out_date,status,lot
    zinnia-1,zinnia,2027-04-19,cover,100,80,1,long,5,2027-05-24,planted,L7
    zinnia-2,zinnia,2027-06-21,cover,100,80,1,long,5,,planned,
    cosmos-1,cosmos,2027-04-26,cover,72,60,1,long,6,2027-06-01,planted,
    corn-autumn,cornflower,2026-09-21,direct,200,150,,long,4,,sown,
    corn-1,cornflower,2027-04-05,direct,200,150,,long,4,,lost,
    rud-1,rudbeckia,2027-03-29,cover,60,50,1,long,5,2027-05-18,planted,
    sun-1,sunflower_single,2027-05-10,direct,20,20,,short,6,,sown,
    dahlia-1,dahlia,2027-05-11,tuber,20,20,,long,6,,sown,
    peony-1,peony,,established,,20,,long,8,,planted,
    william-1,sweet_william,2027-06-08,cover,60,50,1,,,,sown,
    """
CUSTOMERS = """
    key,name,email
    anna,Studio Anna,anna@anna.example
    bram,Bram's corner,bram@bram.example
    """
STANDING_ORDERS = """
    key,customer,weekday,first_week,last_week,committed_on,status
    anna-weekly,anna,tue,2027-W30,2027-W34,2027-01-10,
    bram-weekly,bram,fri,2027-W31,2027-W33,2027-01-11,paused
    """
STANDING_LINES = """
    key,order,stems,product,minimum,bunch_price_minor,bunch_stems,price_from
    anna-1,anna-weekly,20,zinnia,10,700,10,agreed
    anna-2,anna-weekly,20,cosmos,,500,10,list
    anna-3,anna-weekly,20,rudbeckia,,,,
    bram-1,bram-weekly,10,dahlia,,,,
    """


def season_farm(**tables: str) -> dict[str, bytes]:
    """The farm, with further tables or others in place of its own; an empty text leaves one out."""
    own = {
        "site": SITE,
        "varieties": VARIETIES,
        "beds": BEDS,
        "batches": BATCHES,
        "customers": CUSTOMERS,
        "standing_orders": STANDING_ORDERS,
        "standing_lines": STANDING_LINES,
    }
    return grower_folder(**{name: text for name, text in {**own, **tables}.items() if text})
