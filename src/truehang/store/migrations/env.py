"""Runs the migrations on the connection that `database.migrate` hands over."""

from alembic import context

from truehang.store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    transactional_ddl=True,
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
