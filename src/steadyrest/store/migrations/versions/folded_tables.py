"""What is folded from other rows and can be made anew from them: states of jobs and pieces, plans in short, the index.

They are filled when the folder is opened (folds.py), not here: how they are folded may change without a migration.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from steadyrest.store.columns import Moment

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

# The index's words come folded and parted (found_words.py); between them stands a space and nothing else.
FOUND = """CREATE VIRTUAL TABLE found USING fts5(
    name, words, title UNINDEXED, says UNINDEXED, address UNINDEXED,
    prefix = '1 2 3', tokenize = "ascii tokenchars '.,-/+:'"
)"""


def upgrade() -> None:
    op.create_table(
        "fold",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_fold")),
        sqlite_strict=True,
    )
    op.create_table(
        "job_state",
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("since", Moment(), nullable=False),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_job_state_job_id")),
        sa.PrimaryKeyConstraint("job_id", name=op.f("pk_job_state")),
        sqlite_strict=True,
    )
    op.create_index("ix_job_state_state", "job_state", ["state"], unique=False)
    op.create_table(
        "piece_state",
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("turn", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_piece_state_piece_id")),
        sa.PrimaryKeyConstraint("piece_id", name=op.f("pk_piece_state")),
        sqlite_strict=True,
    )
    op.create_index("ix_piece_state_state", "piece_state", ["state"], unique=False)
    op.create_table(
        "plan_short",
        sa.Column("plan_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["plan_id"], ["plan.id"], name=op.f("fk_plan_short_plan_id")),
        sa.PrimaryKeyConstraint("plan_id", name=op.f("pk_plan_short")),
        sqlite_strict=True,
    )
    op.create_index("ix_ledger_kind", "ledger", ["kind", "job_id"], unique=False)
    op.execute(FOUND)
    op.execute("CREATE VIRTUAL TABLE found_vocabulary USING fts5vocab(found, row)")
