"""What alembic runs for every command: the connection it was given, the tables as the program declares them."""

from alembic import context

from haulm.store.tables.catalogue import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    render_as_batch=True,
    compare_type=True,
)
with context.begin_transaction():
    context.run_migrations()
