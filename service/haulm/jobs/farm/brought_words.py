"""What came of a folder, in sentences: what was added, changed, kept, and what was old news."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from haulm.farm.cross_checks import COLLECTIONS
from haulm.jobs.farm.bring_in_folder import Brought
from haulm.jobs.quotes.line_words import joined
from haulm.language.words import _

_MOST_NAMED = 12


def brought_in_words(found: Brought) -> Iterator[str]:
    """Every sentence, the first with the farm's name."""
    if not (found.added or found.changed or found.is_site_changed):
        yield _("{farm}: nothing in the folder is new.").format(farm=found.name)
    else:
        yield _("{farm}: {what}.").format(farm=found.name, what="; ".join(_written(found)))
    yield from _rows(found.stays, _("Status or hold went no further back, and stays: {rows}."))
    yield from _rows(found.old, _("Old news, the farm says otherwise by now: {rows}."))
    yield from _rows(found.farm_won, _("Changed here and there, and the farm's stays: {rows}."))


def _written(found: Brought) -> Iterator[str]:
    if found.added:
        yield _("added {rows}").format(rows=_counts(found.added))
    if found.changed:
        yield _("changed {rows}").format(rows=_counts(found.changed))
    if found.is_site_changed:
        yield _("the farm's settings changed")


def _counts(rows: Mapping[str, int]) -> str:
    named = [f"{count} {COLLECTIONS[name] if count == 1 else name.replace('_', ' ')}" for name, count in rows.items()]
    return joined(named, _("and"))


def _rows(rows: Sequence[str], sentence: str) -> Iterator[str]:
    if rows:
        more = _(" and {count} more").format(count=len(rows) - _MOST_NAMED) if len(rows) > _MOST_NAMED else ""
        yield sentence.format(rows="; ".join(rows[:_MOST_NAMED]) + more)
