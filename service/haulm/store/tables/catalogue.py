"""Every table by its name, as the statements of the store use them."""

from sqlalchemy import Table
from sqlmodel import SQLModel

from haulm.store.tables import background, doors, growing, ledger, mail, selling

MODULES = (background, doors, growing, ledger, mail, selling)
METADATA = SQLModel.metadata


def table(name: str) -> Table:
    """The table of that name."""
    return METADATA.tables[name]


FARMS = table("farms")
ENTRIES = table("entries")
PEOPLE = table("people")
OWN_WORDS = table("own_words")
PROMISES = table("promises")
FLOORS = table("floors")
FOLLOWED = table("floors_followed")
STEM_POSTINGS = table("stem_postings")
IDEMPOTENCY = table("idempotency")
PASSWORDS = table("passwords")
SESSIONS = table("sessions")
OUTBOX = table("outbox")
DONE_JOBS = table("done_jobs")
GAPS = table("gaps")
GAP_WAYS = table("gap_ways")
GAPS_FOLLOWED = table("gaps_followed")
GAP_JOBS = table("gap_jobs")
LEASES = table("leases")
SEASON_PLANS = table("season_plans")
