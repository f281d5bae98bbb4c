"""A farm in summer with few stems and nothing promised, for tests that promise them."""

from __future__ import annotations

from support.farms import grower_folder
from support.known_farm import growing_farm

PRODUCTS = ("lagurus", "cosmos_white", "nigella")
BATCHES = ("l1", "l2", "c1", "c2", "n1", "n2")


def summer_farm() -> dict[str, bytes]:
    """Three kinds in six sowings that by the farm's own weeks flower from mid-June on, two counts, nothing promised."""
    return grower_folder(
        site=growing_farm()["farm.toml"].decode(),
        varieties="""
            key,name,role,colour,weeks_to_flower,hold_days,stand_days,lengths
            lagurus,Hare's-tail grass,texture,cream,12.5,5,4,30:0.5|40:0.5
            cosmos_white,White cosmos,accent,white,11,4,2,
            nigella,Love-in-a-mist,accent,blue,11,6,3,
            """,
        beds="key,name,metres,width_cm,kind\nsouth,South bed,40,,outdoor",
        batches="""
            key,variety,sow_date,method,sown,plants,bed,status
            l1,lagurus,2027-03-10,direct,15,10,south,sown
            l2,lagurus,2027-04-05,direct,15,10,south,sown
            c1,cosmos_white,2027-04-05,direct,8,6,south,sown
            c2,cosmos_white,2027-05-01,direct,8,6,south,sown
            n1,nigella,2027-03-20,direct,20,15,south,sown
            n2,nigella,2027-04-20,direct,20,15,south,sown
            """,
        known_stems="""
            key,product,ready_date,stems
            k1,lagurus,2027-06-21,6
            k2,nigella,2027-06-24,5
            """,
        customers="key,name\nanna,Anna\nben,Ben",
    )
