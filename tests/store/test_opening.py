"""Opening the data folder: tables as told, nothing lost, nothing overwritten, and who may write when."""

from __future__ import annotations

import sqlite3
from datetime import datetime, timedelta, timezone
from decimal import Decimal

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Column, MetaData, Table, insert, select, text
from sqlalchemy.exc import DBAPIError, OperationalError, StatementError

from steadyrest.store import database, jobs, schema
from steadyrest.store.columns import Moment, MoneyText
from steadyrest.store.opening import DATABASE, MIGRATIONS, REVISION, open_store
from steadyrest.trouble import BadInput
from tests.store import sample

LIBRARIES = sorted({database.library(), sqlite3}, key=lambda library: library.__name__)


def refused(folder):
    with pytest.raises(BadInput) as said:
        open_store(folder)
    return said.value.line()


def test_the_migrations_lead_to_the_tables_that_the_schema_tells(store):
    with store.reading() as session:
        # The full-text index is no table that the schema could tell; SQLite keeps it in tables of its own.
        told = lambda name, kind, _parents: kind != "table" or not name.startswith("found")  # noqa: E731
        context = MigrationContext.configure(session, opts={"compare_type": True, "include_name": told})
        assert compare_metadata(context, schema.TABLES) == []
        written = dict(session.execute(text("SELECT name, sql FROM sqlite_master WHERE type = 'table'")).all())
    assert all(written[name].rstrip().endswith("STRICT") for name in schema.TABLES.tables)


def test_the_last_migration_is_the_revision_that_is_opened():
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    assert ScriptDirectory.from_config(config).get_current_head() == REVISION


@pytest.mark.parametrize("library", LIBRARIES, ids=lambda library: library.__name__)
def test_what_was_committed_is_there_when_opened_again(tmp_path, library):
    store = open_store(tmp_path, sqlite=library)
    with store.writing() as session:
        made = sample.job(session)
    store.close()
    again = open_store(tmp_path, sqlite=library)
    with again.reading() as session:
        assert jobs.jobs(session) == (made,)
    again.close()


@pytest.mark.parametrize("library", LIBRARIES, ids=lambda library: library.__name__)
def test_each_commit_is_synced_in_the_journal_mode_that_this_library_is_sound_in(tmp_path, library):
    store = open_store(tmp_path, sqlite=library)
    with store.reading() as session:
        told = [session.execute(text(f"PRAGMA {name}")).scalar() for name in ("journal_mode", "synchronous")]
        kept = [session.execute(text(f"PRAGMA {name}")).scalar() for name in ("foreign_keys", "trusted_schema")]
    store.close()
    full, extra = 2, 3  # sqlite.org/pragma.html#pragma_synchronous
    assert told == (["wal", full] if library.sqlite_version_info >= (3, 51, 3) else ["truncate", extra])
    assert kept == [1, 0]


def test_the_wal_reset_bug_decides_the_journal_mode():
    # sqlite.org/wal.html: fixed in 3.51.3 (2026-03-13); CPython issue 149029 moved its installers for it.
    assert database.journal((3, 51, 2)) == ("TRUNCATE", "EXTRA")
    assert database.journal((3, 51, 3)) == ("WAL", "FULL")


def test_a_block_that_raises_leaves_nothing_behind(store):
    with pytest.raises(ZeroDivisionError), store.writing() as session:
        sample.job(session, what=f"{sample.job(session).number / 0}")
    with store.reading() as session:
        assert jobs.jobs(session) == ()


def test_a_reading_session_cannot_write(store):
    with pytest.raises(OperationalError, match="readonly"), store.reading() as session:
        sample.job(session)
    with store.writing() as session:
        sample.job(session)


def test_a_row_that_points_nowhere_is_refused(store):
    with pytest.raises(DBAPIError, match="FOREIGN KEY"), store.writing() as session:
        session.execute(
            insert(schema.job).values(
                number=1, customer_id=99, what="x", due=sample.NOW, charging="fixed", made_at=sample.NOW
            )
        )


def test_moments_and_money_come_back_exactly_and_moments_sort_as_time_does(store):
    table = Table("odd", MetaData(), Column("at", Moment), Column("price", MoneyText), sqlite_strict=True)
    east, west = timezone(timedelta(hours=9)), timezone(timedelta(hours=-8))
    moments = [datetime(2026, 11, 27, 9, tzinfo=east), datetime(2026, 11, 26, 17, 0, 0, 1, tzinfo=west)]
    with store.writing() as session:
        table.create(session)
        for at in reversed(moments):
            session.execute(insert(table).values(at=at, price=Decimal("0.10")))
        rows = session.execute(select(table).order_by(table.c.at)).all()
        assert [row.at for row in rows] == moments
        assert {str(row.price) for row in rows} == {"0.10"}
        with pytest.raises(StatementError, match="without offset"):
            session.execute(insert(table).values(at=sample.NOW.replace(tzinfo=None), price=Decimal(1)))


def test_what_is_not_ours_is_left_alone_and_said(tmp_path):
    (tmp_path / "text").mkdir()
    (tmp_path / "text" / DATABASE).write_bytes(b"not a database, only a long enough text " * 100)
    assert "cannot be opened as database (file is not a database)" in refused(tmp_path / "text")
    (tmp_path / "other").mkdir()
    with sqlite3.connect(tmp_path / "other" / DATABASE) as other:
        other.execute("CREATE TABLE recipes (name TEXT)")
    other.close()
    assert "is a database, but none that steadyrest made" in refused(tmp_path / "other")
    (tmp_path / "file").touch()
    assert "cannot be used as data folder" in refused(tmp_path / "file")


def test_a_newer_steadyrests_data_is_left_alone_and_said(tmp_path):
    open_store(tmp_path).close()
    with sqlite3.connect(tmp_path / DATABASE) as newer:
        newer.execute("UPDATE alembic_version SET version_num = '9999'")
    newer.close()
    assert f"was written by a newer steadyrest (tables 9999; this one knows {REVISION}). Update steadyrest" in refused(
        tmp_path
    )
