"""Change the farm's settings, all or none; on an empty database the first of them begin the farm."""

from __future__ import annotations

from haulm.farm.site import Site
from haulm.farm.site_checks import site_faults
from haulm.farm.snapshot import Farm
from haulm.farm_folder.faults import FolderRefused
from haulm.store.unit_of_work import UnitOfWork

SETTINGS_CHANGED = "settings-changed"


def change_settings(work: UnitOfWork, site: Site, *, is_first: bool = False) -> Site:
    """Write the settings of the farm.

    Args:
        work: the unit of work.
        site: the settings as they are to be.
        is_first: whether there is no farm yet, and this begins it.

    Raises:
        FolderRefused: a setting is not accepted.
    """
    faults = site_faults(site)
    if faults:
        raise FolderRefused(faults=faults)
    if is_first:
        work.replace_farm(Farm(site))
        return site
    if site != work.farm.site:
        entry = work.enter(SETTINGS_CHANGED, "farm")
        work.site(site, entry=entry)
    return site
