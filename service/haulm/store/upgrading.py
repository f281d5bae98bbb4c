"""Running the migrations. Apart from `migrations`, since reading Alembic in takes a good part of a program's start."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection


def upgrade(connection: Connection, schema: Path) -> None:
    """Runs what a database lacks of the migrations in a folder, in the transaction that is open."""
    config = alembic_config(schema)
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


def alembic_config(schema: Path) -> Config:
    """Alembic's configuration for the migrations in a folder."""
    config = Config()
    config.set_main_option("script_location", str(schema).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config
