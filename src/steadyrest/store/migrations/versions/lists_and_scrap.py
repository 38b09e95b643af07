"""Cut lists and nests that are kept, what was cut by them, and what went into the scrap bins and out of them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from steadyrest.store.columns import Moment

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

WHY = {
    "cut_list": "a cut list is never changed: ask for another one",
    "cut_list_entry": "what was cut by a list is never changed: write down what is so now",
    "scrap_entry": "what went into a bin is never changed: write down what was weighed",
}


def upgrade() -> None:
    op.create_table(
        "cut_list",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("told", Moment(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_cut_list")),
        sa.UniqueConstraint("key", name=op.f("uq_cut_list_key")),
        sa.CheckConstraint("kind IN ('bars', 'plates')", name=op.f("ck_cut_list_kind")),
        sqlite_strict=True,
    )
    op.create_table(
        "cut_list_entry",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("cut_list_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("happened", Moment(), nullable=False),
        sa.Column("told", Moment(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=True),
        sa.Column("body", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["cut_list_id"], ["cut_list.id"], name=op.f("fk_cut_list_entry_cut_list_id")),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_cut_list_entry_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_cut_list_entry")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_cut_list_entry_cut_list_id"), "cut_list_entry", ["cut_list_id"])
    op.create_index(op.f("ix_cut_list_entry_job_id"), "cut_list_entry", ["job_id"])
    op.create_table(
        "scrap_entry",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("bin", sa.Text(), nullable=False),
        sa.Column("turn", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("happened", Moment(), nullable=False),
        sa.Column("told", Moment(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_scrap_entry")),
        sa.UniqueConstraint("bin", "turn", name=op.f("uq_scrap_entry_bin_turn")),
        sa.CheckConstraint("kind IN ('bin', 'in', 'hauled', 'weighed')", name=op.f("ck_scrap_entry_kind")),
        sqlite_strict=True,
    )
    for table, why in WHY.items():
        op.execute(f"CREATE TRIGGER {table}_stays BEFORE UPDATE ON {table} BEGIN SELECT RAISE(ABORT, '{why}'); END")
        op.execute(f"CREATE TRIGGER {table}_is_kept BEFORE DELETE ON {table} BEGIN SELECT RAISE(ABORT, '{why}'); END")
