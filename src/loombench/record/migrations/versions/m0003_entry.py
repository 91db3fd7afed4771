"""What a page called each of its entries, so that none is kept twice."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Make the table and what guards it."""
    op.create_table(
        "entry",
        sa.Column("job", sa.String, nullable=False),
        sa.Column("entry", sa.String, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("job", "entry", name="pk_entry"),
    )
    for verb in ("update", "delete"):
        op.execute(
            f"create trigger entry_no_{verb} before {verb} on entry "
            "begin select raise(abort, 'what is kept is only ever added to'); end"
        )
