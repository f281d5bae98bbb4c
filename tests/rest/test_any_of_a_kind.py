"""A line that takes any cultivar of a kind, from the folder and over REST."""

from collections.abc import Callable

from support.door import Door
from support.known_farm import KNOWN_STEMS, known_farm

OpenDoor = Callable[[dict[str, bytes]], Door]
VARIETIES = """
    key,name,role,colour,hold_days,stand_days,bunch_stems,price_minor,kind
    lagurus,Bunny tail,texture,cream,4,3,10,450,grass
    quaking,Quaking grass,texture,green,4,3,10,450,grass
    nigella,Love-in-a-mist,texture,blue,4,3,10,500,nigella
    """
STEMS = KNOWN_STEMS.replace("k3,nigella", "k4,quaking,2027-06-12,15,2027-06-13\n    k3,nigella")
ORDERS = """
    key,customer,kind,due_date,committed_on,status
    party,bram,one_off,2027-06-16,2027-06-01,contracted
    """
LINES = """
    key,order,stems,product,choice
    party-1,party,30,,kind=grass
    """


def asked_of(door: Door, choice: str) -> int:
    """How many stems may be promised for a choice on the day of the party."""
    asked = {"choice": choice, "due": "2027-06-16", "max_each": 100}
    return int(door.post("/v1/may-promise", asked)["stems"])


def test_any_cultivar_of_a_kind_answers_and_no_other(open_door: OpenDoor) -> None:
    door = open_door(known_farm(varieties=VARIETIES, known_stems=STEMS))

    grass, green, other = (asked_of(door, text) for text in ("kind=grass", "kind=grass colour=green", "kind=nigella"))
    assert (green, other) == (15, 30)
    assert grass > green


def test_a_line_of_a_kind_is_filled_from_its_cultivars(open_door: OpenDoor) -> None:
    files = known_farm(varieties=VARIETIES, known_stems=STEMS, orders=ORDERS, order_lines=LINES)
    door = open_door(files)

    (row,) = [row for row in door.get("/v1/order-lines")["rows"] if row["key"] == "party-1"]
    (line,) = [line for line in door.get("/v1/match")["lines"] if line["line"] == "party-1"]
    assert row["choice"] == "kind=grass"
    assert line["filled"] == 30
    assert {part["product"] for part in line["from"]} == {"lagurus", "quaking"}
