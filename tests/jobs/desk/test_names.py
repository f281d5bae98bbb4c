"""Things are called by what is known of them, never by a key."""

from datetime import date

from haulm.farm.batches import Batch
from haulm.farm.words import BatchStatus, Method
from haulm.farm_folder.reader import read_folder
from haulm.jobs.desk.names import Names
from support.project_tree import ROOT

NAMES = Names(read_folder(ROOT / "fixtures" / "demo"))


def test_a_wedding_is_called_by_its_couple_and_a_standing_order_by_its_days() -> None:
    assert NAMES.order("wedding-august") == "Perrin and Lio's wedding"
    assert NAMES.order("quillbeck-early") == "Quillbeck Flowers, every Tuesday, weeks 25 to 27"


def test_every_order_sowing_and_customer_of_the_demo_has_a_name_without_its_key() -> None:
    farm = NAMES.farm
    for order in (*farm.orders, *farm.standing_orders):
        assert order.key not in NAMES.order(order.key) and NAMES.order(order.key)
    for line in (*farm.order_lines, *farm.standing_lines):
        assert line.key not in NAMES.line(line.key) and NAMES.order(line.order) in NAMES.line(line.key)
    for batch in farm.batches:
        assert batch.key not in NAMES.batch(batch.key), batch.key
    for customer in farm.customers:
        assert NAMES.customer(customer.key) == customer.name


def test_a_sowing_says_whether_it_is_still_to_come() -> None:
    sown = Batch("one", "lagurus", sow_date=date(2027, 5, 4), bed="b1", status=BatchStatus.SOWN)
    to_come = Batch("two", "lagurus", sow_date=date(2027, 5, 4))
    assert NAMES.of_batch(sown) == "Hare's-tail grass sown Tue 4 May 2027, Hedge bed"
    assert NAMES.of_batch(to_come) == "Hare's-tail grass to be sown Tue 4 May 2027"


def test_what_is_bought_is_planted_not_sown() -> None:
    plugs = Batch("one", "lagurus", method=Method.PLUGS, plant_out_date=date(2027, 5, 4))
    assert NAMES.status(plugs) == "to be planted"
    assert NAMES.of_batch(plugs) == "Hare's-tail grass planted Tue 4 May 2027"


def test_who_was_erased_is_called_by_the_key_that_is_left() -> None:
    assert NAMES.customer("c-17") == "c-17" and NAMES.order("gone") == "gone" and NAMES.batch("gone") == "gone"
