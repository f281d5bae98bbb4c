"""The benchmark of the forecast: 250 batches of 60 products over 2,000 seasons, numpy only.

    python tests/benchmarks/forecast.py

Nothing passes or fails here; read ratios, not seconds (of the processor, so that other work on the machine counts
less). The peer is one fresh write of the array [60, 2000, 365] float32: what a forecast by days would have to write
once, whatever it computes. Rounds of ours and of the peer alternate.
"""

from __future__ import annotations

import resource
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from statistics import median

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from haulm.evidence.climate import climate_of
from haulm.evidence.seen import seen
from haulm.farm.products import Product
from haulm.farm.varieties import LengthShare
from haulm.forecast.doubt_sizes import BAD_SHARE, DEAD_LOT_SHARE
from haulm.forecast.inputs import Climate, Evidence, Setting, Sowing
from haulm.forecast.percentiles import quantiles
from haulm.forecast.supply import Forecast, forecast
from haulm.planning.growth import sowing_of
from haulm.planning.keeping import crops_of
from support.large_farm import large_farm

LATITUDE = 51.0
FIRST_DAY, DAYS = date(2027, 1, 1), 365
IN_SPRING, IN_SUMMER = date(2027, 3, 15), date(2027, 7, 20)
WINDOW_DAYS = 7
DOUBT = {"bad_share": BAD_SHARE, "dead_lot_share": DEAD_LOT_SHARE}
LEVEL = 0.2


def main() -> None:
    """Print the table."""
    sowings, climate = batches()
    setting = Setting(LATITUDE, IN_SPRING, **DOUBT)
    found = forecast(sowings, climate, setting)
    say(f"{len(sowings)} batches, {len(found.products)} products, {setting.seasons} seasons, {DAYS} days")
    drawn = both(lambda: forecast(sowings, climate, setting))
    spread = both(lambda: spread_out(found))
    whole = both(lambda: spread_out(forecast(sowings, climate, setting)))
    by_length = forecast(graded(sowings), climate, setting)
    in_classes = both(lambda: spread_out(by_length))
    say(f"{'':44} {'ours':>9} {'peer':>9} {'ratio':>7}   aim")
    for what, (ours, peer), aim in (
        ("drawing all batches", drawn, ""),
        ("laying them out by product and day", spread, ""),
        ("whole rebuild", whole, "6, better 4"),
        ("laying out three length classes of each", in_classes, "(three times the array)"),
    ):
        say(f"{what:44} {1000 * ours:6.1f} ms {1000 * peer:6.1f} ms {ours / peer:7.1f}   {aim}")
    for what, seconds, aim in (*records(sowings, climate), ("a promise of one product in one week", window(found), 1)):
        say(f"{what:44} {1000 * seconds:6.2f} ms {'':17}   {aim} ms")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    say(f"kept for the farm: {kept_bytes(found) / 2**20:.0f} MB (aim 40); peak of the run: {peak:.0f} MB (aim 500)")


def say(line: str) -> None:
    """One line of the answer."""
    sys.stdout.write(line + "\n")


def batches() -> tuple[list[Sowing], Climate]:
    """The batches of the large farm, their stems not graded by length, and its weather."""
    farm = large_farm(lines=1000)
    crops = crops_of(farm)
    read = seen(farm, crops)
    sowings = [sowing_of(farm, batch, crops[batch.variety], read) for batch in read.batches]
    return [replace(sowing, crop=replace(sowing.crop, lengths=())) for sowing in sowings], climate_of(farm)


def spread_out(found: Forecast) -> None:
    """Whole stems of every product by season and busy day, for a year."""
    for product in found.products:
        found.busy_stems(product, FIRST_DAY, DAYS)


def graded(sowings: list[Sowing]) -> list[Sowing]:
    """The same batches with three length classes each."""
    classes = (LengthShare(30, 0.3), LengthShare(40, 0.5), LengthShare(50, 0.2))
    return [replace(sowing, crop=replace(sowing.crop, lengths=classes)) for sowing in sowings]


def records(sowings: list[Sowing], climate: Climate) -> list[tuple[str, float, int]]:
    """A first cut on the farm: the first of the year, and the eleventh."""
    planted = [replace(sowing, plant_out_date=None) for sowing in sowings]
    setting = Setting(LATITUDE, IN_SUMMER, **DOUBT)
    before = forecast(planted, climate, setting)
    cut = [with_first_cut(before, place) for place in range(0, 220, 20)]
    ten = [cut[place // 20] if place % 20 == 0 and place < 200 else sowing for place, sowing in enumerate(planted)]
    eleven = [cut[10] if place == 200 else sowing for place, sowing in enumerate(ten)]
    first = [cut[0], *planted[1:]]
    after_ten = before.with_sowings(ten)
    say(f"effective seasons after ten first cuts: {after_ten.effective_seasons:.0f}")
    return [
        ("the first first cut of the year", timed(lambda: before.with_sowings(first)), 50),
        ("the eleventh", timed(lambda: after_ten.with_sowings(eleven)), 50),
    ]


def with_first_cut(found: Forecast, place: int) -> Sowing:
    """A batch first cut a few days after the middle of its seasons."""
    sowing = found.sowings[place]
    assert found.seasons is not None
    latent = next(latent for latent in found.latents if latent.key == sowing.key)
    day = int(np.median(latent.first_day)) + place % 7 - 3
    return replace(sowing, evidence=Evidence(first_cut=found.seasons.span.first + timedelta(days=day)))


def window(found: Forecast) -> float:
    """What is sure of one product in one week, from the latent records."""
    product: Product = found.products[7]
    day = FIRST_DAY + timedelta(days=190)

    def promise() -> None:
        stems = found.ready_stems(product, day, WINDOW_DAYS)[None].sum(axis=0)
        quantiles(stems[np.newaxis, :], (LEVEL,), found.weights)

    return timed(promise, rounds=50)


def kept_bytes(found: Forecast) -> int:
    """Bytes of the latent records."""
    parts = ("first_day", "kill_day", "curve", "total")
    return sum(getattr(latent, part).nbytes for latent in found.latents for part in parts)


def fresh_write() -> None:
    """The peer."""
    np.ones((60, 2000, 365), np.float32)


def both(ours: Callable[[], object], rounds: int = 5) -> tuple[float, float]:
    """The median times of ours and of the peer, taken in turns [s]."""
    pairs = [(once(ours), once(fresh_write)) for _ in range(rounds)]
    return median(pair[0] for pair in pairs), median(pair[1] for pair in pairs)


def timed(work: Callable[[], object], rounds: int = 7) -> float:
    """The median time of a few rounds [s]."""
    return median(once(work) for _ in range(rounds))


def once(work: Callable[[], object]) -> float:
    """The time of one round [s]."""
    start = time.process_time()
    work()
    return time.process_time() - start


if __name__ == "__main__":
    main()
