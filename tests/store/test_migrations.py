"""The migrations make exactly the tables that the program declares, on both engines, and never half of them."""

import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, inspect, text
from sqlalchemy.exc import DBAPIError

from haulm.farm.piece_decisions import PieceDecision
from haulm.farm.snapshot import Farm
from haulm.farm.varieties import Variety
from haulm.farm.words import Decision, Use
from haulm.store import migrations
from haulm.store.engine import database_engine, database_url, writing
from haulm.store.errors import DatabaseNotMigrated, RowNotAccepted
from haulm.store.store import Store
from haulm.store.tables.catalogue import METADATA
from haulm.store.upgrading import alembic_config
from support.desks import migrated
from support.farms import farm, order, order_line
from support.postgres import Cluster

LARKSPUR = Variety("larkspur", "White larkspur")
MOMENT = datetime(2027, 5, 20, 12, tzinfo=UTC)
APPEND_ONLY = ("entries", "promises", "floors", "stem_postings")


@pytest.fixture
def postgres_url(postgres_cluster: Cluster) -> Iterator[str]:
    """A database of the test's own: its tables are changed here."""
    with postgres_cluster.copied(postgres_cluster.prepared("haulm_tables", migrated)) as url:
        yield url


@pytest.fixture
def connection(url: str) -> Iterator[Connection]:
    """A connection to a database with tables, as migrations use it."""
    engine = database_engine(database_url(url), foreign_keys=False)
    with writing(engine) as opened:
        yield opened
    engine.dispose()


def checks(connection: Connection, table: str) -> dict[str, str]:
    """The CHECK constraints that a table has in the database."""
    return {str(found["name"]): found["sqltext"] for found in inspect(connection).get_check_constraints(table)}


def test_models_and_migrations_agree(connection: Connection) -> None:
    context = MigrationContext.configure(connection, opts={"compare_type": True})

    assert compare_metadata(context, METADATA) == []


def test_a_drift_between_model_and_table_would_be_noticed(connection: Connection) -> None:
    connection.execute(text("ALTER TABLE beds ADD COLUMN colour VARCHAR"))
    context = MigrationContext.configure(connection, opts={"compare_type": True})

    assert [change[0] for change in compare_metadata(context, METADATA)] == ["remove_column"]


def test_the_checks_in_the_database_are_those_of_the_models(connection: Connection) -> None:
    for table in METADATA.tables.values():
        declared = {str(c.name): str(c.sqltext) for c in table.constraints if hasattr(c, "sqltext")}
        found = checks(connection, table.name)
        assert set(found) == set(declared)
        if connection.dialect.name == "sqlite":  # PostgreSQL writes them in its own words
            assert found == declared


def test_the_names_of_the_files_say_the_revisions_in_their_order() -> None:
    scripts = ScriptDirectory.from_config(alembic_config(migrations.SCHEMA_FOLDER))
    in_order = [script.revision for script in scripts.walk_revisions()][::-1]

    assert in_order == [Path(script.path).name.partition("_")[0] for script in scripts.walk_revisions()][::-1]
    assert in_order == sorted(in_order)
    assert migrations.newest_revision() == scripts.get_current_head()


def test_down_and_up_again_gives_the_same_tables(connection: Connection) -> None:
    config = alembic_config(migrations.SCHEMA_FOLDER)
    config.attributes["connection"] = connection
    with connection.begin():
        before = set(inspect(connection).get_table_names())
        command.downgrade(config, "base")
        assert set(inspect(connection).get_table_names()) == {"alembic_version"}
        command.upgrade(config, "head")
        inspector = inspect(connection)
        assert set(inspector.get_table_names()) == before


def test_floors_that_an_earlier_release_looked_at_rest_on_the_figures_of_the_first(connection: Connection) -> None:
    config = alembic_config(migrations.SCHEMA_FOLDER)
    config.attributes["connection"] = connection
    with connection.begin():
        connection.execute(text("INSERT INTO farms (id, version) VALUES (1, 3)"))
        followed = "(farm_id, version, day, floors, model) VALUES (1, 3, '2027-05-20', :floors, 7)"
        connection.execute(text(f"INSERT INTO floors_followed {followed}"), {"floors": b"packed"})
        command.downgrade(config, "0012-1")
        command.upgrade(config, "head")
        found = connection.execute(text("SELECT version, floors, model FROM floors_followed")).one()
    assert (found.version, bytes(found.floors), found.model) == (3, b"packed", 1)


@pytest.mark.parametrize("table", APPEND_ONLY)
def test_the_database_itself_refuses_to_edit_what_is_written_for_good(connection: Connection, table: str) -> None:
    values = {
        "entries": "(farm_id, seq, version, at_utc, actor, kind, subject, body) "
        "VALUES (1, 1, 1, '2027-05-20 12:00:00', 'owner', 'x', 'y', '{}')",
        "promises": '(farm_id, number, entry_seq, line, due, "order", state, stems) '
        "VALUES (1, 1, 1, 'l', '2027-05-20', 'o', 'held', 5)",
        "floors": '(farm_id, number, entry_seq, version, day, "order", due, level, confidence, floor, debt, causes, '
        "by_promise) "
        "VALUES (1, 1, 1, 1, '2027-05-20', 'o', '2027-05-20', 0.8, 0.9, 0.8, 0, '[]', true)",
        "stem_postings": "(farm_id, entry_seq, n, posting_key, product, source, account_from, account_to, stems) "
        "VALUES (1, 1, 1, 'k', 'lagurus', 'b1', 'field', 'cut', 5)",
    }
    with connection.begin():
        connection.execute(text("INSERT INTO farms (id, version) VALUES (1, 0)"))
        for name in dict.fromkeys(("entries", table)):
            connection.execute(text(f"INSERT INTO {name} {values[name]}"))
    for statement in (f"UPDATE {table} SET farm_id = farm_id", f"DELETE FROM {table}"):
        with pytest.raises(DBAPIError, match="is never edited"), connection.begin():
            connection.execute(text(statement))


def test_a_farm_of_before_the_decisions_is_kept_whole_and_takes_them(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'older.db'}"
    migrated(url)
    store = Store.open(url)
    with store.unit_of_work(actor="owner", now=MOMENT) as work:
        work.replace_farm(Farm(farm().site, varieties=(LARKSPUR,)))
        work.save()
    store.close()
    engine = database_engine(database_url(url), foreign_keys=False)
    config = alembic_config(migrations.SCHEMA_FOLDER)
    with writing(engine) as opened:
        config.attributes["connection"] = opened
        with opened.begin():
            command.downgrade(config, "0004")
    engine.dispose()

    store = Store.open(url)
    with pytest.raises(DatabaseNotMigrated):
        store.version()
    store.migrate()

    assert (store.farm().varieties, store.farm().piece_decisions) == ((LARKSPUR,), ())
    decided = PieceDecision(LARKSPUR.key, Use.WORN, Decision.USE, None, "gloves")
    with store.unit_of_work(actor="owner", now=MOMENT) as work:
        work.put(decided)
        work.save()
    assert Store.open(url).farm().piece_decisions == (decided,)
    store.close()


def test_a_program_refuses_a_database_without_tables(tmp_path: Path) -> None:
    store = Store.open(f"sqlite:///{tmp_path / 'none.db'}")

    assert store.is_empty()
    with pytest.raises(DatabaseNotMigrated, match="has no tables yet"):
        store.version()
    assert not (tmp_path / "none.db").exists()


def test_a_program_refuses_tables_that_are_newer_than_itself(connection: Connection, url: str) -> None:
    with connection.begin():
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    store = Store.open(url)

    with pytest.raises(DatabaseNotMigrated, match="is at 9999"):
        store.ping()
    with pytest.raises(DatabaseNotMigrated, match="is at 9999"):
        store.migrate()
    store.close()


def test_a_migration_that_would_leave_a_broken_reference_leaves_nothing(sqlite_url: str) -> None:
    engine = database_engine(database_url(sqlite_url), foreign_keys=False)
    with writing(engine) as connection, connection.begin():
        connection.execute(text("INSERT INTO people (farm_id, id, name) VALUES (7, 1, 'Anna')"))
    engine.dispose()

    with pytest.raises(RowNotAccepted, match="a row of 'people' points at no row of 'farms'"):
        migrations.migrate(database_url(sqlite_url))


NEXT_VERSION = '''"""A table changed the way SQLite needs it: copied, dropped, renamed."""

import sqlalchemy as sa
from alembic import op

revision = "later"
down_revision = "HEAD"


def upgrade() -> None:
    with op.batch_alter_table("orders", recreate="auto") as orders:
        orders.add_column(sa.Column("venue", sa.String(), nullable=True))
        orders.alter_column("customer", nullable=True)


def downgrade() -> None:
    with op.batch_alter_table("orders") as orders:
        orders.drop_column("venue")
'''


def test_a_table_changed_by_a_later_version_keeps_its_rows_and_those_that_point_at_it(
    url: str, connection: Connection, tmp_path: Path
) -> None:
    store = Store.open(url)
    with store.unit_of_work(actor="owner", now=datetime(2027, 5, 20, tzinfo=UTC)) as work:
        work.replace_farm(farm(orders=(order(),), order_lines=(order_line(), order_line("wedding-2"))))
        work.save()
    store.close()
    later = Path(shutil.copytree(migrations.SCHEMA_FOLDER, tmp_path / "schema"))
    (later / "versions" / "later_venue.py").write_text(NEXT_VERSION.replace("HEAD", migrations.newest_revision()))

    migrations.migrate(database_url(url), schema=later)

    assert connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one() == "later"
    assert connection.execute(text("SELECT key, venue FROM orders")).all() == [("wedding", None)]
    assert connection.execute(text("SELECT count(*) FROM order_lines")).scalar_one() == 2


def test_the_file_with_names_in_it_is_its_owners_alone(tmp_path: Path) -> None:
    store = Store.open(f"sqlite:///{tmp_path / 'new' / 'farm.db'}")
    store.migrate()
    store.close()

    assert (tmp_path / "new" / "farm.db").stat().st_mode & 0o777 == 0o600
