"""The shape of the stems that feed a line."""

from __future__ import annotations

from collections.abc import Iterable

from haulm.matching.reading.which_stems import Source
from haulm.rest.wire import Shape


class SourceShape(Shape):
    """Stems of one product and ready date; `stock` is the key of the count they come from, where there is one."""

    product: str
    ready_date: str
    stems: int
    length_cm: int | None = None
    cut_date: str | None = None
    stock: str | None = None


def source_shapes(sources: Iterable[Source]) -> list[SourceShape]:
    """Sources as they are sent."""
    return [
        SourceShape(
            product=str(source.product),
            ready_date=source.lot.ready.isoformat(),
            stems=source.stems,
            length_cm=source.length_cm or None,
            cut_date=None if source.lot.cut is None else source.lot.cut.isoformat(),
            stock=source.lot.key or None,
        )
        for source in sources
    ]
