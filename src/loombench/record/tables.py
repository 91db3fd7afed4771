"""The tables of the store of jobs, as the newest migration leaves them; a test holds the two against each other.

An event is kept as the line that the plain record would have, with its SHA-256, so that there is one codec and damage
to a byte is noticed. `kept` counts events over all jobs in the order in which they were kept, whatever the clock said.
A content (a vehicle's text, a photo) is kept once, by its SHA-256; what it is called in a job stands in `attached`.
What a page called an entry of its own stands in `entry` with the number of the first event that it became.
Triggers refuse to change or delete a row: the store is only ever added to.
"""

from sqlalchemy import Column, ForeignKey, Integer, LargeBinary, MetaData, String, Table, UniqueConstraint

APPLICATION_ID = 0x4C6F6F6D
"""Says in the file's head whose it is: "Loom"."""
VERSIONS = ("0001", "0002", "0003")
"""The versions of the store that this program knows, the last the one it works with."""

metadata = MetaData(
    naming_convention={
        "uq": "uq_%(table_name)s_%(column_0_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)

event = Table(
    "event",
    metadata,
    Column("kept", Integer, primary_key=True),
    Column("job", String, nullable=False),
    Column("number", Integer, nullable=False),
    Column("format", Integer, nullable=False),
    Column("line", String, nullable=False),
    Column("sha256", LargeBinary(32), nullable=False),
    UniqueConstraint("job", "number"),
    sqlite_autoincrement=True,
)

content = Table(
    "content",
    metadata,
    Column("sha256", LargeBinary(32), primary_key=True, nullable=False),
    Column("data", LargeBinary, nullable=False),
)

attached = Table(
    "attached",
    metadata,
    Column("kept", Integer, primary_key=True),
    Column("job", String, nullable=False),
    Column("kind", String, nullable=False),
    Column("bundle", String, nullable=False),
    Column("name", String, nullable=False),
    Column("media", String, nullable=False),
    Column("sha256", LargeBinary(32), ForeignKey("content.sha256"), nullable=False),
    UniqueConstraint("job", "kind", "bundle", "name", "sha256"),
    sqlite_autoincrement=True,
)

entry = Table(
    "entry",
    metadata,
    Column("job", String, primary_key=True, nullable=False),
    Column("entry", String, primary_key=True, nullable=False),
    Column("number", Integer, nullable=False),
)
