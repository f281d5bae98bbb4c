"""All papers as one list of routers."""

from __future__ import annotations

from haulm.paper import availability, buckets, cut_lists, labels, order_lists, quotes

PAPER_ROUTERS = (
    quotes.router,
    buckets.router,
    cut_lists.router,
    labels.router,
    availability.router,
    order_lists.router,
)
"""Every paper's router; a new paper's joins here."""
