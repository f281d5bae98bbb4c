"""Published dates of other places beside what the forecast says of them from the library's figures alone.

    python tests/benchmarks/dates_elsewhere.py [--put-aside] [--rows]

The rows put aside were not looked at while constants were chosen: score them once, at the end of a change. Nothing
passes or fails here. Beside each figure stands what the same figures give where each place is taken for its own
reference, as the first release did.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from haulm.farm.varieties import Crop
from haulm.farm.words import Method
from support.dates_elsewhere import Fact, Told, facts, open_facts, slope, told

PLACES = {
    "Fairbanks": ("fairbanks", 64.8),
    "Yorkshire": ("north_yorkshire", 54.2),
    "Nebraska": ("champion", 40.5),
    "Ithaca": ("ithaca", 42.4),
    "Tunis": ("tunis", 36.8),
    "Christchurch": ("lincoln_nz", -43.6),
}
STARTED = {
    "tulip": (Method.TUBER, (10, 20)),
    "narcissus": (Method.ESTABLISHED, None),
    "peony": (Method.ESTABLISHED, None),
    "lilac": (Method.ESTABLISHED, None),
    "sweet_william": (Method.DIRECT, (6, 20)),
    "larkspur": (Method.DIRECT, (9, 25)),
    "zinnia": (Method.DIRECT, (5, 20)),
    "dahlia": (Method.TUBER, (5, 20)),
    "sunflower_single": (Method.DIRECT, (6, 21)),
    "ranunculus": (Method.TUBER, (10, 20)),
}


def main() -> None:
    """Print the tables."""
    aside = "--put-aside" in sys.argv
    known = facts("dates_elsewhere", "put_aside") if aside else open_facts()
    now = [told(fact) for fact in known]
    before = [told(fact, as_own_reference) for fact in known]
    if "--rows" in sys.argv:
        for one, other in zip(now, before, strict=True):
            say(row(one, other))
    say(f"{len(known)} facts, {'put aside' if aside else 'open'}: by place (the place as its own reference)")
    say(f"{'':24}{'n':>4}{'error d':>16}{'bias d':>16}{'inside 80 %':>16}{'width d':>14}{'d per deg C':>18}")
    for name in (*sorted({fact.cls for fact in known}), "all"):
        pick = [at for at, fact in enumerate(known) if name in (fact.cls, "all")]
        say(table_row(name, [now[at] for at in pick], [before[at] for at in pick]))
    if not aside:
        six_climates()


def as_own_reference(crop: Crop) -> Crop:
    """The crop as if its weeks were stated for whatever place it is tried in."""
    return replace(crop, stated_for=None, cold=None)


def row(one: Told, other: Told) -> str:
    """A fact and what is said of it."""
    fact = one.fact
    word = "inside" if one.inside else "MISSED"
    said = f"{one.median} ({one.low} to {one.high})"
    return (
        f"{fact.id} {word} {fact.kind:17}{fact.place[:26]:27}{fact.first} {fact.last} said {said}, was {other.median}"
    )


def table_row(name: str, now: Sequence[Told], before: Sequence[Told]) -> str:
    """The scores of some facts."""
    cells = [f"{name:24}{len(now):4}"]
    for wide, measure in ((16, error), (16, bias), (16, inside), (14, width), (18, slope)):
        cells.append(f"{measure(now):.2f} ({measure(before):.2f})".rjust(wide))
    return "".join(cells)


def error(found: Sequence[Told]) -> float:
    """Mean absolute error; a fact for which no stems are said counts as 60 days."""
    return float(np.mean([min(60, abs(item.error)) for item in found]))


def bias(found: Sequence[Told]) -> float:
    """Mean error, of those for which stems are said."""
    return float(np.mean([item.error for item in found if np.isfinite(item.error)]))


def inside(found: Sequence[Told]) -> float:
    """The share of facts that the 80 % interval touches."""
    return float(np.mean([item.inside for item in found]))


def width(found: Sequence[Told]) -> float:
    """Median width of the interval."""
    return float(np.median([item.width for item in found]))


def six_climates() -> None:
    """One kind over six climates: the median first flower."""
    say("")
    say(f"{'':18}" + "".join(f"{name:>14}" for name in PLACES))
    for kind, (method, start) in STARTED.items():
        say(f"{kind:18}" + "".join(f"{median_day(kind, method, start, *place):>14}" for place in PLACES.values()))


def median_day(kind: str, method: Method, start: tuple[int, int] | None, climate: str, latitude_deg: float) -> str:
    """The median first flower of a kind in a place, in words."""
    day = None
    south = latitude_deg < 0
    if start is not None:
        month, of_month = start
        day = date(2026 + (south and month > 6), (month + 5) % 12 + 1 if south else month, of_month)
    flowers = date(2026, 7, 1) if south else date(2026, 1, 1)
    fact = Fact(kind, "", kind, climate, climate, latitude_deg, method, False, day, day, flowers, flowers)
    found = told(fact).median
    return "none" if found is None else found.strftime("%d %b")


def say(line: str) -> None:
    """One line of the answer."""
    sys.stdout.write(line + "\n")


if __name__ == "__main__":
    main()
