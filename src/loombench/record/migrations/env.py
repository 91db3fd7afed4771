"""How Alembic runs the migrations: on the connection it is handed, inside the transaction that is open there."""

from alembic import context

context.configure(connection=context.config.attributes["connection"], transactional_ddl=True)
context.run_migrations()
