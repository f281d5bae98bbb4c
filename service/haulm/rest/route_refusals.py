"""The refusals that each route may give, beside those that all routes of its kind give."""

from __future__ import annotations

from collections.abc import Mapping

from haulm.errors import HaulmError, NotAccepted, NotFound
from haulm.farm_folder.faults import FolderRefused
from haulm.forecast.inputs import ClimateMissing
from haulm.jobs.bucket_day.refusals import (
    DraftChanged,
    ListConfirmed,
    ListFarAhead,
    NotABucketDay,
    NotCutYet,
    NothingToSettle,
    SeenNotSaid,
    ShortTwice,
)
from haulm.jobs.desk.refusals import DatePassed, DayNotServed
from haulm.jobs.desk.seen import NotAsSeen
from haulm.jobs.farm.change_rows import KEYED, PROMISING
from haulm.jobs.farm.doubtful_records import DoubtfulRecord
from haulm.jobs.journal.refusals import NotTakenBack
from haulm.jobs.quotes.promise_refused import PromiseRefused
from haulm.jobs.quotes.refusals import HoldExpired, NotAQuote, NothingInSeason, PartNotOffered
from haulm.jobs.warning.list_calendar import LinkNotValid
from haulm.store.errors import FarmEmpty, PostingKeyReused, PromiseOutOfTurn, StemsNotThere, VersionStale

Kinds = frozenset[type[HaulmError]]


def _kinds(*named: type[HaulmError]) -> Kinds:
    return frozenset(named)


_NONE = _kinds()
_FARM = _kinds(FarmEmpty)
_ASKED = _FARM | _kinds(NotAccepted)
_KEYED = _ASKED | _kinds(NotFound)
_ROW_READ = _FARM | _kinds(NotFound)
_WEATHER = _kinds(ClimateMissing)
_ROWS = _KEYED | _kinds(FolderRefused, VersionStale)
_STEMS_MOVED = _kinds(PostingKeyReused, StemsNotThere)
_PROMISED = _WEATHER | _kinds(DayNotServed, PromiseRefused, PromiseOutOfTurn)
_QUOTE = _KEYED | _WEATHER | _kinds(PromiseOutOfTurn, VersionStale)
_QUOTE_STEP = _QUOTE | _kinds(NotAQuote, NotAsSeen)
_PROMISE = _QUOTE_STEP | _kinds(DatePassed, FolderRefused, HoldExpired, PromiseRefused)
_ASKED_ANEW = _PROMISE | _kinds(DayNotServed, NothingInSeason)
_LIST = _KEYED | _kinds(NotABucketDay)
_LEFT = _KEYED | _STEMS_MOVED | _kinds(PromiseOutOfTurn)
_RECORD = _ROWS | _PROMISED | _STEMS_MOVED | _kinds(DoubtfulRecord)
_CONFIRM = (
    _LIST
    | _LEFT
    | _kinds(DatePassed, DraftChanged, ListConfirmed, ListFarAhead, NotCutYet, NothingToSettle, SeenNotSaid, ShortTwice)
)
_TAKEN_BACK = _KEYED | _WEATHER | _kinds(NotTakenBack, PostingKeyReused, PromiseOutOfTurn, VersionStale)
_REPLY = _QUOTE_STEP | _PROMISED | _kinds(FolderRefused)

_OF_ROUTES: Mapping[str, Kinds] = {
    "GET /healthz": _NONE,
    "GET /problems/{code}": _kinds(NotFound),
    "GET /v1/availability": _KEYED,
    "POST /v1/may-promise": _KEYED | _WEATHER | _kinds(DatePassed, DayNotServed, FolderRefused),
    "GET /v1/match": _ASKED,
    "GET /v1/match/{line}/why": _KEYED,
    "GET /v1/outlook": _ASKED,
    "GET /v1/shortfalls": _ASKED,
    "GET /v1/gaps/{gap}/options": _KEYED | _WEATHER,
    "GET /v1/jobs": _ASKED | _WEATHER,
    "GET /v1/at-home": _FARM,
    "POST /v1/at-home": _ROWS,
    "POST /v1/combined-plan": _ASKED,
    "GET /v1/combined-plan": _ASKED,
    "POST /v1/what-if": _KEYED | _WEATHER | _kinds(FolderRefused),
    "GET /v1/quotes": _ASKED,
    "POST /v1/quotes": _QUOTE | _kinds(DatePassed, DayNotServed, FolderRefused, NothingInSeason),
    "GET /v1/quotes/{quote_id}": _KEYED | _WEATHER,
    "POST /v1/quotes/{quote_id}/hold": _PROMISE | _kinds(PartNotOffered),
    "POST /v1/quotes/{quote_id}/contract": _PROMISE | _kinds(PartNotOffered),
    "POST /v1/quotes/{quote_id}/change": _ASKED_ANEW,
    "POST /v1/quotes/{quote_id}/anew": _ASKED_ANEW,
    "POST /v1/quotes/{quote_id}/final-numbers": _ASKED_ANEW,
    "POST /v1/quotes/{quote_id}/fulfil": _QUOTE_STEP,
    "POST /v1/quotes/{quote_id}/release": _QUOTE_STEP | _kinds(DatePassed),
    "POST /v1/quotes/{quote_id}/take-back-sown": _QUOTE_STEP | _kinds(FolderRefused, PartNotOffered, PromiseRefused),
    "POST /v1/quotes/{quote_id}/cancel": _QUOTE_STEP,
    "GET /v1/piece-decisions": _FARM,
    "POST /v1/piece-decisions": _ROWS,
    "GET /v1/cut-lists/{day}": _ASKED,
    "POST /v1/cuts": _RECORD,
    "GET /v1/store": _ASKED,
    "POST /v1/store/moves": _ROWS | _STEMS_MOVED,
    "POST /v1/store/counts": _RECORD,
    "GET /v1/walk": _ASKED,
    "POST /v1/walk": _RECORD,
    "GET /v1/tonight": _ASKED,
    "GET /v1/warnings/{place}": _ROW_READ,
    "GET /v1/bucket-lists/{day}": _LIST,
    "POST /v1/bucket-lists/{day}/confirm": _CONFIRM,
    "POST /v1/bucket-lists/{day}/take-back": _LEFT,
    "POST /v1/bucket-lists/{day}/shares": _LIST,
    "POST /v1/bucket-lists/{day}/expected": _LIST,
    "POST /v1/bucket-lists/{day}/left": _LEFT | _kinds(ListConfirmed),
    "POST /v1/bucket-lists/{day}/correct": _RECORD,
    "POST /v1/bucket-lists/{day}/delivered": _LEFT,
    "GET /v1/bucket-lists/{day}/prices": _KEYED,
    "GET /v1/claims": _ASKED,
    "POST /v1/claims": _KEYED,
    "GET /v1/fill-rate": _NONE,
    "GET /v1/season-end": _ASKED,
    "POST /v1/availability-lists": _KEYED,
    "GET /v1/florist/{token}": _LIST,
    "POST /v1/florist/{token}/answers": _KEYED,
    "GET /v1/replies": _KEYED,
    "POST /v1/replies/{reply}/accept": _REPLY,
    "POST /v1/replies/{reply}/decline": _REPLY,
    "POST /v1/customers/{customer}/end-links": _KEYED,
    "GET /v1/customers/{customer}/kept": _KEYED,
    "POST /v1/customers/{customer}/erase": _KEYED | _kinds(VersionStale),
    "GET /v1/digest": _ASKED | _WEATHER,
    "GET /v1/outbox": _NONE,
    "GET /v1/journal": _ASKED,
    "GET /v1/journal/{seq}": _KEYED,
    "POST /v1/journal/{seq}/take-back": _TAKEN_BACK,
    "POST /v1/journal/{seq}/put-back": _TAKEN_BACK,
    "POST /v1/outbox/{number}/again": _ASKED,
    "GET /v1/calendar.ics": _ASKED | _kinds(LinkNotValid),
    "POST /v1/calendar-link": _KEYED,
    "DELETE /v1/calendar-link": _KEYED,
    "GET /v1/back-plan": _KEYED | _WEATHER,
    "GET /v1/batches/{key}/forecast": _KEYED | _WEATHER,
    "GET /v1/own-figures": _FARM | _WEATHER,
    "POST /v1/own-figures/{variety}/{figure}/accept": _KEYED | _WEATHER | _kinds(VersionStale),
    "POST /v1/own-figures/{variety}/{figure}/refuse": _KEYED | _WEATHER,
    "GET /v1/honesty": _ASKED,
    "GET /v1/hoped-for": _ASKED | _kinds(FolderRefused),
    "GET /v1/hoped-for/sowings": _ASKED | _WEATHER,
    "GET /v1/next-year": _ASKED,
    "POST /v1/next-year": _ROWS | _WEATHER,
    "GET /v1/next-year/standing-orders": _ASKED,
    "POST /v1/next-year/standing-orders/{key}": _ROWS | _WEATHER | _kinds(DayNotServed, PromiseRefused),
    "GET /v1/next-year/order-list": _ASKED,
    "GET /v1/new-figures": _ASKED,
    "POST /v1/new-figures/looked-at": _KEYED,
    "GET /paper/quotes/{quote}.pdf": _KEYED | _WEATHER,
    "GET /paper/bucket-lists/{bucket_day}/list.pdf": _KEYED,
    "GET /paper/bucket-lists/{bucket_day}/labels.pdf": _KEYED,
    "GET /paper/bucket-lists/{bucket_day}/packing.pdf": _KEYED,
    "GET /paper/bucket-lists/{bucket_day}/delivery.pdf": _KEYED,
    "GET /paper/cut-lists/{cut_day}.pdf": _ASKED,
    "GET /paper/tray-labels.pdf": _ASKED,
    "GET /paper/bed-labels.pdf": _KEYED,
    "GET /paper/stall-labels.pdf": _KEYED,
    "GET /paper/availability.pdf": _KEYED,
    "GET /paper/order-list.pdf": _ASKED,
}
_BY_COLLECTION: Mapping[str, Kinds] = {
    **dict.fromkeys(PROMISING, _PROMISED),
    "records": _PROMISED | _STEMS_MOVED | _kinds(DoubtfulRecord),
    "known_stems": _STEMS_MOVED,
    "past_years": _kinds(DoubtfulRecord),
}
"""What only some collections' rows are refused for."""


def refusals_of(route: str) -> Kinds:
    """What a route may refuse, by its method and path."""
    found = _OF_ROUTES.get(route)
    return _of_rows(route) if found is None else found


def _of_rows(route: str) -> Kinds:
    method, _, path = route.partition(" ")
    of_one = path.endswith("/{key}")
    collection = path.removeprefix("/v1/").removesuffix("/{key}").replace("-", "_")
    assert collection in KEYED, f"{route} does not say what it may refuse"
    if method == "GET":
        return _ROW_READ if of_one else _KEYED
    if method == "DELETE":
        return _KEYED | _kinds(VersionStale)
    return _ROWS | _BY_COLLECTION.get(collection, _NONE)
