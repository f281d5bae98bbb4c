"""What stands on papers beside the farm's name, word for word as the farm writes it."""

from __future__ import annotations

from haulm.farm.site import Letterhead
from haulm.language.words import _


def sender(papers: Letterhead) -> list[str]:
    """Where the farm is, its phone and its number for tax, a line each."""
    return [
        *(line for line in papers.address.splitlines() if line.strip()),
        *([papers.phone] if papers.phone else []),
        *([_("Tax number: {tax_number}").format(tax_number=papers.tax_number)] if papers.tax_number else []),
    ]
