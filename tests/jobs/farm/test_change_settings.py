"""Settings are changed all or none, written only where they are another, and the first of them begin a farm."""

from dataclasses import replace
from pathlib import Path

import pytest

from haulm.farm.site import Site
from haulm.farm_folder.faults import FolderRefused
from haulm.jobs.desk.desk import Desk
from haulm.jobs.farm.change_settings import SETTINGS_CHANGED, change_settings
from support.desks import NOW, done, sqlite_store


def test_a_changed_setting_is_written_with_an_entry_of_its_own(desk: Desk) -> None:
    site = replace(desk.store.farm().site, wedding_days_ahead=3)

    done(desk, lambda work: change_settings(work, site))

    assert desk.store.farm().site.wedding_days_ahead == 3
    assert desk.store.entries()[-1].kind == SETTINGS_CHANGED


def test_the_same_settings_again_write_nothing(desk: Desk) -> None:
    before = desk.store.next_seq()

    done(desk, lambda work: change_settings(work, work.farm.site))

    assert desk.store.next_seq() == before


def test_a_setting_that_is_not_accepted_refuses_all(desk: Desk) -> None:
    site = replace(desk.store.farm().site, wedding_days_ahead=3, latitude=200.0)

    with pytest.raises(FolderRefused):
        done(desk, lambda work: change_settings(work, site))

    assert desk.store.farm().site.wedding_days_ahead == 2


def test_the_first_settings_begin_a_farm(tmp_path: Path) -> None:
    store = sqlite_store(tmp_path)
    with store.unit_of_work(actor="owner", now=NOW) as work:
        change_settings(work, Site("Westmoor", 52.0), is_first=True)
        work.save()

    assert store.farm().site.name == "Westmoor" and store.farm().varieties == ()
    store.close()
