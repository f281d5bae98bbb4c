"""Stems typed as stems, as bunches of a kind, or as buckets of such bunches."""

from __future__ import annotations

from haulm.errors import NotAccepted
from haulm.farm.products import Product
from haulm.jobs.farm.bunch_sizes import bunch_size, customer_of
from haulm.language.words import _, many
from haulm.pages.rows.names import stems_words
from haulm.pages.rows.widgets import At, Form, Options, Whole

_STEMS, _BUNCHES, _BUCKETS = "stems", "bunches", "buckets"


class Stems(Whole):
    """So many stems, bunches or buckets of what the line asks."""

    shape = "stems"

    def accepted(self, at: At) -> str:
        """A number; bunches and buckets need one kind, since each kind has a bunch of its own."""
        return _("a number of stems; bunches and buckets only where one kind is asked")

    def typed(self, cell: str, name: str, at: At) -> dict[str, str]:
        """The stems."""
        return {name: cell, f"{name}.unit": _STEMS}

    def cell(self, form: Form, name: str, at: At) -> str:
        """The stems that were meant."""
        number, unit = super().cell(form, name, at), form.get(f"{name}.unit", _STEMS)
        if unit not in (_BUNCHES, _BUCKETS) or not (number.isascii() and number.isdigit() and len(number) < 8):
            return number
        bunch = _bunch(at, form.get("product", ""))
        if bunch is None:
            return f"{number} {_(unit)}"
        bunches = at.names.farm.site.bucket_bunches if unit == _BUCKETS else 1
        return str(int(number) * bunches * bunch)

    def options(self, at: At, chosen: str) -> Options:
        """The units."""
        a_bucket = many("buckets of {count} bunch", "buckets of {count} bunches", at.names.farm.site.bucket_bunches)
        return [(_STEMS, _("stems")), (_BUNCHES, _("bunches")), (_BUCKETS, a_bucket)]


def in_bunches(at: At, stems: int, product: Product | None, order: str) -> str:
    """Stems, and how many bunches of the kind they are: `40 stems: 4 bunches of 10`."""
    size = None if product is None else bunch_size(at.names.farm, product, customer_of(at.names.farm, order))
    if size is None or size < 2 or stems < size:
        return stems_words(stems)
    whole, over = divmod(stems, size)
    bunches = many("{count} bunch of %(size)s", "{count} bunches of %(size)s", whole).replace("%(size)s", str(size))
    rest = _(" and {stems}").format(stems=stems_words(over)) if over else ""
    return f"{stems_words(stems)}: {bunches}{rest}"


def _bunch(at: At, product: str) -> int | None:
    try:
        asked = Product.parse(product)
    except NotAccepted:
        return None
    return bunch_size(at.names.farm, asked, customer_of(at.names.farm, at.parent))
