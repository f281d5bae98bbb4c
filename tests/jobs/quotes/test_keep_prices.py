"""Lines take the list's price once: when they come in, when they are quoted or held; afterwards the list may change."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from alembic import command

from haulm.farm.orders import OrderLine, StandingLine
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.words import OrderKind, PriceFrom
from haulm.farm_folder.faults import FolderRefused
from haulm.farm_folder.writer import write_folder
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_rows import RowAsked, add_row, change_row
from haulm.jobs.farm.import_farm import import_farm
from haulm.jobs.promises.change_quote import change_quote
from haulm.jobs.promises.hold_quote import contract_quote, hold_quote
from haulm.jobs.promises.quote_wedding import Quote, QuoteAsked, quote_wedding
from haulm.jobs.promises.show_quote import show_quote
from haulm.jobs.quotes.keep_prices import keep_prices
from haulm.store import migrations
from haulm.store.engine import database_engine, database_url, writing
from haulm.store.store import Store
from haulm.store.unit_of_work import UnitOfWork
from haulm.store.upgrading import alembic_config
from support.desks import NOW
from support.known_farm import PARTY, known_farm

OpenDesk = Callable[[dict[str, bytes]], Desk]
BEFORE_KEPT_PRICES = "0006"
FRIDAY = date(2027, 6, 18)


@pytest.fixture
def desk(open_desk: OpenDesk) -> Desk:
    """Anna's standing line and the lines of two parties of bram's, of lagurus at 4.50 for a bunch of 10."""
    return open_desk(known_farm(**PARTY))


def done(desk: Desk, job: Callable[[UnitOfWork], object]) -> object:
    """One job, saved."""
    with desk.store.unit_of_work(actor="owner", now=NOW) as work:
        found = job(work)
        work.save()
    return found


def line_of(desk: Desk, key: str) -> StandingLine | OrderLine:
    farm = desk.store.farm()
    lines: dict[str, StandingLine | OrderLine] = {line.key: line for line in farm.standing_lines}
    return {**lines, **{line.key: line for line in farm.order_lines}}[key]


def price(desk: Desk, key: str) -> tuple[int | None, int | None, str]:
    """What a line keeps."""
    line = line_of(desk, key)
    return line.bunch_price_minor, line.bunch_stems, str(line.price_from)


def dearer(desk: Desk, tmp_path: Path, *, minor: int = 990, **changes: object) -> None:
    """The farm's folder comes in again with another price of lagurus, and lines that say nothing of theirs."""
    farm = desk.store.farm()
    varieties = tuple(replace(one, price_minor=minor) if one.key == "lagurus" else one for one in farm.varieties)
    bare = {"bunch_price_minor": None, "bunch_stems": None, "price_from": PriceFrom.AGREED}
    lines = {
        name: tuple(replace(one, **bare) for one in getattr(farm, name)) for name in ("standing_lines", "order_lines")
    }
    write_folder(replace(farm, varieties=varieties, **lines, **changes), tmp_path / "again")  # type: ignore[arg-type]
    import_farm(desk.store, tmp_path / "again", replace=True, actor="test", now=NOW)


def quoted(desk: Desk, stems: int = 10) -> Quote:
    asked = QuoteAsked(
        FRIDAY, lines=(OrderLine("", "", stems, Product("lagurus")),), customer="bram", kind=OrderKind.ONE_OFF
    )
    found = done(desk, lambda work: quote_wedding(desk, work, asked))
    assert isinstance(found, Quote)
    return found


def test_lines_that_come_in_with_a_folder_keep_the_lists_price(desk: Desk) -> None:
    assert {price(desk, key) for key in ("anna-1", "party-1", "late-1")} == {(450, 10, "list")}


def test_a_later_list_moves_no_line_that_keeps_its_price(desk: Desk, tmp_path: Path) -> None:
    dearer(desk, tmp_path)

    assert {price(desk, key) for key in ("anna-1", "party-1", "late-1")} == {(450, 10, "list")}
    done(desk, lambda work: add_row(desk, work, RowAsked("standing_lines", new_line())))
    assert price(desk, "anna-2") == (990, 10, "list")


def new_line(**values: object) -> dict[str, object]:
    return {"key": "anna-2", "order": "anna-weekly", "stems": 5, "product": "lagurus", **values}


def changed(desk: Desk, key: str, **values: object) -> None:
    collection = "standing_lines" if key.startswith("anna") else "order_lines"
    done(desk, lambda work: change_row(desk, work, key, RowAsked(collection, values), expected=None))


def test_a_price_can_be_agreed_changed_and_taken_back(desk: Desk, tmp_path: Path) -> None:
    changed(desk, "anna-1", bunch_price_minor=400)
    assert price(desk, "anna-1") == (400, 10, "agreed")

    dearer(desk, tmp_path)
    changed(desk, "anna-1", stems=20)
    assert price(desk, "anna-1") == (400, 10, "agreed")

    changed(desk, "anna-1", bunch_price_minor=None)
    assert price(desk, "anna-1") == (990, 10, "list")


def test_a_line_that_asks_another_kind_takes_its_price_unless_one_is_said(desk: Desk) -> None:
    changed(desk, "anna-1", product="nigella")
    assert price(desk, "anna-1") == (500, 10, "list")

    changed(desk, "anna-1", product="lagurus", bunch_price_minor=420, bunch_stems=12)
    assert price(desk, "anna-1") == (420, 12, "agreed")


def test_a_price_needs_the_stems_of_its_bunch(desk: Desk) -> None:
    with pytest.raises(FolderRefused, match="bunch_stems: found nothing; accepted is the stems of the bunch"):
        done(desk, lambda work: add_row(desk, work, RowAsked("standing_lines", new_line(bunch_price_minor=400))))


def test_a_quote_keeps_its_price_through_hold_and_contract(desk: Desk, tmp_path: Path) -> None:
    made = quoted(desk)
    key = made.order.key
    assert (made.version.price.total_minor, price(desk, f"{key}-1")) == (450, (450, 10, "list"))

    dearer(desk, tmp_path)
    done(desk, lambda work: hold_quote(desk, work, key, FRIDAY))
    done(desk, lambda work: contract_quote(desk, work, key))

    assert price(desk, f"{key}-1") == (450, 10, "list")


def test_what_is_held_keeps_its_price_for_other_numbers_and_what_is_not_takes_the_lists(
    desk: Desk, tmp_path: Path
) -> None:
    held, loose = quoted(desk, 5).order.key, quoted(desk, 5).order.key
    done(desk, lambda work: hold_quote(desk, work, held, FRIDAY))
    dearer(desk, tmp_path)

    totals = {}
    for key in (held, loose):
        asked = QuoteAsked(FRIDAY, lines=(OrderLine("", "", 7, Product("lagurus")),), kind=OrderKind.ONE_OFF)
        found = done(desk, lambda work, key=key, asked=asked: change_quote(desk, work, key, asked))  # type: ignore[misc]
        totals[key] = found.version.price.total_minor  # type: ignore[attr-defined]

    assert (totals[held], totals[loose]) == (315, 693)


def test_an_order_that_came_with_a_folder_is_shown_at_the_price_it_keeps(desk: Desk, tmp_path: Path) -> None:
    before = show_quote(desk, "party").version.price.total_minor
    dearer(desk, tmp_path)

    assert before == show_quote(desk, "party").version.price.total_minor == 1125  # 25 stems


def test_a_price_from_a_week_on_is_taken_by_lines_of_that_week(open_desk: OpenDesk) -> None:
    prices = """
        product,price_minor,first_week
        lagurus,600,2027-W25
        lagurus,480,
        """
    desk = open_desk(known_farm(**PARTY, prices=prices))

    assert price(desk, "party-1") == (480, 10, "list")  # due in week 24
    assert price(desk, "late-1") == (600, 10, "list")  # due in week 26
    assert price(desk, "anna-1") == (480, 10, "list")  # weeks 24 and 25


def test_lines_without_a_price_take_the_lists_at_the_next_start_and_once(desk: Desk) -> None:
    def forgotten(work: UnitOfWork) -> None:
        bare = {"bunch_price_minor": None, "bunch_stems": None, "price_from": PriceFrom.AGREED}
        work.put(replace(desk.store.farm().standing_lines[0], **bare))  # type: ignore[arg-type]

    done(desk, forgotten)
    assert price(desk, "anna-1") == (None, None, "agreed")

    assert (keep_prices(desk), keep_prices(desk)) == (1, 0)
    assert price(desk, "anna-1") == (450, 10, "list")


def test_there_is_nothing_to_keep_without_a_farm(desk: Desk, tmp_path: Path) -> None:
    store = Store.open(f"sqlite:///{tmp_path / 'none.db'}")
    store.migrate()

    assert keep_prices(replace(desk, store=store)) == 0
    store.close()


def test_a_database_of_an_older_version_holds_its_prices_from_its_first_start_on(desk: Desk, tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'farm.db'}"
    farm_before = desk.store.farm()
    desk.store.close()
    older_and_back(url)
    store = Store.open(url)
    again = replace(desk, store=store)

    assert price(again, "anna-1") == price(again, "party-1") == (None, None, "agreed")
    assert keep_prices(again) == 3
    assert rows(store.farm()) == rows(farm_before)
    store.close()


def older_and_back(url: str) -> None:
    """The tables as they were before lines kept a price, and up to date again."""
    engine = database_engine(database_url(url), foreign_keys=False)
    with writing(engine) as connection, connection.begin():
        config = alembic_config(migrations.SCHEMA_FOLDER)
        config.attributes["connection"] = connection
        command.downgrade(config, BEFORE_KEPT_PRICES)
    engine.dispose()
    migrations.migrate(database_url(url))


def rows(farm: Farm) -> tuple[object, ...]:
    return farm.standing_lines, farm.order_lines, farm.prices
