"""Prices of a delivery note: what each line keeps, less credits that have a name, the same as under REST."""

from collections.abc import Callable
from datetime import date

from haulm.jobs.bucket_day.confirmed_lists import by_customer, settled_of
from haulm.jobs.bucket_day.list_prices import list_prices, terms_by_line
from haulm.planning.keeping import crops_of
from support.door import Door
from support.known_farm import VARIETIES, known_farm

OpenDoor = Callable[[dict[str, bytes]], Door]
Paper = Callable[..., str]
LIST = "/paper/bucket-lists/2027-06-14"
LISTED = "/v1/bucket-lists/2027-06-14"
PRICES = f"{LISTED}/prices"
NOTE = f"{LIST}/delivery.pdf?prices=yes&customer=bram"
AMMI = "ammi,Lace,filler,white,4,3,10,{price},"
PARTY = """
    key,customer,kind,due_date,committed_on,status
    party,bram,one_off,2027-06-18,2027-06-01,contracted
    """


def lacking_farm(*, price: int, lengths: str = "") -> dict[str, bytes]:
    """Bram asks 30 nigella at 5.00 for ten, and takes ammi instead; none of 20 nigella is longer than asked."""
    varieties = VARIETIES.rstrip() + "\n    " + AMMI.format(price=price) + "\n"
    stems = f"""
        key,product,ready_date,stems,cut_date,length_cm
        k3,nigella,2027-06-14,20,2027-06-14,{lengths}
        k4,ammi,2027-06-14,8,2027-06-14,
        """
    lines = """
        key,order,stems,product,substitutes
        party-1,party,30,nigella,ammi
        """
    prices = """
        product,length_cm,price_minor
        nigella,60,900
        """
    return known_farm(
        varieties=varieties, known_stems=stems, orders=PARTY, order_lines=lines, prices=prices,
        standing_orders="key,customer,weekday,first_week,last_week", standing_lines="key,order,stems",
    )  # fmt: skip


def confirmed(open_door: OpenDoor, files: dict[str, bytes]) -> Door:
    door = open_door(files)
    settle(door)
    return door


def settle(door: Door) -> None:
    """The party gets what the store has: nothing more is cut for it."""
    party = {"order": "party", "due": "2027-06-18", "no_cut": True}
    door.post(f"{LISTED}/confirm", {"deliveries": [party]}, If_Match="*")


def sums(door: Door) -> tuple[int, ...]:
    """Agreed, short, stand-in, claimed, due, of the one line there is."""
    (customer,) = door.get(PRICES)["customers"]
    (line,) = customer["lines"]
    names = ("agreed_minor", "short_minor", "stand_in_minor", "claimed_minor", "due_minor")
    assert all(customer[name] == line[name] for name in names)
    return tuple(line[name] for name in names)


def test_a_dearer_stand_in_and_a_longer_length_cost_what_was_ordered(open_door: OpenDoor, paper: Paper) -> None:
    door = confirmed(open_door, lacking_farm(price=800, lengths="60"))

    text = paper(door, NOTE)
    for words in ("Agreed for all that was asked: €15.00", "€10.00", "€4.00", "Stems together: €14.00"):
        assert words in text
    assert "Credit: Love-in-a-mist, 2 stems fewer than agreed: -€1.00" in text
    assert sums(door) == (1500, 100, 0, 0, 1400)


def test_a_cheaper_stand_in_costs_its_own_and_the_difference_is_named(open_door: OpenDoor, paper: Paper) -> None:
    door = confirmed(open_door, lacking_farm(price=300))

    text = paper(door, NOTE)
    for words in ("€2.40", "a stand-in that costs less: -€1.60", "Stems together: €12.40"):
        assert words in text
    assert sums(door) == (1500, 100, 160, 0, 1240)


def test_corrections_and_claims_are_credits(open_door: OpenDoor, paper: Paper) -> None:
    door = confirmed(open_door, lacking_farm(price=800))
    line = {"line": "party-1", "due": "2027-06-18"}
    door.post(f"{LISTED}/correct", {**line, "stems": 25, "reason": "thrown"})
    door.post(f"{LISTED}/delivered")
    door.post("/v1/claims", {**line, "stems": 5, "reason": "wilted"})
    door.post("/v1/claims", {**line, "stems": 1, "reason": "a gift", "credit_minor": 70})

    assert [claim["credit_minor"] for claim in door.get("/v1/claims")["claims"]] == [70, 250]
    text = paper(door, NOTE)
    for words in (
        "5 stems fewer than agreed: -€2.50",
        "Stems together: €12.50",
        "Love-in-a-mist, claimed: -€3.20",
        "Left to pay for stems: €9.30",
        "5 stems",
    ):
        assert words in text
    assert sums(door) == (1500, 250, 0, 320, 930)
    packing = paper(door, f"{LIST}/packing.pdf?customer=bram")
    assert "25 here" in packing and "€" not in packing


def test_a_confirmed_list_keeps_its_prices_whatever_is_agreed_later(open_door: OpenDoor) -> None:
    door = confirmed(open_door, lacking_farm(price=300))

    door.patch("/v1/order-lines/party-1", {"bunch_price_minor": 100})
    door.patch("/v1/varieties/ammi", {"price_minor": 50})

    assert sums(door) == (1500, 100, 160, 0, 1240)


def test_a_correction_up_is_on_the_note_and_what_is_taken_back_is_not(open_door: OpenDoor, paper: Paper) -> None:
    door = confirmed(open_door, lacking_farm(price=300))
    line = {"line": "party-1", "due": "2027-06-18"}
    door.post(f"{LISTED}/correct", {**line, "stems": 20, "reason": "back in the store"})
    assert sums(door) == (1500, 500, 160, 0, 840)

    door.post(f"{LISTED}/correct", {**line, "stems": 26, "reason": "they are good"})
    assert sums(door) == (1500, 200, 160, 0, 1140)
    assert "Stems together: €11.40" in paper(door, NOTE)

    door.post(f"{LISTED}/take-back", {})
    assert door.refused(404, "GET", PRICES)["key"] == "2027-06-14"
    door.patch("/v1/order-lines/party-1", {"bunch_price_minor": 600})
    settle(door)
    assert sums(door) == (1800, 120, 240, 0, 1440)


def test_a_list_without_prices_beside_it_has_those_of_its_lines(open_door: OpenDoor) -> None:
    door = confirmed(open_door, lacking_farm(price=300))
    (settled,) = settled_of(door.desk, date(2027, 6, 14))
    farm = door.desk.store.farm()

    facts = list_prices(farm, crops_of(farm), by_customer([settled]))
    found = terms_by_line(facts)["party-1", "2027-06-18"]

    assert (found.terms.agreed_minor, dict(found.stand_ins)) == (1500, {"ammi": 30})


def test_one_price_for_a_whole_line_is_credited_by_the_stem(open_door: OpenDoor, paper: Paper) -> None:
    files = lacking_farm(price=800)
    lines = "key,order,stems,product,substitutes,agreed_price_minor\nparty-1,party,30,nigella,ammi,14675\n"
    files["order_lines.csv"] = lines.encode()
    door = confirmed(open_door, files)

    # 28 of 30 stems: 136.966.. up to 136.97, of which the 8 are 39.13 and the 20 the rest.
    text = paper(door, NOTE)
    for words in ("€39.13", "€97.84", "Agreed for all that was asked: €146.75", "-€9.78", "Stems together: €136.97"):
        assert words in text
    assert sums(door) == (14675, 978, 0, 0, 13697)


def test_hands_do_not_see_prices(open_door: OpenDoor) -> None:
    door = confirmed(open_door, lacking_farm(price=300))

    assert "minor" not in str(door.get("/v1/bucket-lists/2027-06-14"))
    assert door.refused(404, "GET", "/v1/bucket-lists/2027-06-21/prices")["key"] == "2027-06-21"
