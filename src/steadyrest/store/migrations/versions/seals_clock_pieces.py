"""Seals of what stays, touches that count once, the clock, pieces with their movements, versions of the shop file."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from steadyrest.store.columns import Moment
from steadyrest.store.seals import write_seal

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

WHY = {
    "clock": "entries of the clock are never changed: write a new entry that replaces the old one",
    "movement": "a movement is never changed: write down another",
    "piece": "a piece is never changed: write down a movement",
    "shop_version": "a version of the shop file is never changed: import another",
    "seal": "a seal is never changed",
}
# What stood in tables 0001, by key and sealed columns, in the order of sealing.
BEFORE = (
    ("customer", "id", ("id", "name")),
    ("file", "sha256", ("sha256", "size_bytes", "name", "kind", "kept_at")),
    ("job", "id", ("id", "number", "customer_id", "what", "due", "charging", "made_at")),
    ("part", "id", ("id", "job_id", "name", "revision", "file_sha256", "read_at", "value")),
    ("plan", "id", ("id", "job_id", "part_id", "seed", "made_at", "value")),
    ("promise", "id", ("id", "job_id", "plan_id", "made_at", "due", "odds")),
    ("ledger", "id", ("id", "job_id", "kind", "who", "happened", "told", "body", "replaces")),
)


def upgrade() -> None:
    seals()
    clock()
    pieces()
    shop_versions()
    for table, why in WHY.items():
        op.execute(f"CREATE TRIGGER {table}_stays BEFORE UPDATE ON {table} BEGIN SELECT RAISE(ABORT, '{why}'); END")
        op.execute(f"CREATE TRIGGER {table}_is_kept BEFORE DELETE ON {table} BEGIN SELECT RAISE(ABORT, '{why}'); END")
    session = op.get_bind()
    for table, key, columns in BEFORE:
        for (row,) in session.exec_driver_sql(f"SELECT {key} FROM {table} ORDER BY {key}").all():
            write_seal(session, table, key, columns, row)


def seals() -> None:
    op.create_table(
        "seal",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("of", sa.Text(), nullable=False),
        sa.Column("row", sa.Text(), nullable=False),
        sa.Column("digest", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_seal")),
        sa.UniqueConstraint("of", "row", name=op.f("uq_seal_of_row")),
        sqlite_strict=True,
    )
    op.create_table(
        "touch",
        sa.Column("token", sa.Text(), nullable=False),
        sa.Column("verb", sa.Text(), nullable=False),
        sa.Column("made_at", Moment(), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("token", name=op.f("pk_touch")),
        sqlite_strict=True,
    )


def clock() -> None:
    op.create_table(
        "clock",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=True),
        sa.Column("step", sa.Integer(), nullable=True),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("happened", Moment(), nullable=False),
        sa.Column("told", Moment(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("file_sha256", sa.Text(), nullable=True),
        sa.Column("replaces", sa.Integer(), nullable=True),
        sa.CheckConstraint("kind IN ('start', 'beside', 'stop', 'done', 'note', 'struck')", name=op.f("ck_clock_kind")),
        sa.ForeignKeyConstraint(["file_sha256"], ["file.sha256"], name=op.f("fk_clock_file_sha256")),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_clock_job_id")),
        sa.ForeignKeyConstraint(["replaces"], ["clock.id"], name=op.f("fk_clock_replaces")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_clock")),
        sa.UniqueConstraint("replaces", name=op.f("uq_clock_replaces")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_clock_file_sha256"), "clock", ["file_sha256"], unique=False)
    op.create_index(op.f("ix_clock_job_id"), "clock", ["job_id"], unique=False)
    op.create_index("ix_clock_person", "clock", ["person", "happened"], unique=False)


def pieces() -> None:
    op.create_table(
        "piece",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("made_at", Moment(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_piece")),
        sa.UniqueConstraint("label", name=op.f("uq_piece_label")),
        sqlite_strict=True,
    )
    op.create_table(
        "movement",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("turn", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("happened", Moment(), nullable=False),
        sa.Column("told", Moment(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=True),
        sa.Column("body", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_movement_job_id")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_movement_piece_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_movement")),
        sa.UniqueConstraint("piece_id", "turn", name=op.f("uq_movement_piece_id_turn")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_movement_job_id"), "movement", ["job_id"], unique=False)
    op.create_index(op.f("ix_movement_piece_id"), "movement", ["piece_id"], unique=False)


def shop_versions() -> None:
    op.create_table(
        "shop_version",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("told", Moment(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shop_version")),
        sqlite_strict=True,
    )
