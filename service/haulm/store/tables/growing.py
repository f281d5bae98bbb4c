"""Tables of what is grown: varieties, beds, batches, records, known stems, temperatures, sprays."""

import datetime as dt

from sqlalchemy import BigInteger
from sqlmodel import Field

from haulm.farm.words import (
    BatchStatus,
    BedKind,
    Form,
    Grade,
    InHand,
    LifeCycle,
    LossReason,
    Method,
    Needed,
    RecordKind,
    Role,
    WinterCover,
)
from haulm.store.tables.parts import FarmRow, check, not_before, one_of, reference, within_limits


class VarietyRow(FarmRow, table=True):
    """varieties.csv. A habit is any word: a new one needs no migration."""

    __tablename__ = "varieties"
    __table_args__ = (
        one_of("varieties", "life_cycle", LifeCycle),
        one_of("varieties", "role", Role),
        *within_limits("varieties"),
    )

    name: str
    botanical_name: str | None
    life_cycle: str | None
    role: str | None
    colour: str | None
    habit: str | None
    weeks_to_flower: float | None
    harvest_weeks: float | None
    stems_per_plant: float | None
    germination_pct: float | None
    germination_days: float | None
    seeds_per_place: int | None
    weeks_to_plant_out: float | None
    harden_days: int | None
    kill_c: float | None
    spacing_cm: float | None
    row_cm: float | None
    hold_days: int | None
    stand_days: int | None
    dry_days: int | None
    dried_keep_days: int | None
    lengths: str
    stages: str
    bunch_stems: int | None
    price_minor: int | None = Field(sa_type=BigInteger)
    dried_price_minor: int | None = Field(sa_type=BigInteger)
    food_use: bool | None
    caution: str | None
    kind: str | None
    weeks_through: int | None
    stems_through: int | None


class BedRow(FarmRow, table=True):
    """beds.csv."""

    __tablename__ = "beds"
    __table_args__ = (
        one_of("beds", "kind", BedKind),
        *within_limits("beds"),
    )

    name: str
    metres: float | None
    width_cm: float
    trays: int | None
    kind: str
    walk: int | None


class BatchRow(FarmRow, table=True):
    """batches.csv."""

    __tablename__ = "batches"
    __table_args__ = (
        reference("batches", "variety", "varieties"),
        reference("batches", "bed", "beds"),
        one_of("batches", "method", Method),
        one_of("batches", "form", Form),
        one_of("batches", "status", BatchStatus),
        one_of("batches", "winter_cover", WinterCover),
        *within_limits("batches"),
        not_before("batches", "plant_out_date", "sow_date"),
    )

    variety: str
    sow_date: dt.date | None
    method: str
    form: str
    sown: int | None
    plants: int | None
    trays: float | None
    tray: str | None
    bed: str | None
    metres: float | None
    plant_out_date: dt.date | None
    status: str
    winter_cover: str
    lot: str | None


class RecordRow(FarmRow, table=True):
    """records.csv."""

    __tablename__ = "records"
    __table_args__ = (
        reference("records", "batch", "batches"),
        reference("records", "variety", "varieties"),
        reference("records", "corrects", "records"),
        one_of("records", "kind", RecordKind),
        one_of("records", "grade", Grade),
        one_of("records", "reason", LossReason),
        check("records", "about_one_thing", '"batch" IS NULL OR "variety" IS NULL'),
        check("records", "frost", '"kind" <> \'frost\' OR ("batch" IS NULL AND "variety" IS NULL)'),
        check("records", "corrected", '"kind" <> \'corrected\' OR "corrects" IS NOT NULL'),
        *within_limits("records"),
    )

    date: dt.date
    kind: str
    batch: str | None
    variety: str | None
    count: int | None
    left: int | None
    final: bool
    grade: str | None
    length_cm: int | None
    note: str
    corrects: str | None
    reason: str | None
    share_pct: int | None
    typed_at: str | None
    really: bool


class KnownStemsRow(FarmRow, table=True):
    """known_stems.csv."""

    __tablename__ = "known_stems"
    __table_args__ = (
        *within_limits("known_stems"),
        not_before("known_stems", "cut_date", "ready_date"),
        not_before("known_stems", "usable_until", "ready_date"),
    )

    product: str
    ready_date: dt.date
    stems: int
    cut_date: dt.date | None
    length_cm: int | None
    usable_until: dt.date | None
    note: str


class TemperatureRow(FarmRow, table=True):
    """temperatures.csv; the key is the date."""

    __tablename__ = "temperatures"
    __table_args__ = (*within_limits("temperatures"), not_before("temperatures", "max_c", "min_c"))

    date: dt.date
    min_c: float
    max_c: float


class SprayRow(FarmRow, table=True):
    """sprays.csv."""

    __tablename__ = "sprays"
    __table_args__ = (
        reference("sprays", "bed", "beds"),
        not_before("sprays", "wait_until", "date"),
    )

    bed: str
    date: dt.date
    wait_until: dt.date
    note: str


class AtHomeRow(FarmRow, table=True):
    """at_home.csv; the key is variety and what it is begun from."""

    __tablename__ = "at_home"
    __table_args__ = (
        reference("at_home", "variety", "varieties"),
        one_of("at_home", "what", Needed),
        one_of("at_home", "state", InHand),
    )

    variety: str
    what: str
    state: str
    date: dt.date


class PastYearRow(FarmRow, table=True):
    """past_years.csv."""

    __tablename__ = "past_years"
    __table_args__ = (
        reference("past_years", "variety", "varieties"),
        one_of("past_years", "method", Method),
        *within_limits("past_years"),
        not_before("past_years", "last_cut", "first_cut"),
        not_before("past_years", "first_cut", "sow_date"),
    )

    year: int
    variety: str | None
    kind: str | None
    sow_date: dt.date | None
    method: str | None
    tunnel: bool
    first_cut: dt.date | None
    last_cut: dt.date | None
    stems: int | None
    plants: int | None
    really: bool
    note: str
