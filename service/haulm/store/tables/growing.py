"""Tables of what is grown: varieties, beds, batches, records, known stems, temperatures, sprays."""

import datetime as dt

from sqlalchemy import BigInteger
from sqlmodel import Field

from haulm.farm.words import BatchStatus, BedKind, Form, Grade, LifeCycle, Method, RecordKind, Role
from haulm.store.tables.parts import FarmRow, at_least, check, one_of, reference


class VarietyRow(FarmRow, table=True):
    """varieties.csv. A habit is any word: a new one needs no migration."""

    __tablename__ = "varieties"
    __table_args__ = (
        one_of("varieties", "life_cycle", LifeCycle),
        one_of("varieties", "role", Role),
        check("varieties", "germination_pct", '"germination_pct" BETWEEN 0 AND 100'),
        *(
            at_least("varieties", column, 0)
            for column in ("weeks_to_flower", "harvest_weeks", "stems_per_plant", "seeds_per_place", "hold_days")
        ),
        *(at_least("varieties", column, 0) for column in ("stand_days", "dry_days", "dried_keep_days")),
        *(at_least("varieties", column, 0) for column in ("bunch_stems", "price_minor", "dried_price_minor")),
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


class BedRow(FarmRow, table=True):
    """beds.csv."""

    __tablename__ = "beds"
    __table_args__ = (
        one_of("beds", "kind", BedKind),
        *(at_least("beds", column, 0) for column in ("metres", "width_cm", "trays")),
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
        one_of("batches", "method", Method),
        one_of("batches", "form", Form),
        one_of("batches", "status", BatchStatus),
        *(at_least("batches", column, 0) for column in ("sown", "plants", "trays", "metres")),
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


class RecordRow(FarmRow, table=True):
    """records.csv."""

    __tablename__ = "records"
    __table_args__ = (
        one_of("records", "kind", RecordKind),
        one_of("records", "grade", Grade),
        check("records", "about_one_thing", '"batch" IS NULL OR "variety" IS NULL'),
        *(at_least("records", column, 0) for column in ("count", "left", "length_cm")),
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


class KnownStemsRow(FarmRow, table=True):
    """known_stems.csv."""

    __tablename__ = "known_stems"
    __table_args__ = (at_least("known_stems", "stems", 0), at_least("known_stems", "length_cm", 0))

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
    __table_args__ = (check("temperatures", "extremes", '"min_c" <= "max_c"'),)

    date: dt.date
    min_c: float
    max_c: float


class SprayRow(FarmRow, table=True):
    """sprays.csv."""

    __tablename__ = "sprays"
    __table_args__ = (
        reference("sprays", "bed", "beds"),
        check("sprays", "wait_until", '"wait_until" >= "date"'),
    )

    bed: str
    date: dt.date
    wait_until: dt.date
    note: str
