"""Tables with a way of their own: records, prices, recipes and days; what still is named, ends, or was promised."""

from __future__ import annotations

from collections.abc import Callable
from html import unescape
from typing import Any

import pytest

from haulm.evidence.seen import standing_records
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderStatus, StandingStatus
from support.door import Door
from support.farms import grower_folder
from support.known_farm import PARTY, SITE, known_farm
from support.typed_forms import form_at, sent

OpenDoor = Callable[[dict[str, bytes]], Door]


def farm(door: Door) -> Farm:
    return door.desk.store.farm()


def add(door: Door, place: str, query: str = "", **typed: str) -> Any:
    return sent(door, form_at(door, f"/farm/{place}/new{query}", action=f"/farm/{place}/new"), **typed)


@pytest.fixture
def door(open_door: OpenDoor) -> Door:
    """A farm with two kinds, a planted sowing, a price, a recipe, two days and a record."""
    return open_door(
        grower_folder(
            site=SITE,
            varieties="""
                key,name,role,bunch_stems,price_minor
                lagurus,Bunny tail,texture,10,450
                nigella,Love-in-a-mist,accent,10,500
                """,
            beds="key,name\npond,Pond bed",
            batches="key,variety,sow_date,plants,bed,status\nfirst,lagurus,2027-03-01,40,pond,planted",
            records="key,date,kind,batch,count\nr1,2027-06-10,standing,first,30",
            customers="key,name\nanna,Studio Anna\nbram,Bram's corner",
            prices="product,customer,price_minor,bunch_stems\nlagurus,anna,420,20",
            recipes="piece,role,stems\nbuttonhole,accent,2",
            temperatures="date,min_c,max_c\n2027-05-01,4,12\n2027-05-03,5,14",
            standing_orders="key,customer,weekday,first_week,last_week\nweekly,anna,tue,2027-W24,2027-W30",
            standing_lines="key,order,stems,product\nweekly-1,weekly,1,lagurus",
            known_stems="key,product,ready_date,stems\nk1,lagurus,2027-06-14,20",
        )
    )


class TestRecords:
    def test_a_record_is_put_right_by_another_that_stands_in_its_place(self, door: Door) -> None:
        assert sent(door, form_at(door, "/farm/records/row/r1"), count="25").status_code == 303

        first, second = farm(door).records
        assert (first.count, second.count, second.corrects) == (30, 25, "r1")
        (stands,) = standing_records(farm(door).records)
        assert (stands.count, stands.batch) == (25, "first")
        assert "standing: 25" in unescape(door.ask("GET", "/farm/records").text)

    def test_a_record_that_was_put_right_can_be_put_right_again_and_taken_out(self, door: Door) -> None:
        sent(door, form_at(door, "/farm/records/row/r1"), date="2027-06-11")
        (now,) = standing_records(farm(door).records)
        assert sent(door, form_at(door, f"/farm/records/row/{now.key}"), count="20").status_code == 303
        (again,) = standing_records(farm(door).records)
        assert (again.date.day, again.count) == (11, 20)

        assert sent(door, form_at(door, f"/farm/records/out/{again.key}")).status_code == 303

        assert standing_records(farm(door).records) == () and len(farm(door).records) == 4

    def test_what_cannot_well_be_is_asked_about_and_written_when_it_is_said_again(self, door: Door) -> None:
        typed = {"date": "2027-12-24", "kind": "lost", "batch": "first", "count": "3"}

        asked = add(door, "records", **typed)

        assert asked.status_code == 409 and "still to come" in asked.text
        assert "Yes, it is so" in asked.text and 'value="2027-12-24"' in asked.text
        assert len(farm(door).records) == 1
        assert add(door, "records", **typed, really="yes").status_code == 303
        assert len(farm(door).records) == 2

    def test_a_cut_that_is_counted_again_keeps_its_name_in_the_book_of_stems(self, door: Door) -> None:
        assert add(door, "records", date="2027-06-14", kind="cut", batch="first", count="12").status_code == 303
        cut = farm(door).records[-1]

        assert sent(door, form_at(door, f"/farm/records/row/{cut.key}"), count="10").status_code == 303

        (pile,) = [
            pile for pile in door.desk.store.stem_balances() if pile.source == cut.key and pile.account == "store"
        ]
        assert door.desk.store.stem_balances()[pile] == 10


class TestRowsWithoutKeys:
    def test_a_price_is_added_moved_to_another_customer_and_taken_out(self, door: Door) -> None:
        assert add(door, "prices", product="nigella", price_minor="5.20").status_code == 303
        page = unescape(door.ask("GET", "/farm/prices").text)
        assert "Love-in-a-mist" in page and "€5.20" in page

        assert sent(door, form_at(door, "/farm/prices/row/lagurus%7Canna%7C%7C"), customer="bram").status_code == 303
        (moved,) = [row for row in farm(door).prices if row.customer]
        assert (moved.customer, moved.price_minor, moved.bunch_stems) == ("bram", 420, 20)

        assert sent(door, form_at(door, "/farm/prices/out/lagurus%7Cbram%7C%7C")).status_code == 303
        assert [row.customer for row in farm(door).prices] == [None]

    def test_a_recipe_that_stands_already_is_refused_and_its_stems_are_changed(self, door: Door) -> None:
        answer = add(door, "recipes", piece="buttonhole", role="accent", stems="3")
        assert answer.status_code == 422 and "what stands there already" in answer.text

        assert sent(door, form_at(door, "/farm/recipes/row/buttonhole%7Caccent"), stems="3").status_code == 303
        assert [row.stems for row in farm(door).recipes] == [3]
        assert sent(door, form_at(door, "/farm/recipes/out/buttonhole%7Caccent")).status_code == 303
        assert farm(door).recipes == ()

    def test_days_stand_in_their_order_whenever_they_are_written(self, door: Door) -> None:
        assert add(door, "temperatures", date="2027-05-02", min_c="-1,5", max_c="11").status_code == 303
        assert [(row.date.day, row.min_c) for row in farm(door).temperatures] == [(1, 4), (2, -1.5), (3, 5)]

        changed = sent(door, form_at(door, "/farm/temperatures/row/2027-05-02"), date="2027-05-04")
        assert changed.status_code == 303
        assert [row.date.day for row in farm(door).temperatures] == [1, 3, 4]
        assert sent(door, form_at(door, "/farm/temperatures/out/2027-05-01")).status_code == 303
        assert [row.date.day for row in farm(door).temperatures] == [3, 4]

    def test_a_day_that_was_colder_than_warm_is_refused(self, door: Door) -> None:
        answer = add(door, "temperatures", date="2027-05-02", min_c="20", max_c="11")

        assert answer.status_code == 422 and 'id="wrong-min_c"' in answer.text
        assert len(farm(door).temperatures) == 2


class TestEndings:
    @pytest.mark.parametrize(
        ("path", "names"),
        [
            ("/farm/beds/out/pond", "Bunny tail sown Mon 1 Mar 2027, Pond bed"),
            ("/farm/kinds/out/lagurus", "1 stem of Bunny tail"),
            ("/farm/customers/out/anna", "Studio Anna, every Tuesday, weeks 24 to 30"),
            ("/farm/sowings/out/first", "standing: stems counted in the field 30"),
        ],
    )
    def test_what_others_still_name_stays_and_they_are_said(self, door: Door, path: str, names: str) -> None:
        before = farm(door)

        page = unescape(door.ask("GET", path).text)

        assert "still name it" in page and names.partition(":")[0] in page
        assert f'action="{path}"' not in page
        assert door.ask("POST", path, data={}).status_code == 422
        assert farm(door) == before

    def test_a_standing_order_ends_after_one_question_and_its_lines_go_with_it_when_it_is_taken_out(
        self, door: Door
    ) -> None:
        assert (
            "End it: Studio Anna, every Tuesday, weeks 24 to 30?"
            in door.ask("GET", "/farm/standing-orders/end/weekly").text
        )
        assert sent(door, form_at(door, "/farm/standing-orders/end/weekly")).status_code == 303
        assert farm(door).standing_orders[0].status is StandingStatus.ENDED

        assert "1 stem of Bunny tail" in door.ask("GET", "/farm/standing-orders/out/weekly").text
        assert sent(door, form_at(door, "/farm/standing-orders/out/weekly")).status_code == 303
        assert farm(door).standing_orders == () and farm(door).standing_lines == ()

    def test_an_address_that_is_nobodys_is_a_page(self, door: Door) -> None:
        for path in ("/farm/barns", "/farm/beds/row/none", "/farm/beds/end/pond", "/farm/prices/row/%7C%7C"):
            assert door.ask("GET", path).status_code == 404, path


class TestPromises:
    @pytest.fixture
    def known(self, open_door: OpenDoor) -> Door:
        """Sixty stems, of which Anna's standing order and Bram's party take fifty."""
        return open_door(known_farm(**PARTY))

    def test_a_line_that_would_cost_an_earlier_promise_is_refused_with_a_way_to_say_why(self, known: Door) -> None:
        answer = add(known, "orders", customer="bram", kind="one_off", due_date="2027-06-18")
        assert answer.status_code == 303
        before = farm(known)

        form = form_at(known, "/farm/order-lines/row/party-1")
        refused = sent(known, form, stems="300")

        page = unescape(refused.text)
        assert refused.status_code == 409 and "That was not promised" in page
        assert 'name="stems" value="300"' in page
        assert farm(known) == before
        agreed = sent(known, form, stems="300", override_reason="they bring their own")
        assert agreed.status_code == 303
        assert next(line for line in farm(known).order_lines if line.key == "party-1").stems == 300

    def test_an_order_that_is_contracted_is_not_taken_out(self, known: Door) -> None:
        assert farm(known).orders[0].status is OrderStatus.CONTRACTED

        answer = known.ask("POST", "/farm/orders/out/party", data={})

        assert answer.status_code == 422 and len(farm(known).orders) == 2

    def test_a_week_that_was_left_out_asks_again_when_the_change_is_taken_out(self, known: Door) -> None:
        path = "/farm/changes"
        assert add(known, "changes", "?order=anna-weekly", week="2027-W24", stems="0").status_code == 303
        line = form_at(known, "/farm/order-lines/row/party-1")
        assert sent(known, line, stems="45").status_code == 303
        key = farm(known).changes[0].key

        refused = sent(known, form_at(known, f"{path}/out/{key}"))

        assert refused.status_code == 409 and len(farm(known).changes) == 1
        agreed = sent(known, form_at(known, f"{path}/out/{key}"), override_reason="both were promised")
        assert agreed.status_code == 303 and farm(known).changes == ()

    def test_stems_of_a_line_that_is_taken_out_are_free_in_the_book(self, known: Door) -> None:
        assert sent(known, form_at(known, "/farm/order-lines/out/late-1")).status_code == 303

        assert all(not one.state.is_open for one in known.desk.store.promises(line="late-1")[-1:])


def test_a_long_list_comes_in_parts_and_is_found_and_filtered(open_door: OpenDoor) -> None:
    beds = "\n".join(f"b{number},Bed {number:02d},{'tunnel' if number > 50 else 'outdoor'}" for number in range(1, 61))
    door = open_door(grower_folder(site=SITE, beds=f"key,name,kind\n{beds}"))

    first, third = (unescape(door.ask("GET", f"/farm/beds{part}").text) for part in ("", "?part=3"))
    assert "Bed 25" in first and "Bed 26" not in first and "Before</a>" not in first
    assert "Bed 51" in third and "After</a>" not in third and "51 to 60 of 60" in third
    assert "Bed 33" in door.ask("GET", "/farm/beds?q=bed 33").text
    tunnels = door.ask("GET", "/farm/beds?only=tunnel").text
    assert "Bed 51" in tunnels and "Bed 50" not in tunnels
    assert "Nothing here goes by that." in door.ask("GET", "/farm/beds?q=barn").text


def test_a_kind_of_the_library_is_taken_with_its_figures_and_its_warnings(open_door: OpenDoor) -> None:
    door = open_door(grower_folder(site=SITE))
    assert "/farm/kinds/new?library=foxglove" in door.ask("GET", "/farm/library?q=foxglove").text

    page = unescape(door.ask("GET", "/farm/kinds/new?library=foxglove").text)
    assert "the library's: " in page and "Take care" in page and "POISON" in page.upper()
    answer = add(door, "kinds", "?library=foxglove", name="White foxglove")

    assert answer.status_code == 303
    (row,) = farm(door).varieties
    assert (row.key, row.name, row.weeks_to_flower) == ("foxglove-white-foxglove", "White foxglove", None)


def test_bunches_and_buckets_are_those_of_the_customer(door: Door) -> None:
    line = form_at(door, "/farm/standing-lines/row/weekly-1")

    assert sent(door, line, stems="2", stems__unit="bunches").status_code == 303

    assert farm(door).standing_lines[0].stems == 40
    assert "40 stems: 2 bunches of 20" in door.ask("GET", "/farm/standing-orders/row/weekly").text
    assert (
        sent(door, form_at(door, "/farm/standing-lines/row/weekly-1"), stems="1", stems__unit="buckets").status_code
        == 303
    )
    assert farm(door).standing_lines[0].stems == 100
