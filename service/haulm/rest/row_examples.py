"""One example of each row, and of a change to it, for the description; in this order they fit together on one farm."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

Example = Mapping[str, Any]

NEW_ROWS: Mapping[str, Example] = {
    "varieties": {
        "key": "lagurus",
        "name": "Hare's-tail grass",
        "botanical_name": "Lagurus ovatus",
        "role": "texture",
        "colour": "cream",
        "lengths": "30:0.25|40:0.5|50:0.25",
        "price_minor": 750,
    },
    "beds": {"key": "south", "name": "South bed", "metres": 20, "kind": "outdoor"},
    "batches": {
        "variety": "lagurus",
        "sow_date": "2027-04-05",
        "method": "cover",
        "sown": 150,
        "plants": 120,
        "bed": "south",
    },
    "records": {"kind": "waste", "variety": "lagurus", "count": 12, "note": "wind"},
    "known_stems": {"key": "cooler-1", "product": "lagurus", "ready_date": "2027-06-14", "stems": 60, "length_cm": 40},
    "customers": {
        "key": "anna",
        "name": "Studio Anna",
        "kind": "florist",
        "email": "anna@florist.example",
        "phone": "+44 1632 960 123",
    },
    "standing_orders": {
        "key": "anna-weekly",
        "customer": "anna",
        "weekday": "tue",
        "first_week": "2027-W24",
        "last_week": "2027-W30",
    },
    "standing_lines": {"key": "anna-1", "order": "anna-weekly", "stems": 40, "product": "lagurus", "minimum": 20},
    "changes": {"key": "anna-away", "order": "anna-weekly", "week": "2027-W26", "stems": 0, "note": "on holiday"},
    "orders": {"key": "party", "customer": "anna", "kind": "one_off", "due_date": "2027-06-29", "status": "quoted"},
    "order_lines": {"key": "party-1", "order": "party", "stems": 30, "choice": "role=texture colour=cream|white"},
    "sprays": {"key": "soap-1", "bed": "south", "date": "2027-05-03", "wait_until": "2027-05-10"},
    "past_years": {
        "variety": "lagurus",
        "year": 2026,
        "sow_date": "2026-04-02",
        "method": "cover",
        "tunnel": False,
        "first_cut": "2026-07-06",
        "stems": 1700,
        "plants": 120,
    },
    "usual_sales": {
        "source": "florist",
        "product": "lagurus",
        "stems": 30,
        "first_week": "2027-W25",
        "last_week": "2027-W32",
        "stem_price_minor": 60,
        "customer": "anna",
    },
}
CHANGES: Mapping[str, Example] = {
    "varieties": {"price_minor": 800},
    "beds": {"metres": 22.5},
    "batches": {"sow_date": "2027-04-12"},
    "known_stems": {"stems": 48},
    "customers": {"notice_days": 3},
    "standing_orders": {"last_week": "2027-W31"},
    "standing_lines": {"bunch_price_minor": 720, "bunch_stems": 10, "price_from": "agreed"},
    "changes": {"stems": 10},
    "orders": {"final_numbers_date": "2027-06-15"},
    "order_lines": {"stems": 25},
    "sprays": {"wait_until": "2027-05-12"},
    "past_years": {"stems": 1750, "note": "a wet July"},
    "usual_sales": {"stems": 40, "last_week": "2027-W33"},
}
