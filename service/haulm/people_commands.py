"""The commands about one person: what is kept is printed, or erased. Apart from `program`, which only names them."""

from __future__ import annotations

import json
from collections.abc import Callable

from haulm.jobs.desk.desk import Desk
from haulm.jobs.florists.forget_person import forget_person
from haulm.jobs.journal.see_person import see_person


def person_as_text(desk: Desk, key: str) -> str:
    """All that is kept of a customer, as JSON.

    Raises:
        NotFound: there is no such customer.
    """
    return json.dumps(see_person(desk, key).as_json(), ensure_ascii=False, indent=2)


def forgotten(desk: Desk, key: str) -> str:
    """Erases a customer's data and gives the sentence that says so.

    Raises:
        NotFound: there is no such customer.
    """
    with desk.store.unit_of_work(actor="program", now=desk.now()) as work:
        forget_person(work, key)
        work.save()
    return f"Erased: the books call this customer {key} from now on. Backups made before still hold the name."


COMMANDS: dict[str, Callable[[Desk, str], str]] = {"person": person_as_text, "forget": forgotten}
