"""The one table from refusals to HTTP statuses."""

from __future__ import annotations

from haulm.errors import HaulmError, NotAccepted, NotFound
from haulm.farm_folder.faults import FolderNotWritten, FolderRefused
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
from haulm.jobs.farm.bring_in_folder import FolderConflicts, FolderNotPromised
from haulm.jobs.farm.doubtful_records import DoubtfulRecord
from haulm.jobs.farm.let_in import NotLetIn
from haulm.jobs.farm.replace_from_folder import WouldDiscard
from haulm.jobs.journal.refusals import NotTakenBack
from haulm.jobs.quotes.promise_refused import PromiseRefused
from haulm.jobs.quotes.refusals import HoldExpired, NotAQuote, NothingInSeason, PartNotOffered
from haulm.jobs.warning.list_calendar import LinkNotValid
from haulm.settings import SecretUnsafe
from haulm.store.errors import (
    BackupRefused,
    DatabaseNotMigrated,
    DatabaseUnreachable,
    DatabaseUnusable,
    FarmEmpty,
    FarmNotEmpty,
    KeyReusedWithOtherBody,
    PostingKeyReused,
    PromiseOutOfTurn,
    RowNotAccepted,
    StemsNotThere,
    StoreBusy,
    VersionStale,
)
from haulm.web.links import PersonalLinkNotValid
from haulm.web.refusals import BodyNotRead, ForeignOrigin, HostNotListed, KeyInFlight, NotForYou
from haulm.web.throttle import TooManyTries

STATUSES: dict[type[HaulmError], int] = {
    HaulmError: 422,
    NotAccepted: 422,
    NotFound: 404,
    FolderRefused: 422,
    FolderNotWritten: 409,
    ClimateMissing: 409,
    DatePassed: 422,
    DayNotServed: 422,
    DoubtfulRecord: 409,
    HoldExpired: 409,
    NothingInSeason: 422,
    LinkNotValid: 403,
    DraftChanged: 412,
    NotAsSeen: 412,
    ListConfirmed: 409,
    ListFarAhead: 409,
    NotCutYet: 409,
    NothingToSettle: 409,
    SeenNotSaid: 428,
    NotABucketDay: 422,
    NotAQuote: 409,
    NotTakenBack: 409,
    PartNotOffered: 409,
    PromiseRefused: 409,
    ShortTwice: 409,
    BackupRefused: 409,
    DatabaseNotMigrated: 503,
    DatabaseUnreachable: 503,
    DatabaseUnusable: 503,
    FarmEmpty: 409,
    FarmNotEmpty: 409,
    FolderConflicts: 409,
    FolderNotPromised: 409,
    WouldDiscard: 409,
    KeyReusedWithOtherBody: 422,
    PostingKeyReused: 409,
    PromiseOutOfTurn: 409,
    RowNotAccepted: 422,
    SecretUnsafe: 503,
    StemsNotThere: 409,
    StoreBusy: 503,
    VersionStale: 412,
    BodyNotRead: 422,
    ForeignOrigin: 403,
    HostNotListed: 421,
    KeyInFlight: 409,
    NotForYou: 403,
    NotLetIn: 403,
    PersonalLinkNotValid: 403,
    TooManyTries: 429,
}
