"""What is known of customers, invoices as rows of their own, and money that moved."""

from __future__ import annotations

import json
from datetime import date, datetime, timedelta

import sqlalchemy as sa
from alembic import op

from steadyrest.store.columns import Moment, MoneyText
from steadyrest.store.seals import write_seal

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

WHY = {
    "customer_entry": "what is known of a customer is never changed: write down another entry",
    "invoice": "an invoice is never changed: write a credit note",
    "payment": "an entry of money is never changed: strike it by another",
}
ENTRY_KINDS = (
    "kind IN ('address', 'contact', 'terms', 'rounding', 'tax words', 'certificate', 'limit', 'note', 'reminded')"
)
PAYMENT_KINDS = (
    "kind IN ('received', 'given back', 'credit note', 'written off', 'discount', 'set off', 'deposit asked', 'struck')"
)
# Invoices issued before said no day: as the shop's terms were until then.
DAYS_BEFORE = 14
INVOICE_COLUMNS = (
    "id", "number", "job_id", "customer_id", "issued", "due", "content", "total", "currency", "discount",
    "discount_until", "file_sha256", "who", "told",
)  # fmt: skip


def upgrade() -> None:
    customer_entries()
    invoices()
    payments()
    invoices_so_far()
    for table, why in WHY.items():
        op.execute(f"CREATE TRIGGER {table}_stays BEFORE UPDATE ON {table} BEGIN SELECT RAISE(ABORT, '{why}'); END")
        op.execute(f"CREATE TRIGGER {table}_is_kept BEFORE DELETE ON {table} BEGIN SELECT RAISE(ABORT, '{why}'); END")


def customer_entries() -> None:
    op.create_table(
        "customer_entry",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("happened", Moment(), nullable=False),
        sa.Column("told", Moment(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("file_sha256", sa.Text(), nullable=True),
        sa.CheckConstraint(ENTRY_KINDS, name=op.f("ck_customer_entry_kind")),
        sa.ForeignKeyConstraint(["customer_id"], ["customer.id"], name=op.f("fk_customer_entry_customer_id")),
        sa.ForeignKeyConstraint(["file_sha256"], ["file.sha256"], name=op.f("fk_customer_entry_file_sha256")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer_entry")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_customer_entry_customer_id"), "customer_entry", ["customer_id"], unique=False)
    op.create_index(op.f("ix_customer_entry_file_sha256"), "customer_entry", ["file_sha256"], unique=False)


def invoices() -> None:
    op.create_table(
        "invoice",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("job_id", sa.Integer(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("issued", sa.Text(), nullable=False),
        sa.Column("due", sa.Text(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("total", MoneyText(), nullable=False),
        sa.Column("currency", sa.Text(), nullable=False),
        sa.Column("discount", MoneyText(), nullable=False),
        sa.Column("discount_until", sa.Text(), nullable=True),
        sa.Column("file_sha256", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("told", Moment(), nullable=False),
        sa.ForeignKeyConstraint(["customer_id"], ["customer.id"], name=op.f("fk_invoice_customer_id")),
        sa.ForeignKeyConstraint(["file_sha256"], ["file.sha256"], name=op.f("fk_invoice_file_sha256")),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_invoice_job_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invoice")),
        sa.UniqueConstraint("number", name=op.f("uq_invoice_number")),
        sqlite_strict=True,
    )
    for column in ("customer_id", "file_sha256", "job_id"):
        op.create_index(op.f(f"ix_invoice_{column}"), "invoice", [column], unique=False)


def payments() -> None:
    op.create_table(
        "payment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("day", sa.Text(), nullable=False),
        sa.Column("amount", MoneyText(), nullable=False),
        sa.Column("currency", sa.Text(), nullable=False),
        sa.Column("invoice_id", sa.Integer(), nullable=True),
        sa.Column("job_id", sa.Integer(), nullable=True),
        sa.Column("how", sa.Text(), nullable=False),
        sa.Column("reference", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=True),
        sa.Column("due", sa.Text(), nullable=True),
        sa.Column("file_sha256", sa.Text(), nullable=True),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("told", Moment(), nullable=False),
        sa.Column("replaces", sa.Integer(), nullable=True),
        sa.CheckConstraint(PAYMENT_KINDS, name=op.f("ck_payment_kind")),
        sa.ForeignKeyConstraint(["customer_id"], ["customer.id"], name=op.f("fk_payment_customer_id")),
        sa.ForeignKeyConstraint(["file_sha256"], ["file.sha256"], name=op.f("fk_payment_file_sha256")),
        sa.ForeignKeyConstraint(["invoice_id"], ["invoice.id"], name=op.f("fk_payment_invoice_id")),
        sa.ForeignKeyConstraint(["job_id"], ["job.id"], name=op.f("fk_payment_job_id")),
        sa.ForeignKeyConstraint(["replaces"], ["payment.id"], name=op.f("fk_payment_replaces")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_payment")),
        sa.UniqueConstraint("replaces", name=op.f("uq_payment_replaces")),
        sqlite_strict=True,
    )
    for column in ("customer_id", "file_sha256", "invoice_id", "job_id"):
        op.create_index(op.f(f"ix_payment_{column}"), "payment", [column], unique=False)


def invoices_so_far() -> None:
    """Invoices that stood in the ledger alone get their rows: their lines are on their papers."""
    session = op.get_bind()
    asked = (
        "SELECT ledger.job_id, job.customer_id, job.number, ledger.body, ledger.who, ledger.told FROM ledger JOIN job "
        "ON job.id = ledger.job_id WHERE kind = 'invoiced' AND ledger.id NOT IN "
        "(SELECT replaces FROM ledger WHERE replaces IS NOT NULL) ORDER BY ledger.id"
    )
    for job_id, customer_id, job, body, who, told in session.exec_driver_sql(asked).all():
        said = json.loads(body)
        issued = datetime.fromisoformat(told).date()
        due: date = issued + timedelta(days=DAYS_BEFORE)
        line = {"what": f"job {job}, as on its paper", "much": "", "amount": said["total"], "taxable": False}
        value = {"lines": [line], "tax": "0.00"}
        content = json.dumps({"version": 1, "kind": "InvoiceLines", "value": value}, separators=(",", ":"))
        row = (
            said["number"], job_id, customer_id, issued.isoformat(), due.isoformat(), content, said["total"],
            said["currency"], "0.00", None, said["sha256"], who, told,
        )  # fmt: skip
        names = INVOICE_COLUMNS[1:]
        session.exec_driver_sql(f"INSERT INTO invoice ({', '.join(names)}) VALUES ({', '.join('?' * len(names))})", row)
        key = session.exec_driver_sql("SELECT max(id) FROM invoice").scalar()
        write_seal(session, "invoice", "id", INVOICE_COLUMNS, int(key or 0))
