"""Share what there is too little of evenly within a class, in whole bunches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from haulm.advice.even_share import even_share
from haulm.farm.varieties import Crop
from haulm.jobs.bucket_lines import BucketLine, merged, with_sources
from haulm.matching.which_stems import Source


def shared_evenly(
    lines: Sequence[BucketLine], products: frozenset[str], shorted: frozenset[str], crops: Mapping[str, Crop]
) -> tuple[BucketLine, ...]:
    """The lines with what they get of some products shared evenly among those who could have the same stems.

    Args:
        lines: the list as drafted.
        products: the products to share.
        shorted: customers who got too few on the bucket day before: the first in turn for a bunch that is left over.
        crops: every variety, for its bunch.
    """
    groups: dict[tuple[object, ...], list[int]] = {}
    for place, bucket in enumerate(lines):
        line = bucket.line
        if line.product is not None and str(line.product) in products:
            same = (str(line.product), line.line_class, line.due, line.stage, line.min_length_cm, line.max_age_days)
            groups.setdefault(same, []).append(place)
    changed = list(lines)
    for places in groups.values():
        if len(places) > 1 and any(lines[place].filled < lines[place].line.stems for place in places):
            _share_group(changed, places, shorted, crops)
    return tuple(changed)


def _share_group(
    lines: list[BucketLine], places: Sequence[int], shorted: frozenset[str], crops: Mapping[str, Crop]
) -> None:
    group = [lines[place] for place in places]
    product = group[0].line.product
    assert product is not None
    pool = merged([source for bucket in group for source in bucket.sources if source.product == product])
    there, asked = sum(source.stems for source in pool), [bucket.line.stems for bucket in group]
    turns = sorted(range(len(group)), key=lambda one: (group[one].line.customer not in shorted, one))
    shares = even_share(there, asked, turns, crops[product.variety].bunch_stems)
    for place, bucket, share in zip(places, group, shares, strict=True):
        others = [source for source in bucket.sources if source.product != product]
        own = _dealt(pool, share.stems)
        others = _dealt(others, bucket.line.stems - share.stems)
        lines[place] = replace(with_sources(bucket, [*own, *others], crops), share=share)


def _dealt(pool: list[Source], stems: int) -> list[Source]:
    """So many stems off the front of a pool, which is left without them."""
    dealt: list[Source] = []
    while stems > 0 and pool:
        first = pool.pop(0)
        taken = min(stems, first.stems)
        dealt.append(replace(first, stems=taken))
        stems -= taken
        if first.stems > taken:
            pool.insert(0, replace(first, stems=first.stems - taken))
    return dealt
