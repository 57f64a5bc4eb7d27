"""What jobs are found by, and the order in which they are listed."""

import sqlalchemy as sa
from alembic import op

from truehang.store.seeking import sought

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    op.add_column("jobs", sa.Column("sought", sa.Text(), nullable=False, server_default=""))
    db = op.get_bind()
    for id, name, title in db.execute(sa.text("SELECT id, name, title FROM jobs")).fetchall():
        db.execute(
            sa.text("UPDATE jobs SET sought = :sought WHERE id = :id"),
            {"sought": sought(name, title), "id": id},
        )
    op.create_index("ix_jobs_changed", "jobs", ["changed", "id"], unique=False)


def downgrade() -> None:
    op.drop_index("ix_jobs_changed", table_name="jobs")
    op.drop_column("jobs", "sought")
