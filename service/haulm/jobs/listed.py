"""A bucket list as it is kept and shown: plain values, the same for the entry, the wire, the page and the paper."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from itertools import groupby
from typing import Any

from haulm.advice.even_share import Share
from haulm.farm.products import Product
from haulm.jobs.bucket_lines import BucketLine, BucketList
from haulm.matching.which_stems import Source


def listed_bucket_list(found: BucketList, *, confirmed: bool) -> dict[str, Any]:
    """The list as JSON; keys of customers, never names."""
    by_customer = groupby(found.lines, key=lambda bucket: bucket.line.customer)
    return {
        "date": found.day.isoformat(),
        "from": found.day.isoformat(),
        "to": found.last.isoformat(),
        "confirmed": confirmed,
        "customers": [{"customer": key, "lines": [_line(bucket) for bucket in lines]} for key, lines in by_customer],
    }


def listed_sources(sources: Sequence[Source]) -> list[dict[str, Any]]:
    """Where stems come from, as JSON; `stock` is the key of the count they come from, where there is one."""
    return [
        {
            "product": str(source.product),
            "ready_date": source.lot.ready.isoformat(),
            "stems": source.stems,
            "length_cm": source.length_cm or None,
            "cut_date": None if source.lot.cut is None else source.lot.cut.isoformat(),
            "stock": source.lot.key or None,
        }
        for source in sources
    ]


def stems_listed(lines: Iterable[Mapping[str, Any]]) -> Iterator[tuple[Product, date | None]]:
    """The product of every source of kept lines, spare included, and the day it was cut; None where it stood."""
    for line in lines:
        for source in (*line["from"], *(line.get("spare_from") or ())):
            cut = source["cut_date"]
            yield Product.parse(source["product"]), None if cut is None else date.fromisoformat(cut)


def _line(bucket: BucketLine) -> dict[str, Any]:
    line = bucket.line
    return {
        "line": line.line,
        "order": line.order,
        "class": str(line.line_class),
        "product": None if line.product is None else str(line.product),
        "choice": None if line.choice is None else str(line.choice),
        "due": line.due.isoformat(),
        "asked": line.stems,
        "filled": bucket.filled,
        "bunches": bucket.bunches,
        "over": bucket.over,
        "from": listed_sources(bucket.sources),
        "caution": bucket.caution,
        "share": None if bucket.share is None else _share(bucket.share),
        "spare": bucket.spare,
        "spare_filled": sum(source.stems for source in bucket.spare_sources),
        "spare_from": listed_sources(bucket.spare_sources),
    }


def _share(share: Share) -> dict[str, Any]:
    return {"exact": round(share.exact, 2), "stems": share.stems, "extra_bunches": share.extra_bunches}
