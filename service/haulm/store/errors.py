"""The refusals of the store."""

from __future__ import annotations

from haulm.errors import HaulmError


class DatabaseUnusable(HaulmError):
    """The address of the database is not one that can be used."""

    code = "database-unusable"

    def __init__(self, *, reason: str) -> None:
        super().__init__(reason, reason=reason)


class DatabaseUnreachable(HaulmError):
    """The database does not answer."""

    code = "database-unreachable"

    def __init__(self, *, database: str, reason: str) -> None:
        super().__init__(f"The database {database} does not answer: {reason}.", database=database, reason=reason)


class DatabaseNotMigrated(HaulmError):
    """The tables are older or newer than this program."""

    code = "database-not-migrated"

    def __init__(self, *, found: str | None, needed: str) -> None:
        at = f"is at {found}" if found else "has no tables yet"
        sentence = (
            f"The database {at} and this program needs {needed}: run 'haulm-service migrate' of the newer version."
        )
        super().__init__(sentence, found=found, needed=needed)


class StoreBusy(HaulmError):
    """Somebody else wrote for so long that the wait was given up."""

    code = "store-busy"

    def __init__(self, *, waited_s: float) -> None:
        super().__init__(f"The farm was being written for more than {waited_s:g} s; try again.", waited_s=waited_s)
        self.waited_s = waited_s


class FarmEmpty(HaulmError):
    """There is no farm in the database yet."""

    code = "farm-empty"

    def __init__(self) -> None:
        super().__init__("There is no farm in the database yet: run 'haulm-service import FOLDER'.")


class FarmNotEmpty(HaulmError):
    """An import would write over a farm that has data."""

    code = "farm-not-empty"

    def __init__(self, *, name: str) -> None:
        sentence = f"The database already holds the farm '{name}'; say --replace to write over it."
        super().__init__(sentence, name=name)


class VersionStale(HaulmError):
    """The row was changed since it was read."""

    code = "version-stale"

    def __init__(self, *, kind: str, key: str, expected: int, found: int) -> None:
        sentence = f"'{key}' in {kind} is at version {found}, not {expected}: somebody changed it; read it again."
        super().__init__(sentence, kind=kind, key=key, expected=expected, found=found)
        self.found = found


class RowNotAccepted(HaulmError):
    """A row breaks a rule that the tables keep."""

    code = "row-not-accepted"

    def __init__(self, *, reason: str) -> None:
        super().__init__(f"The database did not accept a row: {reason}.", reason=reason)


class KeyReusedWithOtherBody(HaulmError):
    """An idempotency key came back with another request."""

    code = "idempotency-key-reused"

    def __init__(self, *, key: str) -> None:
        super().__init__(f"The idempotency key '{key}' was used before with another body; use a new one.", key=key)


class PostingKeyReused(HaulmError):
    """A posting key came back with other stems."""

    code = "posting-key-reused"

    def __init__(self, *, key: str) -> None:
        super().__init__(f"The posting '{key}' is in the book already with other figures.", key=key)


class StemsNotThere(HaulmError):
    """A posting would take stems that an account does not hold."""

    code = "stems-not-there"

    def __init__(self, *, source: str, product: str, account: str, held: int, asked: int) -> None:
        sentence = f"The account '{account}' holds {held} stems of {product} from {source}; {asked} were to leave it."
        super().__init__(sentence, source=source, product=product, account=account, held=held, asked=asked)


class PromiseOutOfTurn(HaulmError):
    """A promise cannot become what was asked from where it stands: a hold, for example, resolves at most once."""

    code = "promise-out-of-turn"

    def __init__(self, *, line: str, due: str, state: str, asked: str) -> None:
        sentence = f"The promise of line '{line}' for {due} is {state}; it cannot become {asked}."
        super().__init__(sentence, line=line, due=due, state=state, asked=asked)


class BackupRefused(HaulmError):
    """A backup cannot be written or read."""

    code = "backup-refused"

    def __init__(self, *, reason: str) -> None:
        super().__init__(reason, reason=reason)
