"""How a past year was grown, where its row does not say so: a matter of the kind and the day alone, never of the plan.

What is known of the past must not change with what is planned: a batch that is added tells nothing of last year.
"""

from __future__ import annotations

from functools import partial

from haulm.advice.options.candidates import sowing_rules
from haulm.crop_library.library import library
from haulm.farm.past_years import PastYear
from haulm.farm.site import Site
from haulm.farm.varieties import Crop
from haulm.farm.words import LifeCycle, Method
from haulm.horticulture.sowing_windows import sowable

_HARDY = (Method.COVER, Method.DIRECT)
_METHODS = {
    LifeCycle.HARDY_ANNUAL: _HARDY,
    LifeCycle.BIENNIAL: _HARDY,
    LifeCycle.HALF_HARDY_ANNUAL: (Method.HEATED, *_HARDY),
    LifeCycle.TENDER_ANNUAL: (Method.HEATED, *_HARDY),
}
"""How kinds that the crop library does not know are sown, the most usual first (common practice)."""


def method_of(site: Site, row: PastYear, crop: Crop) -> Method:
    """How a past year was grown: as its row says, else in the usual way of its kind.

    Perennials and woody plants stand already, and so do bulbs that need a winter: planted the autumn before or
    earlier. Other bulbs and tubers are planted. What is sown is sown by the first of its kind's methods that was in
    season on its day, by the first of all where none was or the day is not known.

    Args:
        site: for its seasons and daylight.
        row: the past year.
        crop: the variety it is about, or the first of its kind.

    Source: the crop library's methods of a kind, the most usual first; common practice.
    """
    if row.method is not None:
        return row.method
    if crop.life_cycle is LifeCycle.PERENNIAL:
        return Method.ESTABLISHED
    if crop.life_cycle is LifeCycle.BULB_TUBER:
        return Method.TUBER if crop.cold is None else Method.ESTABLISHED
    return _sown(site, row, crop)


def is_dated(site: Site, row: PastYear, crop: Crop) -> bool:
    """Whether it is known from when a row's first cut counts: from its sowing, or it stood there already."""
    return row.sow_date is not None or method_of(site, row, crop) is Method.ESTABLISHED


def _sown(site: Site, row: PastYear, crop: Crop) -> Method:
    known = None if crop.library_kind is None else library()[crop.library_kind]
    is_so = known is not None and known.life_cycle is crop.life_cycle
    methods = known.methods if known is not None and is_so else _METHODS[crop.life_cycle]
    if row.sow_date is None:
        return methods[0]
    in_season = partial(
        sowable,
        day=row.sow_date,
        life_cycle=crop.life_cycle,
        latitude_deg=site.latitude,
        rules=sowing_rules(site, crop.life_cycle),
    )
    return next(filter(in_season, methods), methods[0])
