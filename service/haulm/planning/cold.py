"""Kinds that wait for winter where winters are too mild for them: said to the grower before they are counted on."""

from __future__ import annotations

from datetime import date

from haulm.evidence.climate import climate_of
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.forecast.inputs import Setting
from haulm.forecast.spring import ColdLacking
from haulm.forecast.supply import forecast
from haulm.language.words import _
from haulm.planning.growth import sowing_of
from haulm.planning.keeping import crops_of

_SEASONS = 1


def cold_words(crop: Crop, lacking: ColdLacking) -> str:
    """Why a kind gives no stems, in words: `no Tulip from the open ground here: 40 of 90 cold days`."""
    return _("no {name} from the open ground here: {had} of {needed} cold days").format(
        name=crop.name, had=lacking.had, needed=lacking.needed
    )


def cold_warnings(farm: Farm, today: date) -> tuple[str, ...]:
    """A sentence for each kind that grows on the farm and gets too little cold, each once; none without a climate."""
    crops = crops_of(farm)
    waiting = [batch for batch in farm.batches if crops[batch.variety].cold is not None]
    if not waiting:
        return ()
    made = forecast([], climate_of(farm), Setting(farm.site.latitude, today, seasons=_SEASONS))
    found: dict[str, None] = {}
    for batch in waiting:
        sowing = sowing_of(farm, batch, crops[batch.variety])
        if (lacking := made.cold_lacking(sowing)) is not None:
            words = cold_words(sowing.crop, lacking)
            found[f"{words[0].upper()}{words[1:]} in the usual winter."] = None
    return tuple(found)
