"""Who may come in, from which device, wrong tries here and elsewhere; the check-in of somebody who works alone.

No verb and no page of tables 0002 gave anybody a PIN, so those two tables are made anew.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from steadyrest.store.columns import Flag, Moment

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

WHY = "the check-in of somebody alone is never changed: it goes on by another entry"


def upgrade() -> None:
    op.drop_table("token")
    op.drop_table("person_pin")
    people()
    check_in()
    op.execute(f"CREATE TRIGGER check_in_stays BEFORE UPDATE ON check_in BEGIN SELECT RAISE(ABORT, '{WHY}'); END")
    op.execute(f"CREATE TRIGGER check_in_is_kept BEFORE DELETE ON check_in BEGIN SELECT RAISE(ABORT, '{WHY}'); END")


def people() -> None:
    op.create_table(
        "person_pin",
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("owner", Flag(), nullable=False),
        sa.Column("salt", sa.LargeBinary(), nullable=False),
        sa.Column("hash", sa.LargeBinary(), nullable=False),
        sa.Column("set_at", Moment(), nullable=False),
        sa.Column("wrong_here", sa.Integer(), nullable=False),
        sa.Column("wrong_afar", sa.Integer(), nullable=False),
        sa.Column("wait_here", Moment(), nullable=True),
        sa.Column("wait_afar", Moment(), nullable=True),
        sa.CheckConstraint("owner IN (0, 1)", name=op.f("ck_person_pin_owner")),
        sa.PrimaryKeyConstraint("person", name=op.f("pk_person_pin")),
        sqlite_strict=True,
    )
    op.create_table(
        "token",
        sa.Column("digest", sa.LargeBinary(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("made_at", Moment(), nullable=False),
        sa.Column("seen_at", Moment(), nullable=False),
        sa.Column("ends_at", Moment(), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["person_pin.person"], name=op.f("fk_token_person")),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_token")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_token_person"), "token", ["person"], unique=False)


def check_in() -> None:
    op.create_table(
        "check_in",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("watch", sa.Integer(), nullable=True),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("happened", Moment(), nullable=False),
        sa.Column("told", Moment(), nullable=False),
        sa.Column("due", Moment(), nullable=True),
        sa.Column("body", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "kind IN ('rules', 'begun', 'here', 'missed', 'written', 'not written', 'ended')",
            name=op.f("ck_check_in_kind"),
        ),
        sa.ForeignKeyConstraint(["watch"], ["check_in.id"], name=op.f("fk_check_in_watch")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_check_in")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_check_in_watch"), "check_in", ["watch"], unique=False)
    op.create_index("ix_check_in_kind", "check_in", ["kind", "watch"], unique=False)
