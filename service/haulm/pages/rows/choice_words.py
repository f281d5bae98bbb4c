"""What stands in a list to choose from, in the words of the field; the closed words of columns by their values."""

from __future__ import annotations

from collections.abc import Mapping

from haulm.jobs.desk.names import HOW_WORDS, STATUS_WORDS
from haulm.language.words import marked

_WEEKDAYS = {
    "mon": marked("Monday"),
    "tue": marked("Tuesday"),
    "wed": marked("Wednesday"),
    "thu": marked("Thursday"),
    "fri": marked("Friday"),
    "sat": marked("Saturday"),
    "sun": marked("Sunday"),
}
ROLES = {
    "focal": marked("focal: the flower one looks at"),
    "secondary": marked("secondary: stands by the focal one"),
    "spike": marked("spike: tall and upright"),
    "filler": marked("filler: fills between"),
    "accent": marked("accent: small and bright"),
    "texture": marked("texture: grasses, pods, seed heads"),
    "movement": marked("movement: light and nodding"),
    "foliage": marked("foliage: green"),
}
_FORMS = {"fresh": marked("fresh"), "dried": marked("dried")}
RECORD_KINDS = {
    "sown": marked("sown"),
    "germinated": marked("up: places counted"),
    "pricked_out": marked("pricked out"),
    "potted_on": marked("potted on"),
    "hardening": marked("put out to harden off"),
    "planted": marked("planted out"),
    "standing": marked("standing: stems counted in the field"),
    "not_yet": marked("not yet: looked, and nothing to cut"),
    "first_cut": marked("first stems of it"),
    "cut": marked("cut"),
    "hung": marked("hung to dry"),
    "waste": marked("thrown away"),
    "lost": marked("lost"),
    "resown": marked("sown again"),
    "frost": marked("frost on the farm"),
    "finished": marked("finished, cleared"),
    "corrected": marked("put right"),
}
ORDER_STATUS = {
    "quoted": marked("quoted"),
    "on_hold": marked("on hold"),
    "contracted": marked("contracted"),
    "delivered": marked("delivered"),
    "cancelled": marked("cancelled"),
}
WORDS: Mapping[str, Mapping[str, str]] = {
    "life_cycle": {
        "hardy_annual": marked("hardy annual: stands some frost"),
        "half_hardy_annual": marked("half-hardy annual: stands cold, no frost"),
        "tender_annual": marked("tender annual: wants warmth"),
        "biennial": marked("biennial: sown one year, flowers the next"),
        "perennial": marked("perennial: comes again"),
        "bulb_tuber": marked("bulb, corm or tuber"),
    },
    "role": ROLES,
    "habit": {
        "single_cut": marked("once: one stem a plant, then it is over"),
        "flush": marked("a flush: most of it within some days"),
        "cut_and_come_again": marked("again and again for weeks"),
    },
    "beds.kind": {
        "outdoor": marked("outdoors"),
        "tunnel": marked("in a tunnel"),
        "bench": marked("a bench for trays"),
    },
    "method": {str(method): words for method, words in HOW_WORDS.items()},
    "form": _FORMS,
    "batches.status": {str(status): words for status, words in STATUS_WORDS.items()},
    "winter_cover": {
        "none": marked("nothing"),
        "fleece": marked("fleece"),
        "low_cover": marked("a low cover"),
        "mulch": marked("mulch"),
        "snow": marked("snow that lies all winter"),
    },
    "records.kind": RECORD_KINDS,
    "grade": {"A": marked("first: order length and better"), "B": marked("second: sound, shorter or softer")},
    "reason": {
        "frost": marked("frost"),
        "gone_over": marked("gone over"),
        "pests": marked("pests"),
        "disease": marked("disease"),
        "weather": marked("weather"),
        "other": marked("something else"),
    },
    "customers.kind": {
        "florist": marked("a florist"),
        "wedding": marked("a couple, or someone with an event"),
        "stall": marked("the stall"),
    },
    "weekday": _WEEKDAYS,
    "standing_orders.status": {
        "active": marked("runs"),
        "paused": marked("pauses"),
        "ended": marked("has ended"),
    },
    "orders.kind": {
        "wedding": marked("a wedding or other event"),
        "one_off": marked("a single order"),
        "stall": marked("the stall's share"),
    },
    "orders.status": ORDER_STATUS,
    "price_from": {"agreed": marked("agreed with them"), "list": marked("taken from the price list")},
    "part": {"stands": marked("what stands today"), "sown": marked("what is sown for it")},
}
"""By column, or by collection and column where one word stands for several lists."""


def words_of(collection: str, column: str) -> Mapping[str, str] | None:
    """The words of a column's closed list, not yet said in anybody's language; None where it has none."""
    return WORDS.get(f"{collection}.{column}") or WORDS.get(column)
