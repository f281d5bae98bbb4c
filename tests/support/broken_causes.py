"""Causes of the metamorphic laws, each broken on purpose: a line of the service and what is put in its place."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
SERVICE = ROOT / "service"
LAWS = Path("tests/core/forecast/test_metamorphic.py")


@dataclass(frozen=True)
class Break:
    """A slip of the pen: in a module, `was` becomes `becomes`, and then a law must fail."""

    law: str
    module: str
    was: str
    becomes: str

    @property
    def path(self) -> Path:
        """The module in the service folder."""
        return Path("haulm") / self.module


BREAKS = (
    Break(
        "a_later_sowing_never_flowers_earlier_in_the_same_weather",
        "forecast/latent.py",
        "draws = own_draws(cycle.key, seasons.setting)",
        'draws = own_draws(f"{cycle.key}{cycle.start}", seasons.setting)',
    ),
    Break(
        "so_many_times_the_places_give_so_many_times_the_stems",
        "forecast/latent.py",
        "plants * sowing.crop.stems_per_plant *",
        "plants**0.9 * sowing.crop.stems_per_plant *",
    ),
    Break(
        "seed_of_which_none_came_up_gives_no_stems",
        "forecast/plants.py",
        "if evidence.germinated_final is not None:",
        "if evidence.germinated_final:",
    ),
    Break(
        "a_lost_batch_keeps_the_days_before_and_gives_nothing_from_that_day_on",
        "forecast/latent.py",
        "(sowing.evidence.lost_on, sowing.evidence.finished_on)",
        "(sowing.evidence.finished_on,)",
    ),
    Break(
        "a_warmer_spring_never_brings_the_first_stem_later",
        "horticulture/time_to_flower.py",
        "q = warmth * np.float32(1 / reference.warmth)",
        "q = np.float32(reference.warmth) / np.maximum(1, warmth)",
    ),
    Break(
        "an_earlier_killing_frost_never_gives_more_stems_and_sometimes_fewer",
        "forecast/latent.py",
        "kill = np.maximum(_supposed(kill, seasons), since)",
        "kill = np.full_like(kill, NEVER)",
    ),
    Break(
        "stems_of_batches_add_up",
        "forecast/days.py",
        "self.stretches[length][places] += step",
        "self.stretches[length][places] = step",
    ),
    Break(
        "more_weeks_to_flower_never_flower_earlier_and_somewhere_later",
        "forecast/seasons.py",
        "max(1, round(weeks * 7))",
        "84",
    ),
    Break(
        "the_order_of_batches_and_a_second_run_change_no_bit",
        "forecast/own_draws.py",
        'stream(b"batch", key, setting.seed)',
        "np.random.default_rng()",
    ),
    Break(
        "a_hardier_kind_never_has_fewer_stems_and_sometimes_more",
        "forecast/latent.py",
        "return sowing.crop.kill_c - kept_off_c(",
        "return -sowing.crop.kill_c - kept_off_c(",
    ),
    Break(
        "weeks_sum_to_days_and_days_to_the_whole_harvest",
        "horticulture/harvest_curve.py",
        "curves = np.ones((CURVES, max(lengths) + 1))",
        "curves = np.full((CURVES, max(lengths) + 1), 0.97)",
    ),
    Break(
        "an_early_or_late_first_cut_moves_the_others_the_same_way",
        "forecast/dates_seen.py",
        "seasons.weather_row], seasons.shared_pace(sight.course.year))\n",
        "seasons.weather_row], -seasons.shared_pace(sight.course.year))\n",
    ),
    Break(
        "the_surer_a_promise_the_fewer_its_stems",
        "forecast/percentiles.py",
        "ordered = np.take_along_axis(values, order, axis=1)",
        "ordered = values",
    ),
    Break(
        "half_a_year_later_in_the_south_flowers_half_a_year_later",
        "forecast/plan.py",
        "return span.month_day(month_day, year=year) + HALF_A_YEAR_DAYS",
        "return span.month_day(month_day, year=year)",
    ),
)


def verdict(broken: Break, folder: Path) -> int:
    """The exit code of pytest for the law of a cause, once it is broken in a copy of the service in an empty folder."""
    copy = folder / "service"
    shutil.copytree(SERVICE, copy, ignore=shutil.ignore_patterns("__pycache__"))
    module = copy / broken.path
    text = module.read_text(encoding="utf-8")
    module.write_text(text.replace(broken.was, broken.becomes), encoding="utf-8")
    environment = {**os.environ, "PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"}
    alone = ["-n", "0", "-x", "-p", "no:cacheprovider"]
    run = [sys.executable, "-m", "pytest", "-q", *alone, str(LAWS), "-k", f"test_{broken.law}"]
    return subprocess.run(run, cwd=ROOT, env=environment, capture_output=True, check=False).returncode
