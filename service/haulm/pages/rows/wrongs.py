"""Refusals as sentences beside the fields of a form: labels for columns, days and weeks in words, names for keys."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from datetime import date

from haulm.errors import HaulmError, NotAccepted
from haulm.farm.faults import Fault
from haulm.farm.weeks import Week, day_in_words
from haulm.farm_folder.faults import FolderRefused
from haulm.language.words import _
from haulm.pages.rows.forms import column_of, labels_of, widget_of
from haulm.pages.rows.names import week_words
from haulm.pages.rows.page_words import Table
from haulm.pages.rows.widgets import At

_DATE = re.compile(r"\b\d{4}-\d{2}-\d{2}\b")
_WEEK = re.compile(r"\b\d{4}-W\d{2}\b")
_LARGE = re.compile(r"\b\d{5,}\b")
_WORD = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.-]*")
_ROWS = ("varieties", "beds", "customers", "batches", "standing_orders", "orders")


def wrong_of(table: Table, refusal: HaulmError | None, at: At) -> tuple[dict[str, str], str]:
    """A sentence for each field that is wrong, and one for the whole form where no field is to blame."""
    if refusal is None:
        return {}, ""
    faults = faults_of(table.collection, refusal)
    if not faults:
        return {}, plain(refusal.sentence, table, at)
    names = {field.name for field in table.fields}
    found: dict[str, str] = {}
    whole: list[str] = []
    for fault in faults:
        sentence = _sentence(table, fault, at)
        if fault.column in names and fault.place == table.collection:
            found.setdefault(fault.column or "", sentence)
        else:
            whole.append(sentence)
    return found, " ".join(whole)


def faults_of(place: str, refusal: HaulmError) -> tuple[Fault, ...]:
    """What a refusal finds wrong; one value that was not accepted is a fault of its column."""
    if isinstance(refusal, FolderRefused):
        return refusal.faults
    if isinstance(refusal, NotAccepted):
        return (Fault(place, None, refusal.where, refusal.found, refusal.accepted),)
    return ()


def said(found: str, accepted: str) -> str:
    """What is wrong and what would do, as one sentence."""
    accepted = _LARGE.sub(lambda number: f"{int(number[0]):,}", accepted)
    if found == "nothing":
        return _("Nothing is written here; what would do is {accepted}.").format(accepted=accepted)
    return _("Here stands {found}; what would do is {accepted}.").format(found=found, accepted=accepted)


def _sentence(table: Table, fault: Fault, at: At) -> str:
    field = next((one for one in table.fields if one.name == fault.column), None)
    accepted = plain(fault.accepted, table, at)
    if field is not None and fault.accepted == column_of(table, field.name).kind.accepted:
        accepted = widget_of(table, field).accepted(at) or accepted
    return said(plain(fault.found, table, at), accepted)


def plain(sentence: str, table: Table, at: At) -> str:
    """A sentence of the house without columns, keys and dates as programs write them."""
    labels = {name: f"\u201c{label}\u201d" for name, label in labels_of(table).items() if "_" in name}
    return said_plainly(sentence, labels, at)


def said_plainly(sentence: str, labels: Mapping[str, str], at: At) -> str:
    """The same, with the labels of what is named in it."""
    sentence = _DATE.sub(lambda found: _day(found[0]), sentence)
    sentence = _WEEK.sub(lambda found: week_words(Week.parse(found[0]), at.today), sentence)
    names = {**_named(at, _ROWS), **labels}
    return _WORD.sub(lambda found: names.get(found[0], found[0]), sentence)


def _named(at: At, collections: Iterable[str]) -> Mapping[str, str]:
    """Names by key, of keys that no plain word is taken for."""
    found: dict[str, str] = {}
    for collection in collections:
        found |= {key: name for key, name in at.names.all(collection).items() if re.search(r"[_\d-]", key)}
    return found


def _day(text: str) -> str:
    try:
        return day_in_words(date.fromisoformat(text))
    except ValueError:
        return text
