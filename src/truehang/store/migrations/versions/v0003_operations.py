"""Room for every media type, and the names of all writes, so that one sent twice is done once."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"

NAMES_OF_WRITES = (
    # Where one name had made several jobs, it stands for the first of them from now on.
    "INSERT INTO operations (scope, kind, op, job, revision, at)"
    " SELECT '', 'create', r.op, min(r.job), 1, min(r.at) FROM revisions r"
    " WHERE r.number = 1 AND NOT EXISTS"
    " (SELECT 1 FROM revisions o WHERE o.number = 1 AND o.op = r.op AND o.at < r.at)"
    " GROUP BY r.op",
    "INSERT INTO operations (scope, kind, op, job, revision, at)"
    " SELECT job, 'revision', op, job, number, at FROM revisions WHERE number > 1",
    "INSERT INTO operations (scope, kind, op, job, at)"
    " SELECT job, 'entry', op, job, at FROM entries",
    "INSERT INTO operations (scope, kind, op, job, at)"
    " SELECT job, 'photo', op, job, at FROM photos",
)
"""The names of the writes that made what is there, for a store or a backup that has none yet."""


def upgrade() -> None:
    _widen(255)
    op.create_table(
        "operations",
        sa.Column("scope", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("op", sa.String(length=64), nullable=False),
        sa.Column("job", sa.String(length=32), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=True),
        sa.Column("at", sa.String(length=40), nullable=False),
        sa.PrimaryKeyConstraint("scope", "kind", "op", name=op.f("pk_operations")),
    )
    for statement in NAMES_OF_WRITES:
        op.execute(statement)


def downgrade() -> None:
    op.drop_table("operations")
    _widen(64)


def _widen(most: int) -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.execute(
            f"ALTER TABLE files ALTER COLUMN media_type TYPE VARCHAR({most})"
            f" USING left(media_type, {most})"
        )
        return
    # SQLite would make the table anew, which what refers to it does not let happen.
    fresh = sa.Column("kind", sa.String(most), nullable=False, server_default="")
    op.add_column("files", fresh)
    op.execute("UPDATE files SET kind = media_type")
    op.drop_column("files", "media_type")
    op.execute("ALTER TABLE files RENAME COLUMN kind TO media_type")
