"""Things of the shop: fixtures, moulds, gauges, counted tools, machines that are served; each with its story."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from steadyrest.store.columns import Moment

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

WHY = {
    "thing": "a thing is never changed: write down what happened to it",
    "thing_entry": "what happened to a thing is never changed: write down what is so now",
}


def upgrade() -> None:
    op.create_table(
        "thing",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("made_at", Moment(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_thing")),
        sa.UniqueConstraint("kind", "name", name=op.f("uq_thing_kind_name")),
        sa.CheckConstraint("kind IN ('fixture', 'mould', 'gauge', 'tool', 'machine')", name=op.f("ck_thing_kind")),
        sqlite_strict=True,
    )
    op.create_table(
        "thing_entry",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("thing_id", sa.Integer(), nullable=False),
        sa.Column("turn", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("happened", Moment(), nullable=False),
        sa.Column("told", Moment(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("file_sha256", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["thing_id"], ["thing.id"], name=op.f("fk_thing_entry_thing_id")),
        sa.ForeignKeyConstraint(["file_sha256"], ["file.sha256"], name=op.f("fk_thing_entry_file_sha256")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_thing_entry")),
        sa.UniqueConstraint("thing_id", "turn", name=op.f("uq_thing_entry_thing_id_turn")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_thing_entry_thing_id"), "thing_entry", ["thing_id"])
    op.create_index(op.f("ix_thing_entry_file_sha256"), "thing_entry", ["file_sha256"])
    for table, why in WHY.items():
        op.execute(f"CREATE TRIGGER {table}_stays BEFORE UPDATE ON {table} BEGIN SELECT RAISE(ABORT, '{why}'); END")
        op.execute(f"CREATE TRIGGER {table}_is_kept BEFORE DELETE ON {table} BEGIN SELECT RAISE(ABORT, '{why}'); END")
