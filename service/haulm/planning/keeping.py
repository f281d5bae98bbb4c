"""The farm's rules of cutting and keeping, with every crop's values filled in, as the match reads them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from haulm.crop_library.library import crop_for
from haulm.farm.products import Product
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Crop
from haulm.farm.words import Form
from haulm.matching.supply import Keeping, ProductKeeping


def crops_of(farm: Farm) -> dict[str, Crop]:
    """Every variety of the farm with its defaults filled in."""
    return {variety.key: crop_for(variety) for variety in farm.varieties}


def keeping_of(farm: Farm, crops: Mapping[str, Crop], today: date) -> Keeping:
    """The rules of the match for this farm and day."""
    products = {
        Product(key, form): ProductKeeping(crop.hold_days, crop.field_life, crop.role, crop.colour, crop.kind)
        for key, crop in crops.items()
        for form in Form
    }
    return Keeping(farm.site.cut_weekdays, today, farm.site.condition_days, products)
