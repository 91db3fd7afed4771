"""What belongs to a job besides its events: the vehicle's text, photos."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Make the tables and what guards them."""
    op.create_table(
        "content",
        sa.Column("sha256", sa.LargeBinary(32), nullable=False),
        sa.Column("data", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_content"),
    )
    op.create_table(
        "attached",
        sa.Column("kept", sa.Integer, nullable=False),
        sa.Column("job", sa.String, nullable=False),
        sa.Column("kind", sa.String, nullable=False),
        sa.Column("bundle", sa.String, nullable=False),
        sa.Column("name", sa.String, nullable=False),
        sa.Column("media", sa.String, nullable=False),
        sa.Column("sha256", sa.LargeBinary(32), nullable=False),
        sa.PrimaryKeyConstraint("kept", name="pk_attached"),
        sa.ForeignKeyConstraint(["sha256"], ["content.sha256"], name="fk_attached_sha256_content"),
        sa.UniqueConstraint("job", "kind", "bundle", "name", "sha256", name="uq_attached_job"),
        sqlite_autoincrement=True,
    )
    for table in ("content", "attached"):
        for verb in ("update", "delete"):
            op.execute(
                f"create trigger {table}_no_{verb} before {verb} on {table} "
                "begin select raise(abort, 'what is kept is only ever added to'); end"
            )
