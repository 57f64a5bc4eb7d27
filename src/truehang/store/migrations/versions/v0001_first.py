"""The first tables."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    op.create_table(
        "codes",
        sa.Column("hash", sa.String(length=64), nullable=False),
        sa.Column("expires", sa.String(length=40), nullable=False),
        sa.PrimaryKeyConstraint("hash", name=op.f("pk_codes")),
    )
    op.create_table(
        "devices",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("token", sa.String(length=64), nullable=False),
        sa.Column("paired", sa.String(length=40), nullable=False),
        sa.Column("revoked", sa.String(length=40), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_devices")),
        sa.UniqueConstraint("token", name=op.f("uq_devices_token")),
    )
    op.create_table(
        "files",
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("media_type", sa.String(length=64), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("sha256", name=op.f("pk_files")),
    )
    op.create_table(
        "jobs",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("name", sa.String(length=64), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("head", sa.Integer(), nullable=False),
        sa.Column("created", sa.String(length=40), nullable=False),
        sa.Column("changed", sa.String(length=40), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_jobs")),
    )
    op.create_table(
        "conflicts",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("job", sa.String(length=32), nullable=False),
        sa.Column("path", sa.Text(), nullable=False),
        sa.Column("base", sa.Text(), nullable=False),
        sa.Column("theirs", sa.Text(), nullable=False),
        sa.Column("mine", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("at", sa.String(length=40), nullable=False),
        sa.Column("settled", sa.String(length=8), nullable=True),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name=op.f("fk_conflicts_job")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_conflicts")),
    )
    op.create_index(op.f("ix_conflicts_job"), "conflicts", ["job"], unique=False)
    op.create_table(
        "entries",
        sa.Column("job", sa.String(length=32), nullable=False),
        sa.Column("op", sa.String(length=64), nullable=False),
        sa.Column("kind", sa.String(length=32), nullable=False),
        sa.Column("key", sa.String(length=128), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("passed", sa.Boolean(), nullable=True),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("at", sa.String(length=40), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("order", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name=op.f("fk_entries_job")),
        sa.PrimaryKeyConstraint("job", "op", name=op.f("pk_entries")),
    )
    op.create_table(
        "photos",
        sa.Column("job", sa.String(length=32), nullable=False),
        sa.Column("op", sa.String(length=64), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("caption", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("at", sa.String(length=40), nullable=False),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name=op.f("fk_photos_job")),
        sa.ForeignKeyConstraint(["sha256"], ["files.sha256"], name=op.f("fk_photos_sha256")),
        sa.PrimaryKeyConstraint("job", "op", name=op.f("pk_photos")),
    )
    op.create_table(
        "revisions",
        sa.Column("job", sa.String(length=32), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("restores", sa.Integer(), nullable=True),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("at", sa.String(length=40), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("op", sa.String(length=64), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["job"], ["jobs.id"], name=op.f("fk_revisions_job")),
        sa.PrimaryKeyConstraint("job", "number", name=op.f("pk_revisions")),
        sa.UniqueConstraint("job", "op", name=op.f("uq_revisions_job")),
    )
    op.create_table(
        "issues",
        sa.Column("job", sa.String(length=32), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=200), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("at", sa.String(length=40), nullable=False),
        sa.ForeignKeyConstraint(
            ["job", "revision"], ["revisions.job", "revisions.number"], name=op.f("fk_issues_job")
        ),
        sa.ForeignKeyConstraint(["sha256"], ["files.sha256"], name=op.f("fk_issues_sha256")),
        sa.PrimaryKeyConstraint("job", "revision", "name", name=op.f("pk_issues")),
    )


def downgrade() -> None:
    op.drop_table("issues")
    op.drop_table("revisions")
    op.drop_table("photos")
    op.drop_table("entries")
    op.drop_index(op.f("ix_conflicts_job"), table_name="conflicts")
    op.drop_table("conflicts")
    op.drop_table("jobs")
    op.drop_table("files")
    op.drop_table("devices")
    op.drop_table("codes")
