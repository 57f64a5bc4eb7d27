"""When a device was last here."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    op.add_column("devices", sa.Column("seen", sa.String(length=40), nullable=True))


def downgrade() -> None:
    op.drop_column("devices", "seen")
