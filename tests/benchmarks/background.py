"""Pages while the worker works: how long all gaps of the demo take, and how long a page takes meanwhile.

    python tests/benchmarks/background.py [--numpy]

The service runs in a process of its own, as the program serves it, worker included. From its first answer on one page
after another is opened, five a second, until every gap has its days; then one field record is written, and the same
again. Nothing passes or fails here. Aims: all gaps
within 15 s, within 30 s on numpy alone; a page within 100 ms meanwhile.
"""

from __future__ import annotations

import sys
import tempfile
import time
from functools import partial
from itertools import cycle
from pathlib import Path
from statistics import median
from typing import Any

import httpx

ON_NUMPY = "--numpy" in sys.argv
if ON_NUMPY:  # here and in the process that serves, before either reads the match in
    sys.modules["numba"] = None  # type: ignore[assignment]

from reads import PAGES, REST, process, serve_demo  # noqa: E402 - see above

APART_SECONDS = 0.2
WRITTEN_ON = "2027-03-14"


def main() -> None:
    """Print the tables."""
    print("numpy alone" if ON_NUMPY else "as it is installed")
    with (
        tempfile.TemporaryDirectory() as place,
        process(partial(serve_demo, place=Path(place))) as served,
        httpx.Client(base_url=f"http://127.0.0.1:{served.port}", timeout=120) as client,
    ):
        said("after the start", until_worked_out(client))
        written(client)
        said("after a field record", until_worked_out(client))


def until_worked_out(client: httpx.Client) -> tuple[float, dict[str, list[float]]]:
    """Seconds until every gap has its days, and by path how long each page and answer took [s]."""
    began, taken, paths = time.perf_counter(), dict[str, list[float]](), cycle((*PAGES, *REST))
    is_pending = True
    while is_pending:
        path = next(paths)
        start = time.perf_counter()
        found = client.get(path)
        taken.setdefault(path, []).append(time.perf_counter() - start)
        assert found.status_code == 200, (path, found.status_code)
        if path == "/v1/shortfalls":
            is_pending = any(gap["pending"] for gap in found.json()["gaps"])
        time.sleep(max(0.0, APART_SECONDS - (time.perf_counter() - start)))
    return time.perf_counter() - began, taken


def written(client: httpx.Client) -> None:
    """The plants of a sowing pricked out, as many as were planned."""
    rows: list[dict[str, Any]] = client.get("/v1/batches").json()["rows"]
    sown = next(row for row in rows if row["status"] == "sown" and row["plants"])
    record = {"key": "written", "kind": "pricked_out", "date": WRITTEN_ON}
    found = client.post("/v1/records", json={**record, "batch": sown["key"], "count": sown["plants"]})
    assert found.status_code == 201, found.text


def said(when: str, found: tuple[float, dict[str, list[float]]]) -> None:
    """One table."""
    seconds, taken = found
    print(f"\n{when}: all gaps in {seconds:.1f} s")
    print(f"{'read':20} {'times':>6} {'first':>8} {'median':>8} {'worst after':>12}   [ms]")
    for path, times in taken.items():
        later = [1000 * one for one in times[1:]] or [float("nan")]
        print(f"{path:20} {len(times):6} {1000 * times[0]:8.0f} {median(later):8.1f} {max(later):12.1f}", flush=True)


if __name__ == "__main__":
    sys.exit(main())
