"""The events of jobs, only ever added to."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the table and what guards it."""
    op.create_table(
        "event",
        sa.Column("kept", sa.Integer, nullable=False),
        sa.Column("job", sa.String, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("format", sa.Integer, nullable=False),
        sa.Column("line", sa.String, nullable=False),
        sa.Column("sha256", sa.LargeBinary(32), nullable=False),
        sa.PrimaryKeyConstraint("kept", name="pk_event"),
        sa.UniqueConstraint("job", "number", name="uq_event_job"),
        sqlite_autoincrement=True,
    )
    for verb in ("update", "delete"):
        op.execute(
            f"create trigger event_no_{verb} before {verb} on event "
            "begin select raise(abort, 'events are only ever added'); end"
        )
