"""The tables as they stand now. How they came to be: migrations/versions.

A job's state stands in no column: it is folded from the ledger. `value` columns hold what values.to_json wrote.
"""

from __future__ import annotations

from sqlalchemy import REAL, CheckConstraint, Column, ForeignKey, Index, Integer, LargeBinary, MetaData, Table, Text
from sqlalchemy import UniqueConstraint as Unique

from steadyrest.store.columns import Flag, Moment, MoneyText

NAMES = {
    "pk": "pk_%(table_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
}
TABLES = MetaData(naming_convention=NAMES)
CLOCK_KINDS = ("start", "beside", "stop", "done", "note", "struck")
CHECK_IN_KINDS = ("rules", "begun", "here", "missed", "written", "not written", "ended")
ENTRY_KINDS = ("address", "contact", "terms", "rounding", "tax words", "certificate", "limit", "note", "reminded")
PAYMENT_KINDS = (
    "received", "given back", "credit note", "written off", "discount", "set off", "deposit asked", "struck",
)  # fmt: skip
TASK_STATES = ("waiting", "running", "done", "failed", "stopped")


def number() -> Column[int]:
    return Column("id", Integer, primary_key=True)


def must(name: str, kind: type) -> Column[object]:
    return Column(name, kind, nullable=False)


def points_to(name: str, target: str, *, nullable: bool = False) -> Column[object]:
    return Column(name, ForeignKey(target), nullable=nullable, index=True)


customer = Table("customer", TABLES, number(), must("name", Text), Unique("name"), sqlite_strict=True)

job = Table(
    "job",
    TABLES,
    number(),
    must("number", Integer),
    points_to("customer_id", "customer.id"),
    must("what", Text),
    must("due", Moment),
    must("charging", Text),
    must("made_at", Moment),
    Unique("number"),
    CheckConstraint("charging IN ('fixed', 'hours')", name="charging"),
    sqlite_strict=True,
)

file = Table(
    "file",
    TABLES,
    Column("sha256", Text, primary_key=True),
    must("size_bytes", Integer),
    must("name", Text),
    must("kind", Text),
    must("kept_at", Moment),
    CheckConstraint("length(sha256) = 64", name="sha256"),
    sqlite_strict=True,
)

part = Table(
    "part",
    TABLES,
    number(),
    points_to("job_id", "job.id"),
    must("name", Text),
    must("revision", Integer),
    points_to("file_sha256", "file.sha256", nullable=True),
    must("read_at", Moment),
    must("value", Text),
    Unique("job_id", "name", "revision"),
    sqlite_strict=True,
)

plan = Table(
    "plan",
    TABLES,
    number(),
    points_to("job_id", "job.id"),
    points_to("part_id", "part.id"),
    must("seed", Integer),
    must("made_at", Moment),
    must("chosen", Flag),
    must("value", Text),
    CheckConstraint("chosen IN (0, 1)", name="chosen"),
    sqlite_strict=True,
)
Index("ix_plan_one_chosen", plan.c.job_id, unique=True, sqlite_where=plan.c.chosen == True)  # noqa: E712  SQL, not Python

promise = Table(
    "promise",
    TABLES,
    number(),
    points_to("job_id", "job.id"),
    points_to("plan_id", "plan.id"),
    must("made_at", Moment),
    must("due", Moment),
    must("odds", REAL),
    CheckConstraint("odds BETWEEN 0 AND 1", name="odds"),
    sqlite_strict=True,
)

ledger = Table(
    "ledger",
    TABLES,
    number(),
    points_to("job_id", "job.id", nullable=True),
    must("kind", Text),
    must("who", Text),
    must("happened", Moment),
    must("told", Moment),
    must("body", Text),
    Column("replaces", ForeignKey("ledger.id")),
    Unique("replaces"),
    Index("ix_ledger_kind", "kind", "job_id"),
    sqlite_strict=True,
)

person_pin = Table(
    "person_pin",
    TABLES,
    Column("person", Text, primary_key=True),
    must("owner", Flag),
    must("salt", LargeBinary),
    must("hash", LargeBinary),
    must("set_at", Moment),
    must("wrong_here", Integer),
    must("wrong_afar", Integer),
    Column("wait_here", Moment),
    Column("wait_afar", Moment),
    CheckConstraint("owner IN (0, 1)", name="owner"),
    sqlite_strict=True,
)

token = Table(
    "token",
    TABLES,
    Column("digest", LargeBinary, primary_key=True),
    points_to("person", "person_pin.person"),
    must("device", Text),
    must("made_at", Moment),
    must("seen_at", Moment),
    must("ends_at", Moment),
    sqlite_strict=True,
)

check_in = Table(
    "check_in",
    TABLES,
    number(),
    points_to("watch", "check_in.id", nullable=True),
    must("kind", Text),
    must("person", Text),
    must("who", Text),
    must("happened", Moment),
    must("told", Moment),
    Column("due", Moment),
    must("body", Text),
    CheckConstraint(f"kind IN {CHECK_IN_KINDS}", name="kind"),
    Index("ix_check_in_kind", "kind", "watch"),
    sqlite_strict=True,
)

task = Table(
    "task",
    TABLES,
    number(),
    must("kind", Text),
    must("asked", Text),
    must("state", Text),
    must("asked_at", Moment),
    Column("begun_at", Moment),
    Column("ended_at", Moment),
    must("stop", Flag),
    must("words", Text),
    must("share", REAL),
    Column("result", Text),
    CheckConstraint(f"state IN {TASK_STATES}", name="state"),
    CheckConstraint("stop IN (0, 1)", name="stop"),
    Index("ix_task_state", "state", "id"),
    sqlite_strict=True,
)

seal = Table(
    "seal",
    TABLES,
    number(),
    must("of", Text),
    must("row", Text),
    must("digest", Text),
    Unique("of", "row"),
    sqlite_strict=True,
)

touch = Table(
    "touch",
    TABLES,
    Column("token", Text, primary_key=True),
    must("verb", Text),
    must("made_at", Moment),
    must("answer", Text),
    sqlite_strict=True,
)

clock = Table(
    "clock",
    TABLES,
    number(),
    must("person", Text),
    points_to("job_id", "job.id", nullable=True),
    Column("step", Integer),
    must("kind", Text),
    must("happened", Moment),
    must("told", Moment),
    must("who", Text),
    must("words", Text),
    points_to("file_sha256", "file.sha256", nullable=True),
    Column("replaces", ForeignKey("clock.id")),
    Unique("replaces"),
    CheckConstraint(f"kind IN {CLOCK_KINDS}", name="kind"),
    Index("ix_clock_person", "person", "happened"),
    sqlite_strict=True,
)

piece = Table(
    "piece", TABLES, number(), must("label", Text), must("made_at", Moment), Unique("label"), sqlite_strict=True
)

movement = Table(
    "movement",
    TABLES,
    number(),
    points_to("piece_id", "piece.id"),
    must("turn", Integer),
    must("kind", Text),
    must("who", Text),
    must("happened", Moment),
    must("told", Moment),
    points_to("job_id", "job.id", nullable=True),
    must("body", Text),
    Unique("piece_id", "turn"),
    sqlite_strict=True,
)

shop_version = Table(
    "shop_version",
    TABLES,
    number(),
    must("sha256", Text),
    must("text", Text),
    must("who", Text),
    must("told", Moment),
    must("why", Text),
    sqlite_strict=True,
)

customer_entry = Table(
    "customer_entry",
    TABLES,
    number(),
    points_to("customer_id", "customer.id"),
    must("kind", Text),
    must("who", Text),
    must("happened", Moment),
    must("told", Moment),
    must("body", Text),
    points_to("file_sha256", "file.sha256", nullable=True),
    CheckConstraint(f"kind IN {ENTRY_KINDS}", name="kind"),
    sqlite_strict=True,
)

invoice = Table(
    "invoice",
    TABLES,
    number(),
    must("number", Integer),
    points_to("job_id", "job.id"),
    points_to("customer_id", "customer.id"),
    must("issued", Text),
    must("due", Text),
    must("content", Text),
    must("total", MoneyText),
    must("currency", Text),
    must("discount", MoneyText),
    Column("discount_until", Text),
    points_to("file_sha256", "file.sha256"),
    must("who", Text),
    must("told", Moment),
    Unique("number"),
    sqlite_strict=True,
)

payment = Table(
    "payment",
    TABLES,
    number(),
    points_to("customer_id", "customer.id"),
    must("kind", Text),
    must("day", Text),
    must("amount", MoneyText),
    must("currency", Text),
    points_to("invoice_id", "invoice.id", nullable=True),
    points_to("job_id", "job.id", nullable=True),
    must("how", Text),
    must("reference", Text),
    must("words", Text),
    Column("number", Integer),
    Column("due", Text),
    points_to("file_sha256", "file.sha256", nullable=True),
    must("who", Text),
    must("told", Moment),
    Column("replaces", ForeignKey("payment.id")),
    Unique("replaces"),
    CheckConstraint(f"kind IN {PAYMENT_KINDS}", name="kind"),
    sqlite_strict=True,
)

# What is folded from rows above, in the same transaction, and can be made anew from them: folds.py. Besides these there
# is `found`, the words that anything is found by (found.py).
fold = Table("fold", TABLES, Column("name", Text, primary_key=True), must("version", Integer), sqlite_strict=True)

job_state = Table(
    "job_state",
    TABLES,
    Column("job_id", ForeignKey("job.id"), primary_key=True),
    must("state", Text),
    must("since", Moment),
    Index("ix_job_state_state", "state"),
    sqlite_strict=True,
)

piece_state = Table(
    "piece_state",
    TABLES,
    Column("piece_id", ForeignKey("piece.id"), primary_key=True),
    must("state", Text),
    must("turn", Integer),
    Index("ix_piece_state_state", "state"),
    sqlite_strict=True,
)

plan_short = Table(
    "plan_short",
    TABLES,
    Column("plan_id", ForeignKey("plan.id"), primary_key=True),
    must("version", Integer),
    must("value", Text),
    sqlite_strict=True,
)

thing = Table(
    "thing",
    TABLES,
    number(),
    must("kind", Text),
    must("name", Text),
    must("made_at", Moment),
    Unique("kind", "name"),
    CheckConstraint("kind IN ('fixture', 'mould', 'gauge', 'tool', 'machine')", name="kind"),
    sqlite_strict=True,
)

thing_entry = Table(
    "thing_entry",
    TABLES,
    number(),
    points_to("thing_id", "thing.id"),
    must("turn", Integer),
    must("kind", Text),
    must("who", Text),
    must("happened", Moment),
    must("told", Moment),
    must("body", Text),
    points_to("file_sha256", "file.sha256", nullable=True),
    Unique("thing_id", "turn"),
    sqlite_strict=True,
)

cut_list = Table(
    "cut_list",
    TABLES,
    number(),
    must("key", Text),
    must("kind", Text),
    must("name", Text),
    must("who", Text),
    must("told", Moment),
    must("text", Text),
    Unique("key"),
    CheckConstraint("kind IN ('bars', 'plates')", name="kind"),
    sqlite_strict=True,
)

cut_list_entry = Table(
    "cut_list_entry",
    TABLES,
    number(),
    points_to("cut_list_id", "cut_list.id"),
    must("kind", Text),
    must("who", Text),
    must("happened", Moment),
    must("told", Moment),
    points_to("job_id", "job.id", nullable=True),
    must("body", Text),
    sqlite_strict=True,
)

scrap_entry = Table(
    "scrap_entry",
    TABLES,
    number(),
    must("bin", Text),
    must("turn", Integer),
    must("kind", Text),
    must("who", Text),
    must("happened", Moment),
    must("told", Moment),
    must("body", Text),
    Unique("bin", "turn"),
    CheckConstraint("kind IN ('bin', 'in', 'hauled', 'weighed')", name="kind"),
    sqlite_strict=True,
)
