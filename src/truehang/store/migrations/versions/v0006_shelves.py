"""Where a job is put away, and what a photo is pinned to."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"

_NEW = (
    ("jobs", "shelf", sa.String(16)), ("jobs", "shelved", sa.String(40)),
    ("photos", "pin", sa.String(200)),
)  # fmt: skip


def upgrade() -> None:
    for table, name, kind in _NEW:
        op.add_column(table, sa.Column(name, kind, nullable=False, server_default=""))


def downgrade() -> None:
    for table, name, _kind in _NEW:
        op.drop_column(table, name)
