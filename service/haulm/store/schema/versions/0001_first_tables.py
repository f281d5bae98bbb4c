"""The first tables: the farm, its entries, people, both books, answers kept, and one table per file of the folder."""

from typing import Any

import sqlalchemy as sa
from alembic import op
from sqlalchemy.types import TypeEngine
from sqlmodel.sql.sqltypes import AutoString, UTCDateTime

revision = "0001"
down_revision = None

KINDS: dict[str, TypeEngine[Any]] = {
    "text": AutoString(),
    "long": sa.Text(),
    "whole": sa.Integer(),
    "big": sa.BigInteger(),
    "number": sa.Float(),
    "flag": sa.Boolean(),
    "day": sa.Date(),
    "moment": UTCDateTime(),
    "json": sa.JSON(),
}
"""The types of columns; a `?` after the word: may be empty."""
APPEND_ONLY = ("entries", "promises", "stem_postings")
FILES = (
    "varieties beds batches records known_stems temperatures sprays customers standing_orders standing_lines changes "
    "orders order_lines prices recipes"
).split()


def upgrade() -> None:
    op.create_table(
        "farms",
        sa.Column("id", sa.Integer, autoincrement=False, nullable=False),
        column("version", "whole"),
        column("site", "json?"),
        *at_least(0, "farms", "version"),
        sa.PrimaryKeyConstraint("id", name="pk_farms"),
    )
    _make_ledger()
    _make_growing()
    _make_selling()
    _forbid_editing()


def downgrade() -> None:
    for name in (*reversed(FILES), "idempotency", "stem_postings", "promises", "people", "entries", "farms"):
        op.drop_table(name)
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP FUNCTION haulm_refuse_editing()")


def _make_growing() -> None:
    make_file_table(
        "varieties",
        "name text, botanical_name text?, life_cycle text?, role text?, colour text?, habit text?, "
        "weeks_to_flower number?, harvest_weeks number?, stems_per_plant number?, germination_pct "
        "number?, germination_days number?, seeds_per_place whole?, weeks_to_plant_out number?, "
        "harden_days whole?, kill_c number?, spacing_cm number?, row_cm number?, hold_days whole?, "
        "stand_days whole?, dry_days whole?, dried_keep_days whole?, lengths text, stages text, "
        "bunch_stems whole?, price_minor big?, dried_price_minor big?, food_use flag?, caution text?",
        *within(
            "varieties",
            "bunch_stems 1 1000000, dried_keep_days 0 36500, dried_price_minor 0 1000000000, "
            "dry_days 0 366, germination_days 0 366, germination_pct 0 100, harden_days 0 366, "
            "harvest_weeks 0 260, hold_days 0 366, kill_c -70 60, price_minor 0 1000000000, row_cm "
            "0.1 100000, seeds_per_place 1 10000, spacing_cm 0.1 100000, stand_days 0 366, "
            "stems_per_plant 0 1000, weeks_to_flower 0 260, weeks_to_plant_out 0 260",
        ),
        one_of("varieties", "life_cycle", "hardy_annual half_hardy_annual tender_annual biennial perennial bulb_tuber"),
        one_of("varieties", "role", "focal secondary spike filler accent texture movement foliage"),
    )
    make_file_table(
        "beds",
        "name text, metres number?, width_cm number, trays whole?, kind text, walk whole?",
        *within("beds", "metres 0 1000000, trays 0 1000000, walk 0 1000000000, width_cm 0.1 100000"),
        one_of("beds", "kind", "outdoor tunnel bench"),
    )
    make_file_table(
        "batches",
        "variety text, sow_date day?, method text, form text, sown whole?, plants whole?, trays number?, "
        "tray text?, bed text?, metres number?, plant_out_date day?, status text",
        *within("batches", "metres 0 1000000, plants 0 1000000, sown 0 1000000, trays 0 1000000"),
        one_of("batches", "form", "fresh dried"),
        one_of("batches", "method", "heated cover direct plugs tuber established"),
        not_before("batches", "plant_out_date", "sow_date"),
        one_of("batches", "status", "planned sown planted cutting finished lost"),
        reference("batches", "bed", "beds"),
        reference("batches", "variety", "varieties"),
    )
    make_file_table(
        "records",
        "date day, kind text, batch text?, variety text?, count whole?, left whole?, final flag, grade "
        "text?, length_cm whole?, note text, corrects text?",
        *within("records", "count 0 1000000, left 0 1000000, length_cm 0 1000"),
        check("records", "about_one_thing", '"batch" IS NULL OR "variety" IS NULL'),
        check("records", "corrected", '"kind" <> \'corrected\' OR "corrects" IS NOT NULL'),
        check("records", "frost", '"kind" <> \'frost\' OR ("batch" IS NULL AND "variety" IS NULL)'),
        one_of("records", "grade", "A B"),
        one_of(
            "records",
            "kind",
            "sown germinated pricked_out potted_on hardening planted standing "
            "not_yet first_cut cut hung waste lost resown frost finished corrected",
        ),
        reference("records", "batch", "batches"),
        reference("records", "corrects", "records"),
        reference("records", "variety", "varieties"),
    )
    make_file_table(
        "known_stems",
        "product text, ready_date day, stems whole, cut_date day?, length_cm whole?, usable_until day?, note text",
        *within("known_stems", "length_cm 0 1000, stems 0 1000000"),
        not_before("known_stems", "cut_date", "ready_date"),
        not_before("known_stems", "usable_until", "ready_date"),
    )
    make_file_table(
        "temperatures",
        "date day, min_c number, max_c number",
        *within("temperatures", "max_c -70 60, min_c -70 60"),
        not_before("temperatures", "max_c", "min_c"),
    )
    make_file_table(
        "sprays",
        "bed text, date day, wait_until day, note text",
        not_before("sprays", "wait_until", "date"),
        reference("sprays", "bed", "beds"),
    )


def _make_selling() -> None:
    make_file_table(
        "customers",
        "person whole, kind text, notice_days whole",
        *within("customers", "notice_days 0 366"),
        one_of("customers", "kind", "florist wedding stall"),
        reference("customers", "person", "people", "id"),
    )
    make_file_table(
        "standing_orders",
        "customer text, weekday text, first_week text, last_week text, every whole, committed_on day?, status text",
        *within("standing_orders", "every 1 2"),
        not_before("standing_orders", "last_week", "first_week"),
        one_of("standing_orders", "status", "active paused ended"),
        one_of("standing_orders", "weekday", "mon tue wed thu fri sat sun"),
        reference("standing_orders", "customer", "customers"),
    )
    make_file_table(
        "standing_lines",
        "order text, stems whole, product text?, choice text?, minimum whole, substitutes text, stage "
        "text?, min_length_cm whole, max_each whole?, max_age_days whole?, promised_confidence number?",
        *within(
            "standing_lines",
            "max_age_days 0 36500, max_each 1 1000000, min_length_cm 0 1000, minimum 0 1000000, stems 1 1000000",
        ),
        check("standing_lines", "max_each_of_choice", '"max_each" IS NULL OR "choice" IS NOT NULL'),
        check("standing_lines", "product_or_choice", '("product" IS NULL) <> ("choice" IS NULL)'),
        check("standing_lines", "promised_confidence", '"promised_confidence" > 0 AND "promised_confidence" < 1'),
        not_before("standing_lines", "stems", "minimum"),
        reference("standing_lines", "order", "standing_orders"),
    )
    make_file_table(
        "changes",
        "order text, week text, stems whole, line text?, note text",
        *within("changes", "stems 0 1000000"),
        reference("changes", "line", "standing_lines"),
        reference("changes", "order", "standing_orders"),
    )
    make_file_table(
        "orders",
        "customer text, kind text, due_date day, event_date day?, committed_on day?, status text, "
        "hold_until day?, final_numbers_date day?, unacceptable text",
        check("orders", "hold_until", '"status" <> \'on_hold\' OR "hold_until" IS NOT NULL'),
        one_of("orders", "kind", "wedding one_off stall"),
        one_of("orders", "status", "quoted on_hold contracted delivered cancelled"),
        reference("orders", "customer", "customers"),
    )
    make_file_table(
        "order_lines",
        "order text, stems whole, product text?, choice text?, minimum whole, substitutes text, stage "
        "text?, min_length_cm whole, max_each whole?, max_age_days whole?, promised_confidence number?, "
        "spare whole, agreed_price_minor big?, no_substitute flag",
        *within(
            "order_lines",
            "agreed_price_minor 0 1000000000, max_age_days 0 36500, max_each 1 1000000, "
            "min_length_cm 0 1000, minimum 0 1000000, spare 0 1000000, stems 1 1000000",
        ),
        check("order_lines", "max_each_of_choice", '"max_each" IS NULL OR "choice" IS NOT NULL'),
        check("order_lines", "product_or_choice", '("product" IS NULL) <> ("choice" IS NULL)'),
        check("order_lines", "promised_confidence", '"promised_confidence" > 0 AND "promised_confidence" < 1'),
        not_before("order_lines", "stems", "minimum"),
        reference("order_lines", "order", "orders"),
    )
    make_file_table(
        "prices",
        "product text, price_minor big?, customer text?, length_cm whole?, bunch_stems whole?",
        *within("prices", "bunch_stems 1 1000000, length_cm 0 1000, price_minor 0 1000000000"),
        reference("prices", "customer", "customers"),
    )
    make_file_table(
        "recipes",
        "piece text, role text, stems whole, note text",
        *within("recipes", "stems 1 1000000"),
        one_of("recipes", "role", "focal secondary spike filler accent texture movement foliage"),
    )


def _make_ledger() -> None:
    make_table(
        "entries",
        ("farm_id", "seq"),
        "seq whole, version whole, at_utc moment, actor text, kind text, subject text, corrects whole?, body json",
        *at_least(1, "entries", "seq"),
        check("entries", "corrects", '"corrects" < "seq"'),
        reference("entries", "corrects", "entries", "seq"),
    )
    op.create_index("ix_entries_subject", "entries", ["farm_id", "kind", "subject"])
    make_table(
        "people",
        ("farm_id", "id"),
        "id whole, name text, email text?, erased_at_utc moment?",
        check("people", "erased", '"erased_at_utc" IS NULL OR ("name" = \'\' AND "email" IS NULL)'),
    )
    make_table(
        "promises",
        ("farm_id", "number"),
        "number whole, entry_seq whole, line text, due day, order text, state text, stems whole, "
        "confidence number?, resolves whole?",
        *within("promises", "confidence 0 1"),
        *at_least(0, "promises", "stems"),
        check("promises", "resolves", '"resolves" < "number"'),
        one_of("promises", "state", "asked held contracted released lapsed delivered"),
        reference("promises", "entry_seq", "entries", "seq"),
        reference("promises", "resolves", "promises", "number"),
        sa.UniqueConstraint("farm_id", "resolves", name="uq_promises_resolves"),
    )
    op.create_index("ix_promises_line", "promises", ["farm_id", "line", "due"])
    make_table(
        "stem_postings",
        ("farm_id", "entry_seq", "n"),
        "entry_seq whole, n whole, posting_key text, product text, source text, account_from text, "
        "account_to text, stems big",
        *at_least(1, "stem_postings", "n stems"),
        one_of("stem_postings", "account_from", "field cut store packed delivered stall dried waste"),
        one_of("stem_postings", "account_to", "field cut store packed delivered stall dried waste"),
        check("stem_postings", "moves", '"account_from" <> "account_to"'),
        reference("stem_postings", "entry_seq", "entries", "seq"),
        sa.UniqueConstraint("farm_id", "posting_key", name="uq_stem_postings_posting_key"),
    )
    op.create_index("ix_stem_postings_source", "stem_postings", ["farm_id", "source", "product"])
    make_table(
        "idempotency",
        ("farm_id", "actor", "route", "key"),
        "actor text, route text, key text, body_hash text, status whole, answer text, at_utc moment",
    )
    op.create_index("ix_idempotency_at_utc", "idempotency", ["farm_id", "at_utc"])


def _forbid_editing() -> None:
    """Lets nobody edit what was written for good, whatever the program does."""
    if op.get_bind().dialect.name == "sqlite":
        for table in APPEND_ONLY:
            for verb in ("UPDATE", "DELETE"):
                op.execute(
                    f"CREATE TRIGGER tr_{table}_{verb.lower()} BEFORE {verb} ON {table} "
                    f"BEGIN SELECT RAISE(ABORT, '{table} is never edited'); END"
                )
        return
    op.execute(
        "CREATE FUNCTION haulm_refuse_editing() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION '% is never edited', TG_TABLE_NAME "
        "USING ERRCODE = 'integrity_constraint_violation'; END $$"
    )
    for table in APPEND_ONLY:
        op.execute(
            f"CREATE TRIGGER tr_{table}_edit BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION haulm_refuse_editing()"
        )


def make_table(name: str, key: tuple[str, ...], columns: str, *constraints: sa.Constraint) -> None:
    op.create_table(
        name,
        sa.Column("farm_id", sa.Integer(), nullable=False),
        *(column(*words.split()) for words in columns.split(", ")),
        *constraints,
        sa.PrimaryKeyConstraint(*key, name=f"pk_{name}"),
        sa.ForeignKeyConstraint(["farm_id"], ["farms.id"], name=f"fk_{name}_farm_id"),
    )


def make_file_table(name: str, columns: str, *constraints: sa.Constraint) -> None:
    make_table(name, ("farm_id", "key"), f"key text, position whole, row_version whole, {columns}", *constraints)


def column(name: str, kind: str) -> sa.Column[Any]:
    return sa.Column(name, KINDS[kind.rstrip("?")], nullable=kind.endswith("?"))


def check(table: str, name: str, sql: str) -> sa.CheckConstraint:
    return sa.CheckConstraint(sql, name=f"ck_{table}_{name}")


def at_least(least: int, table: str, columns: str) -> list[sa.CheckConstraint]:
    return [check(table, name, f'"{name}" >= {least}') for name in columns.split()]


def within(table: str, bounds: str) -> list[sa.CheckConstraint]:
    parts = [item.split() for item in bounds.split(", ")]
    return [check(table, name, f'"{name}" BETWEEN {low} AND {high}') for name, low, high in parts]


def not_before(table: str, column: str, other: str) -> sa.CheckConstraint:
    return check(table, f"{column}_not_before", f'"{column}" >= "{other}"')


def one_of(table: str, column: str, words: str) -> sa.CheckConstraint:
    return check(table, column, f'"{column}" IN ({", ".join(repr(word) for word in words.split())})')


def reference(table: str, column: str, target: str, target_column: str = "key") -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(
        ("farm_id", column),
        (f"{target}.farm_id", f"{target}.{target_column}"),
        name=f"fk_{table}_{column}",
        deferrable=True,
        initially="DEFERRED",
    )
