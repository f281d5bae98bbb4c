"""A folder brought into a farm with data is never a loss: by key, nothing backwards, nothing by hand overwritten."""

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from haulm.farm.orders import OrderLine
from haulm.farm.products import Product
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.bring_in_folder import BROUGHT, Brought, FolderConflicts, FolderNotPromised, Wins, bring_in_folder
from haulm.jobs.farm.brought_words import brought_in_words
from haulm.jobs.farm.change_rows import RowAsked, add_row, change_row
from haulm.jobs.farm.import_farm import export_farm
from haulm.jobs.promises.end_quote import cancel_quote
from haulm.jobs.promises.hold_quote import contract_quote
from haulm.jobs.promises.quote_wedding import QuoteAsked, quote_wedding
from haulm.store.journal import rebuilt_farm
from support.desks import NOW, done
from support.known_farm import SITE

Brings = Callable[..., Brought]


@pytest.fixture
def brings(desk: Desk, tmp_path: Path) -> Brings:
    """Brings a folder of these tables into the farm."""

    def brought(wins: Wins | None = None, site: str = SITE, **tables: str) -> Brought:
        folder = tmp_path / f"folder{len(list(tmp_path.iterdir()))}"
        folder.mkdir()
        texts = {"farm.toml": site, **{f"{name}.csv": text for name, text in tables.items()}}
        for name, text in texts.items():
            lines = "\n".join(line.strip() for line in text.strip().splitlines())
            (folder / name).write_text(lines + "\n", encoding="utf-8")
        return bring_in_folder(desk, folder, actor="program", wins=wins)

    return brought


def changed(desk: Desk, collection: str, key: str, **values: object) -> None:
    done(desk, lambda work: change_row(desk, work, key, RowAsked(collection, values), expected=None))


def variety(desk: Desk, key: str = "lagurus") -> object:
    return next(row for row in desk.store.farm().varieties if row.key == key)


def test_the_farm_s_own_export_brings_nothing_new(desk: Desk, tmp_path: Path) -> None:
    export_farm(desk.store, tmp_path / "out", now=NOW)
    before = desk.store.farm()

    found = bring_in_folder(desk, tmp_path / "out", actor="program")
    assert desk.store.farm() == before and not (found.added or found.changed or found.old)
    assert list(brought_in_words(found)) == ["Known stems: nothing in the folder is new."]


def test_rows_go_by_key_absent_columns_stay_empty_cells_are_defaults_and_what_is_not_there_stays(
    desk: Desk, brings: Brings
) -> None:
    before = desk.store.farm()
    found = brings(varieties="key,name,colour,price_minor\nlagurus,Bunny tail,white,\nammi,Bishop's flower,,")

    (lagurus, nigella, ammi) = desk.store.farm().varieties
    assert (lagurus.colour, lagurus.price_minor, lagurus.hold_days) == ("white", None, 4)
    assert nigella == before.varieties[1] and ammi.name == "Bishop's flower"
    assert desk.store.farm().customers == before.customers
    assert list(brought_in_words(found)) == ["Known stems: added 1 variety; changed 1 variety."]
    assert rebuilt_farm(desk.store.entries()).varieties == desk.store.farm().varieties


def test_what_the_farm_said_before_or_took_out_since_is_old_news(desk: Desk, brings: Brings) -> None:
    changed(desk, "varieties", "lagurus", colour="green")
    done(desk, lambda work: work.remove("known_stems", "k2"))
    found = brings(
        varieties="key,name,colour\nlagurus,Bunny tail,cream",
        known_stems="key,product,ready_date,stems,cut_date\nk2,lagurus,2027-06-21,40,",
    )

    assert found.old == ("Kind Bunny tail", "Counted stems of Bunny tail")
    assert variety(desk).colour == "green"  # type: ignore[attr-defined]
    assert "k2" not in {row.key for row in desk.store.farm().known_stems}


def test_what_was_changed_here_and_there_is_named_and_somebody_says_who_wins(desk: Desk, brings: Brings) -> None:
    changed(desk, "varieties", "lagurus", colour="green")
    tables = {"varieties": "key,name,colour\nlagurus,Bunny tail,pink\nnigella,Love-in-a-mist,white"}
    version = desk.store.version()

    with pytest.raises(FolderConflicts, match=r"Kind Bunny tail\. Nothing was written"):
        brings(**tables)
    assert desk.store.version() == version
    won = brings(Wins.FARM, **tables)
    assert won.farm_won == ("Kind Bunny tail",)
    assert [row.colour for row in desk.store.farm().varieties] == ["green", "white"]
    brings(Wins.FOLDER, **tables)
    assert [row.colour for row in desk.store.farm().varieties] == ["pink", "white"]


def test_after_an_export_what_was_changed_before_it_is_an_edit_and_no_conflict(
    desk: Desk, brings: Brings, tmp_path: Path
) -> None:
    changed(desk, "varieties", "lagurus", colour="green")
    export_farm(desk.store, tmp_path / "out", now=NOW)
    brings(varieties="key,name,colour\nlagurus,Bunny tail,pink")

    assert variety(desk).colour == "pink"  # type: ignore[attr-defined]


def test_a_known_record_that_says_otherwise_is_a_correction_and_the_same_folder_again_says_nothing(
    desk: Desk, brings: Brings
) -> None:
    frost = "key,date,kind,note\nr1,2027-06-13,frost,early"
    brings(records=frost)
    for _again in range(2):
        brings(records="key,date,kind,note\nr1,2027-06-12,frost,early")

    records = desk.store.farm().records
    assert [(row.key, str(row.date), row.corrects) for row in records] == [
        ("r1", "2027-06-13", None),
        ("r1.2", "2027-06-12", "r1"),
    ]


def test_status_and_hold_never_go_backwards_and_a_standing_order_may_pause_and_run_again(
    desk: Desk, brings: Brings
) -> None:
    batch = "key,variety,sow_date,status\nb1,lagurus,2027-05-01,{}"
    brings(batches=batch.format("planted"))
    found = brings(batches=batch.format("sown"))
    assert found.stays == ("Batch of Bunny tail",)
    assert [str(row.status) for row in desk.store.farm().batches] == ["planted"]

    head = "key,customer,weekday,first_week,last_week,status\nanna-weekly,anna,tue,2027-W24,2027-W25,"
    for status in ("paused", "active"):
        brings(Wins.FOLDER, standing_orders=head + status)
        assert [str(row.status) for row in desk.store.farm().standing_orders] == [status]


def test_new_demand_is_judged_all_together_and_refused_by_name(desk: Desk, brings: Brings) -> None:
    order = "key,customer,kind,due_date,committed_on,status"
    orders = (
        f"{order}\none,bram,one_off,2027-06-18,2027-06-01,contracted\ntwo,anna,one_off,2027-06-18,2027-06-02,contracted"
    )
    lines = "key,order,stems,product\none-1,one,20,lagurus\ntwo-1,two,{},lagurus"
    version = desk.store.version()

    with pytest.raises(FolderNotPromised, match="Order of Studio Anna Verhoeven: ") as refusal:
        brings(orders=orders, order_lines=lines.format(25))
    assert len(refusal.value.facts["orders"]) == 1  # type: ignore[arg-type]
    assert desk.store.version() == version
    brings(orders=orders, order_lines=lines.format(12))
    assert {row.key for row in desk.store.farm().orders} == {"one", "two"}


def test_quotes_books_and_the_journal_stay_whatever_the_folder_says(desk: Desk, brings: Brings) -> None:
    asked = QuoteAsked(date(2027, 6, 20), customer="bram", lines=(OrderLine("", "", 10, Product("lagurus")),))
    quote = done(desk, lambda work: quote_wedding(desk, work, asked)).order.key
    done(desk, lambda work: contract_quote(desk, work, quote))
    entries, promises = desk.store.entries(), desk.store.promises()
    brings(customers="key,name,notice_days\nbram,Bram's corner,5")

    assert desk.store.entries()[: len(entries)] == entries and desk.store.entries()[-1].kind == BROUGHT
    assert desk.store.promises() == promises
    assert [row.key for row in desk.store.farm().orders] == [quote]
    done(desk, lambda work: cancel_quote(desk, work, quote))


def test_settings_that_the_folder_leaves_out_stay(desk: Desk, brings: Brings) -> None:
    brings(site='format = 1\nname = "Another name"\nlatitude = 52.1')

    site = desk.store.farm().site
    assert (site.name, site.timezone) == ("Another name", "Europe/Amsterdam")


def test_days_of_temperature_come_in_their_order(desk: Desk, brings: Brings) -> None:
    brings(temperatures="date,min_c,max_c\n2027-06-10,8,20")
    brings(temperatures="date,min_c,max_c\n2027-06-08,7,19\n2027-06-11,9,21")

    assert [row.date.day for row in desk.store.farm().temperatures] == [8, 10, 11]
    assert rebuilt_farm(desk.store.entries()).temperatures == desk.store.farm().temperatures


def test_a_row_may_name_one_that_only_the_farm_has(desk: Desk, brings: Brings) -> None:
    brings(known_stems="key,product,ready_date,stems\nk9,nigella,2027-06-20,15")

    assert "k9" in {row.key for row in desk.store.farm().known_stems}
    done(desk, lambda work: add_row(desk, work, RowAsked("beds", {"key": "x", "name": "X"})))
