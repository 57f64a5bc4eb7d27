"""The offcut rack."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    op.create_table(
        "rack",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("next_number", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rack")),
    )
    op.create_table(
        "rack_pieces",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("order", sa.Integer(), nullable=False),
        sa.Column("section", sa.Text(), nullable=False),
        sa.Column("length_mm", sa.Float(), nullable=False),
        sa.Column("came_from", sa.Text(), nullable=False),
        sa.Column("held_by", sa.Text(), nullable=False),
        sa.Column("gone", sa.Boolean(), nullable=False),
        sa.Column("used_by", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rack_pieces")),
    )
    op.create_table(
        "rack_settled",
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("order", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_rack_settled")),
    )


def downgrade() -> None:
    op.drop_table("rack_settled")
    op.drop_table("rack_pieces")
    op.drop_table("rack")
