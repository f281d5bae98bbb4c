"""Where the farm lies, by name: the places that are meant, and the months and frost days proposed for one of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from haulm.crop_library.library import carried_climates
from haulm.errors import NotAccepted, NotFound
from haulm.farm.limits import Limits
from haulm.forecast.frost_dates import usual_frost_dates
from haulm.forecast.inputs import Climate, DateLevels, MonthlyNormals, Setting
from haulm.forecast.supply import forecast
from haulm.gazetteer.ground import ground_at
from haulm.gazetteer.places import Place, place_numbered
from haulm.horticulture.nearest_climate import ProposedClimate, Spot, nearest_climate
from haulm.language.words import _

HEIGHTS_M = Limits(-50, 4000)
"""How high flowers are grown [m]."""
_SEASONS = 1
"""A frost date is read from the weather years, which the seasons are drawn from: one is enough."""
_SHORE_KM = 8


@dataclass(frozen=True, slots=True)
class ProposedPlace:
    """What is proposed for a farm at a place, for her to look at and correct.

    Attributes:
        place: the place of the gazetteer.
        height_m: the height that was reckoned with.
        height_said: whether she said it; else it is the usual height of places about there.
        sea_km: how far the sea is.
        climate: the months, and what they rest on.
        last_frost, first_frost: of spring and autumn, worked out from the months as the forecast does; None where most
            winters have none.
    """

    place: Place
    height_m: int
    height_said: bool
    sea_km: int
    climate: ProposedClimate
    last_frost: DateLevels | None
    first_frost: DateLevels | None

    @property
    def by_the_sea(self) -> bool:
        """Whether it lies so near the sea that its distance is not worth saying."""
        return self.sea_km <= _SHORE_KM


def propose_place(number: int, today: date, *, height_m: int | None = None) -> ProposedPlace:
    """The climate proposed for a place of the gazetteer.

    Args:
        number: the place's number.
        today: the day, for the years of the calendar.
        height_m: how high the farm lies, where she says so.

    Raises:
        NotFound: the gazetteer has no such place.
        NotAccepted: the height is none at which flowers are grown, or the place lies where no climate is carried for.
    """
    place = place_numbered(number)
    if place is None:
        raise NotFound(kind=_("place"), key=str(number))
    ground = ground_at(place.latitude_deg, place.longitude_deg)
    if ground is None:
        accepted = _("a place between 60 degrees south and 72 degrees north")
        raise NotAccepted(where=_("the place"), found=f"'{place.words}'", accepted=accepted)
    if height_m is not None and not HEIGHTS_M.hold(height_m):
        raise NotAccepted(
            where=_("the height"),
            found=f"'{height_m}'",
            accepted=_("metres, {range}").format(range=HEIGHTS_M.sentence),
        )
    height = height_m if height_m is not None else (ground.height_m or 0)
    spot = Spot(place.latitude_deg, place.longitude_deg, height, ground.sea_km)
    found = nearest_climate(spot, carried_climates())
    last, first = frosts_of(place.latitude_deg, (found.min_c, found.max_c), today)
    return ProposedPlace(place, height, height_m is not None, ground.sea_km, found, last, first)


def frosts_of(
    latitude_deg: float, months: tuple[tuple[float, ...], tuple[float, ...]], today: date
) -> tuple[DateLevels | None, DateLevels | None]:
    """The last frost of spring and the first of autumn that monthly means of lows and highs amount to."""
    climate = Climate(normals=MonthlyNormals(*months))
    made = forecast([], climate, Setting(latitude_deg, today, seasons=_SEASONS))
    assert made.seasons is not None, "months are a climate"
    return usual_frost_dates(made.seasons)
