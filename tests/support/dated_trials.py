"""Published trials with a sowing or planting date and a date of first flower, and the climate each is judged in.

Where no daily series of the place is at hand, its monthly means stand in, from memory to about half a degree, and say
so. A trial in a tunnel stands under cover. Only dates are judged; stems are not.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from haulm.crop_library.library import crop_for, library
from haulm.farm.varieties import Variety
from haulm.farm.words import BatchStatus, Form, Method
from haulm.forecast.inputs import Climate, MonthlyNormals, Setting, Sowing
from haulm.forecast.percentiles import quantiles
from haulm.forecast.supply import forecast
from support.open_weather import series

FROM_MEMORY = "monthly means from memory"


@dataclass(frozen=True, slots=True)
class Site:
    """Latitude [deg], climate, and where the climate comes from."""

    latitude_deg: float
    climate: Climate
    weather_from: str


@dataclass(frozen=True, slots=True)
class Trial:
    """One published trial.

    `first`, `last`: the published date of first flower, or the ends of the published stretch; its middle is judged.
    `is_limit`: only an upper limit is published, `last`; the interval has to begin before it.
    `start_last`: where the start is told as a stretch, its last day; every start in it is as likely.
    `is_advice`: a grower's guide says it, no trial is named.
    """

    what: str
    kind: str
    site: str
    method: Method
    start: date
    first: date
    last: date
    source: str
    tunnel: bool = False
    is_limit: bool = False
    start_last: date | None = None
    is_advice: bool = False

    @property
    def middle(self) -> date:
        """The day that is judged."""
        return self.first + (self.last - self.first) / 2


@dataclass(frozen=True, slots=True)
class Judged:
    """A trial with the forecast's 95 % interval and median."""

    trial: Trial
    low: date
    median: date
    high: date

    @property
    def is_inside(self) -> bool:
        """Whether the published date lies in the interval."""
        if self.trial.is_limit:
            return self.low <= self.trial.last
        return self.low <= self.trial.middle <= self.high


def _normals(lows: str, highs: str) -> Climate:
    low, high = (tuple(float(value) for value in text.split()) for text in (lows, highs))
    return Climate(normals=MonthlyNormals(low, high))


def sites() -> dict[str, Site]:
    """The places of the trials."""
    return {
        "Lincolnshire": Site(52.8, Climate(daily=series("cambridge")), "daily series of Cambridge, 80 km south"),
        "England": Site(52.2, Climate(daily=series("cambridge")), "daily series of Cambridge; the place is not told"),
        "Logan, Utah": Site(
            41.8,
            _normals("-9 -7 -2 1 5 9 13 12 8 2 -3 -8", "0 3 10 15 21 27 32 31 25 17 8 1"),
            FROM_MEMORY,
        ),
        "Ithaca, New York": Site(
            42.4,
            _normals("-9 -9 -5 1 6 12 14 13 9 4 -1 -6", "0 1 6 13 19 24 27 26 21 14 8 2"),
            FROM_MEMORY,
        ),
        "Bushland, Texas": Site(
            35.2,
            _normals("-6 -4 0 5 10 16 18 18 13 7 0 -5", "10 13 17 22 27 32 33 32 28 22 16 10"),
            FROM_MEMORY,
        ),
        "Ireland": Site(
            53.3,
            _normals("2 2 3 4 7 10 12 11 10 7 4 3", "8 8 10 12 15 18 19 19 17 14 10 8"),
            FROM_MEMORY,
        ),
        "Kerala": Site(
            10.5,
            _normals("22 23 24 25 25 23 23 23 23 23 23 22", "33 35 36 35 34 30 29 30 31 32 32 32"),
            FROM_MEMORY,
        ),
        "Lincoln, New Zealand": Site(
            -43.6,
            _normals("12 12 10 8 5 2 2 3 5 7 9 11", "23 22 20 18 15 12 11 13 15 17 19 21"),
            FROM_MEMORY,
        ),
    }


GRASS_SHEET = "AHDB Cut Flower Centre, Ornamental grasses suitable for use as fillers in mixed bouquets"
SNAPS = "Lewis and co-authors, Utah State University, ASHS journals (abstract), trials of 2018 and 2019"
SUNS = "Wien, Cultural Practices Studies with Cut Flowers 2007, Cut Flower Quarterly, winter 2008"
PATCH = "thecutflowerpatch.co.uk, sowing and growing update of 7 July 2022"
STOCKS = "thecutflowercentre.co.uk, updates of weeks 30 and 31, 2019"

TRIALS = (
    Trial(
        "grasses drilled in the open in week 18, first stems in week 32",
        "bromus_secalinus",
        "Lincolnshire",
        Method.DIRECT,
        date(2018, 5, 2),
        date(2018, 8, 6),
        date(2018, 8, 12),
        GRASS_SHEET,
    ),
    Trial(
        "the same grasses from plugs in weeks 16 to 17, stems within 10 weeks",
        "panicum_elegans",
        "Lincolnshire",
        Method.PLUGS,
        date(2018, 4, 23),
        date(2018, 6, 18),
        date(2018, 7, 2),
        GRASS_SHEET,
        is_limit=True,
        tunnel=True,
    ),
    Trial(
        "larkspur sown 15 March, 120 to 140 days",
        "larkspur",
        "England",
        Method.DIRECT,
        date(2018, 3, 15),
        date(2018, 7, 13),
        date(2018, 8, 2),
        "Takii, Consolida Cannes culture sheet",
        is_advice=True,
    ),
    Trial(
        "snapdragon planted early February in a tunnel, first on 4 May",
        "snapdragon",
        "Logan, Utah",
        Method.PLUGS,
        date(2018, 2, 8),
        date(2018, 5, 4),
        date(2018, 5, 4),
        SNAPS,
        tunnel=True,
    ),
    Trial(
        "the same a year later, first on 6 May",
        "snapdragon",
        "Logan, Utah",
        Method.PLUGS,
        date(2019, 2, 8),
        date(2019, 5, 6),
        date(2019, 5, 6),
        SNAPS,
        tunnel=True,
    ),
    Trial(
        "snapdragon planted mid-April in the field, 5 to 8 weeks after the tunnel",
        "snapdragon",
        "Logan, Utah",
        Method.PLUGS,
        date(2018, 4, 15),
        date(2018, 6, 8),
        date(2018, 7, 1),
        SNAPS,
    ),
    Trial(
        "sunflower sown 15 May, seedlings in 12-hour days, 53 days",
        "sunflower_single",
        "Ithaca, New York",
        Method.DIRECT,
        date(2006, 5, 15),
        date(2006, 7, 7),
        date(2006, 7, 7),
        SUNS,
    ),
    Trial(
        "sunflower sown 15 May, seedlings in 16-hour days, 70 days",
        "sunflower_single",
        "Ithaca, New York",
        Method.DIRECT,
        date(2006, 5, 15),
        date(2006, 7, 24),
        date(2006, 7, 24),
        SUNS,
    ),
    Trial(
        "sunflower sown in week 27, most in flower in weeks 35 and 36",
        "sunflower_single",
        "Lincolnshire",
        Method.DIRECT,
        date(2018, 7, 4),
        date(2018, 8, 27),
        date(2018, 9, 9),
        "thecutflowercentre.co.uk, update of weeks 35 and 36 (year not told)",
    ),
    Trial(
        "sunflower sown mid-June to late July, 59 days to half in flower",
        "sunflower_single",
        "Bushland, Texas",
        Method.DIRECT,
        date(1977, 7, 1),
        date(1977, 8, 29),
        date(1977, 8, 29),
        "Unger 1980, Agronomy Journal 72(6)",
    ),
    Trial(
        "sunflower planted end of April, mid-July to early August",
        "sunflower_single",
        "Ireland",
        Method.DIRECT,
        date(2018, 4, 28),
        date(2018, 7, 15),
        date(2018, 8, 5),
        "Whelton, Teagasc, Horticulture Connected",
        is_advice=True,
    ),
    Trial(
        "stock planted in a tunnel in week 23, full flower in week 30",
        "stock",
        "Lincolnshire",
        Method.PLUGS,
        date(2019, 6, 5),
        date(2019, 7, 22),
        date(2019, 7, 28),
        STOCKS,
        tunnel=True,
    ),
    Trial(
        "stock planted in a tunnel in week 25, in flower in week 31",
        "stock",
        "Lincolnshire",
        Method.PLUGS,
        date(2019, 6, 19),
        date(2019, 7, 29),
        date(2019, 8, 4),
        STOCKS,
        tunnel=True,
    ),
    Trial(
        "gladiolus planted 1 April, 60 to 90 days",
        "gladiolus",
        "Kerala",
        Method.TUBER,
        date(2018, 4, 1),
        date(2018, 5, 31),
        date(2018, 6, 30),
        "Kerala Agricultural University, Agritech portal",
        is_advice=True,
    ),
    Trial(
        "gladiolus, the first 77 days after planting, seen on 4 August 2018",
        "gladiolus",
        "England",
        Method.TUBER,
        date(2018, 5, 19),
        date(2018, 8, 4),
        date(2018, 8, 4),
        "growingshowingandgladioli.wordpress.com, 4 August 2018",
    ),
    Trial(
        "calendula drilled in November 1997, first harvest early February",
        "calendula",
        "Lincoln, New Zealand",
        Method.DIRECT,
        date(1997, 11, 1),
        date(1998, 2, 1),
        date(1998, 2, 8),
        "Martin and Deo 2000, NZ J. Crop Hort. Sci. 28, 37-44",
        start_last=date(1997, 11, 30),
    ),
    Trial(
        "sweet pea sown in mid-January, picked from about 30 June",
        "sweet_pea",
        "England",
        Method.HEATED,
        date(2022, 1, 13),
        date(2022, 6, 30),
        date(2022, 6, 30),
        PATCH,
    ),
    Trial(
        "godetia sown in mid-January, picked from about 27 June",
        "clarkia",
        "England",
        Method.HEATED,
        date(2022, 1, 13),
        date(2022, 6, 27),
        date(2022, 6, 27),
        PATCH,
    ),
)


def judged() -> list[Judged]:
    """Every trial with what the forecast, asked on the day of the start, says of it."""
    known = sites()
    return [_judged(trial, known[trial.site]) for trial in TRIALS]


def _judged(trial: Trial, site: Site) -> Judged:
    last = trial.start_last or trial.start
    starts = sorted({trial.start + (last - trial.start) * step // 4 for step in range(5)})
    days = np.concatenate([_first_days(trial, site, start) for start in starts])[None, :]
    found = quantiles(days, (0.025, 0.5, 0.975))[:, 0]
    low, median, high = (date.fromordinal(round(float(day))) for day in found)
    return Judged(trial, low, median, high)


def _first_days(trial: Trial, site: Site, start: date) -> npt.NDArray[np.int64]:
    """First-flower days as ordinals, asked on the day of the start, shape (seasons,)."""
    kind = library()[trial.kind]
    crop = crop_for(Variety(kind.key, kind.name, botanical_name=kind.botanical_name))
    planted = trial.method is Method.PLUGS
    batch = Sowing(
        trial.what,
        kind.key,
        crop,
        trial.method,
        Form.FRESH,
        BatchStatus.PLANTED if planted else BatchStatus.SOWN,
        None if planted else start,
        100,
        80,
        plant_out_date=start if planted else None,
        tunnel=trial.tunnel,
    )
    made = forecast([batch], site.climate, Setting(site.latitude_deg, start, seasons=2000, seed=5))
    assert made.seasons is not None
    return made.latents[0].first_day.astype(np.int64) + made.seasons.span.first.toordinal()
