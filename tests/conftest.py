"""What every test may ask for: a database on PostgreSQL, and freedom from the settings of whoever runs the tests."""

import gc
import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from support import scale
from support.desks import migrated
from support.left_out import leave_out, pytest_terminal_summary
from support.postgres import Cluster, PostgresMissing, running_cluster
from support.quick_engines import quick_engines
from support.shared_out import long_ones_first, pytest_xdist_make_scheduler

__all__ = ["pytest_terminal_summary", "pytest_xdist_make_scheduler"]

settings.register_profile(
    "haulm",
    max_examples=scale.count(usual=40, large=2000),
    deadline=None,
    # A busy machine is no reason to fail a law.
    suppress_health_check=[HealthCheck.too_slow],
    # The gate gives one answer for one tree; the long run goes looking.
    derandomize="CI" in os.environ and not scale.is_large(),
    print_blob=True,
)
settings.load_profile("haulm")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Puts long tests first, and leaves the slow ones to the long run."""
    items[:] = long_ones_first(items, Path(__file__).parent)
    if scale.is_large():
        return
    slow = [item for item in items if item.get_closest_marker("slow")]
    if slow:
        config.hook.pytest_deselected(items=slow)
        items[:] = [item for item in items if item not in slow]


@pytest.fixture(scope="session", autouse=True)
def nobodys_settings(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Takes away every Haulm setting of the environment; the user's data folder becomes an empty one."""
    home = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as patch:
        for name in [name for name in os.environ if name.startswith("HAULM_") and name != scale.SETTING]:
            patch.delenv(name)
        patch.setenv("XDG_DATA_HOME", str(home / "data"))
        patch.setenv("XDG_CONFIG_HOME", str(home / "config"))
        yield home


@pytest.fixture(scope="session", autouse=True)
def waiting_for_the_disk() -> Iterator[str]:
    """How the program waits for the disk at each commit; tests do not, since no power is lost while they run."""
    with quick_engines() as shipped:
        yield shipped


@pytest.fixture(scope="module", autouse=True)
def seldom_looked_for_garbage() -> None:
    """What earlier modules left is not looked through again and again for garbage: that took a fifth of the time."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 10, 10)


@pytest.fixture(scope="session")
def postgres_cluster() -> Iterator[Cluster]:
    """A PostgreSQL cluster for this run; where there is none its tests are left out, in CI they fail."""
    try:
        with running_cluster() as cluster:
            yield cluster
    except PostgresMissing as missing:
        leave_out(str(missing))


@pytest.fixture
def postgres_url(postgres_cluster: Cluster) -> Iterator[str]:
    """The address of a database on PostgreSQL that nobody else has meanwhile, with tables and no farm."""
    with postgres_cluster.emptied(postgres_cluster.prepared("haulm_tables", migrated)) as url:
        yield url
