"""Share what there is too little of evenly within a class, in whole bunches: what is theirs, and what it may become."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from haulm.advice.even_share import Share, even_share
from haulm.demand.dated_line import DatedLine
from haulm.farm.products import Product
from haulm.farm.varieties import Crop
from haulm.jobs.bucket_day.bucket_lines import BucketLine, LineDue, merged, with_sources
from haulm.matching.reading.which_stems import Source


@dataclass(frozen=True, slots=True)
class Sharing:
    """What is shared, and what it rests on.

    Attributes:
        products: the products to share.
        shorted: customers who got too few on the bucket day before: the first in turn for a bunch that is left over.
        crops: every variety, for its bunch.
        generous: what fills a line in the generous season.
        theirs: shares that were called theirs before; they stay theirs as long as there is so much of it.
    """

    products: frozenset[str]
    shorted: frozenset[str]
    crops: Mapping[str, Crop]
    generous: Callable[[DatedLine], Sequence[Source]]
    theirs: Mapping[LineDue, int]


def shared_evenly(lines: Sequence[BucketLine], sharing: Sharing) -> tuple[BucketLine, ...]:
    """The lines with what they get of some products shared evenly among those who could have the same stems.

    Args:
        lines: the list as drafted; `filled` is shared, and with it what is theirs and what it may become.
        sharing: what is shared.
    """
    groups: dict[tuple[object, ...], list[int]] = {}
    for place, bucket in enumerate(lines):
        line = bucket.line
        if line.product is not None and str(line.product) in sharing.products:
            same = (str(line.product), line.line_class, line.due, line.stage, line.min_length_cm, line.max_age_days)
            groups.setdefault(same, []).append(place)
    changed = list(lines)
    for places in groups.values():
        if len(places) > 1 and any(lines[place].filled < lines[place].line.stems for place in places):
            for place, bucket in zip(places, _shared([lines[place] for place in places], sharing), strict=True):
                changed[place] = bucket
    return tuple(changed)


def _shared(group: list[BucketLine], sharing: Sharing) -> list[BucketLine]:
    product = group[0].line.product
    assert product is not None
    pool = merged([source for bucket in group for source in bucket.sources if source.product == product])
    held = [min(sharing.theirs.get((one.line.line, one.line.due), 0), _of(one.sources, product)) for one in group]
    shares = _shares(group, pool, held, sharing)
    up_to = _up_to(group, [share.stems for share in shares], sharing)
    made: list[BucketLine] = []
    for bucket, share, most in zip(group, shares, up_to, strict=True):
        others = [source for source in bucket.sources if source.product != product]
        own = _dealt(pool, share.stems)
        others = _dealt(others, bucket.line.stems - share.stems)
        shared = with_sources(bucket, [*own, *others], sharing.crops)
        made.append(replace(shared, share=share, yours=shared.filled, up_to=max(shared.filled, most)))
    return made


def _shares(
    group: list[BucketLine], pool: Sequence[Source], held: Sequence[int], sharing: Sharing
) -> tuple[Share, ...]:
    """The share of each of a pool of one product, none below what is held for it already."""
    asked = [bucket.line.stems for bucket in group]
    turns = sorted(range(len(group)), key=lambda one: (group[one].line.customer not in sharing.shorted, one))
    product = group[0].line.product
    assert product is not None
    bunch, left = sharing.crops[product.variety].bunch_stems, sum(source.stems for source in pool)
    kept: dict[int, Share] = {}
    while True:
        places = [place for place in range(len(group)) if place not in kept]
        own = [places.index(place) for place in turns if place in places]
        shares = even_share(left, [asked[place] for place in places], own, bunch)
        found = dict(zip(places, shares, strict=True))
        less = {place: share for place, share in found.items() if share.stems < held[place]}
        if not less:
            return tuple((found | kept)[place] for place in range(len(group)))
        # Whoever was told more keeps it; the others share what is left.
        kept |= {place: replace(share, stems=held[place]) for place, share in less.items()}
        left = max(0, left - sum(held[place] for place in less))


def _up_to(group: list[BucketLine], theirs: Sequence[int], sharing: Sharing) -> list[int]:
    """What each may become: the same share of what there is in the generous season, with what stands in beside it."""
    product = group[0].line.product
    assert product is not None
    found = [sharing.generous(bucket.line) for bucket in group]
    asked = [bucket.line.stems for bucket in group]
    own = [_of(sources, product) for sources in found]
    other = [sum(source.stems for source in sources) - mine for sources, mine in zip(found, own, strict=True)]
    if all(mine + more >= want for mine, more, want in zip(own, other, asked, strict=True)):
        return asked
    pool = [source for sources in found for source in sources if source.product == product]
    shares = _shares(group, pool, theirs, sharing)
    return [min(want, share.stems + more) for want, share, more in zip(asked, shares, other, strict=True)]


def _of(sources: Sequence[Source], product: Product) -> int:
    return sum(source.stems for source in sources if source.product == product)


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
