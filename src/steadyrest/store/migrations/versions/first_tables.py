"""The first tables; the ledger and what a plan says can never be changed."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from steadyrest.store.columns import Flag, Moment

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

# (table, columns that never change, why). Rows of these tables are never deleted either.
FROZEN = (
    ("ledger", "", "the ledger is never changed: write a new entry that replaces the old one"),
    ("plan", " OF id, job_id, part_id, seed, made_at, value", "a plan is never changed: make a new one"),
    ("promise", "", "a promise is never changed: make a new one"),
)


def upgrade() -> None:
    work()
    people()
    queue()
    frozen()


def work() -> None:
    op.create_table(
        "customer",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer")),
        sa.UniqueConstraint("name", name=op.f("uq_customer_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "file",
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("size_bytes", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("kept_at", Moment(), nullable=False),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_file_sha256")),
        sa.PrimaryKeyConstraint("sha256", name=op.f("pk_file")),
        sqlite_strict=True,
    )
    op.create_table(
        "job",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("due", Moment(), nullable=False),
        sa.Column("charging", sa.Text(), nullable=False),
        sa.Column("made_at", Moment(), nullable=False),
        sa.CheckConstraint("charging IN ('fixed', 'hours')", name=op.f("ck_job_charging")),
        sa.ForeignKeyConstraint(["customer_id"], ["customer.id"], name=op.f("fk_job_customer_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_job")),
        sa.UniqueConstraint("number", name=op.f("uq_job_number")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_job_customer_id"), "job", ["customer_id"], unique=False)
    op.create_table(
        "part",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("file_sha256", sa.Text(), nullable=True),
        sa.Column("read_at", Moment(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["file_sha256"], ["file.sha256"], name=op.f("fk_part_file_sha256")),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_part_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part")),
        sa.UniqueConstraint("job_id", "name", "revision", name=op.f("uq_part_job_id_name_revision")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_part_file_sha256"), "part", ["file_sha256"], unique=False)
    op.create_index(op.f("ix_part_job_id"), "part", ["job_id"], unique=False)
    op.create_table(
        "plan",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("seed", sa.Integer(), nullable=False),
        sa.Column("made_at", Moment(), nullable=False),
        sa.Column("chosen", Flag(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.CheckConstraint("chosen IN (0, 1)", name=op.f("ck_plan_chosen")),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_plan_job_id")),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_plan_part_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plan")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_plan_job_id"), "plan", ["job_id"], unique=False)
    op.create_index("ix_plan_one_chosen", "plan", ["job_id"], unique=True, sqlite_where=sa.text("chosen = 1"))
    op.create_index(op.f("ix_plan_part_id"), "plan", ["part_id"], unique=False)
    op.create_table(
        "promise",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("plan_id", sa.Integer(), nullable=False),
        sa.Column("made_at", Moment(), nullable=False),
        sa.Column("due", Moment(), nullable=False),
        sa.Column("odds", sa.REAL(), nullable=False),
        sa.CheckConstraint("odds BETWEEN 0 AND 1", name=op.f("ck_promise_odds")),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_promise_job_id")),
        sa.ForeignKeyConstraint(["plan_id"], ["plan.id"], name=op.f("fk_promise_plan_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_promise")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_promise_job_id"), "promise", ["job_id"], unique=False)
    op.create_index(op.f("ix_promise_plan_id"), "promise", ["plan_id"], unique=False)
    op.create_table(
        "ledger",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=True),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("happened", Moment(), nullable=False),
        sa.Column("told", Moment(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("replaces", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_ledger_job_id")),
        sa.ForeignKeyConstraint(["replaces"], ["ledger.id"], name=op.f("fk_ledger_replaces")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_ledger")),
        sa.UniqueConstraint("replaces", name=op.f("uq_ledger_replaces")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_ledger_job_id"), "ledger", ["job_id"], unique=False)


def people() -> None:
    op.create_table(
        "person_pin",
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("owner", Flag(), nullable=False),
        sa.Column("salt", sa.LargeBinary(), nullable=False),
        sa.Column("hash", sa.LargeBinary(), nullable=False),
        sa.Column("set_at", Moment(), nullable=False),
        sa.Column("wrong_tries", sa.Integer(), nullable=False),
        sa.Column("wait_until", Moment(), nullable=True),
        sa.CheckConstraint("owner IN (0, 1)", name=op.f("ck_person_pin_owner")),
        sa.PrimaryKeyConstraint("person", name=op.f("pk_person_pin")),
        sqlite_strict=True,
    )
    op.create_table(
        "token",
        sa.Column("digest", sa.LargeBinary(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("made_at", Moment(), nullable=False),
        sa.Column("ends_at", Moment(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person_pin.person"], name=op.f("fk_token_person")),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_token")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_token_person"), "token", ["person"], unique=False)


def queue() -> None:
    op.create_table(
        "task",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("asked", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("asked_at", Moment(), nullable=False),
        sa.Column("begun_at", Moment(), nullable=True),
        sa.Column("ended_at", Moment(), nullable=True),
        sa.Column("stop", Flag(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("share", sa.REAL(), nullable=False),
        sa.Column("result", sa.Text(), nullable=True),
        sa.CheckConstraint("state IN ('waiting', 'running', 'done', 'failed', 'stopped')", name=op.f("ck_task_state")),
        sa.CheckConstraint("stop IN (0, 1)", name=op.f("ck_task_stop")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_task")),
        sqlite_strict=True,
    )
    op.create_index("ix_task_state", "task", ["state", "id"], unique=False)


def frozen() -> None:
    """Let the database itself refuse what must not happen."""
    for table, columns, why in FROZEN:
        op.execute(
            f"CREATE TRIGGER {table}_stays BEFORE UPDATE{columns} ON {table} BEGIN SELECT RAISE(ABORT, '{why}'); END"
        )
        op.execute(f"CREATE TRIGGER {table}_is_kept BEFORE DELETE ON {table} BEGIN SELECT RAISE(ABORT, '{why}'); END")
