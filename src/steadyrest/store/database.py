"""The SQLite database: which library, which journal, and how a transaction begins.

Lost updates: SQLAlchemy's default begins a writer as a reader, and two writers then overwrite one another in silence.
So a writer takes the write lock at its beginning, and waits for the other.
"""

from __future__ import annotations

import sys
from pathlib import Path
from types import ModuleType
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event

# Below this, two connections that write at one moment can damage a database in WAL (sqlite.org/wal.html, 2026-03-13).
WAL_IS_SOUND_FROM = (3, 51, 3)
WAIT_MS = 10_000


def library() -> ModuleType:
    """The newest SQLite there is: the packaged one where it could be installed, else Python's own."""
    try:
        from pysqlite3 import dbapi2
    except ImportError:
        import sqlite3 as dbapi2
    return dbapi2


def journal(version: tuple[int, ...]) -> tuple[str, str]:
    """Journal mode and synchronous setting with which nothing acknowledged is lost.

    Args:
        version: of SQLite, such as (3, 51, 3).
    Returns: ("WAL", "FULL") where that library is sound in it, else ("TRUNCATE", "EXTRA").
    """
    return ("WAL", "FULL") if version >= WAL_IS_SOUND_FROM else ("TRUNCATE", "EXTRA")


def connect_to(path: Path, *, sqlite: ModuleType | None = None, as_it_is: bool = False) -> Engine:
    """An engine on the database file; made if there is none.

    Args:
        path: the file; its folder exists.
        sqlite: a DB-API module; the newest there is by default.
        as_it_is: only to look: leave the file's journal mode as it is.
    Returns: the engine. Take connections with reading(engine) and writing(engine).
    """
    sqlite = sqlite or library()
    # What is written stays out of the log: a fault's text carries no names, hashes or tokens.
    engine = create_engine(f"sqlite:///{path}", module=sqlite, hide_parameters=True)
    mode, synchronous = journal(sqlite.sqlite_version_info)

    def on_connect(connection: Any, _record: object) -> None:
        connection.isolation_level = None  # begun by us, below, and not by the module
        for setting in (
            f"busy_timeout={WAIT_MS}",
            *(() if as_it_is else (f"journal_mode={mode}", f"synchronous={synchronous}")),
            "foreign_keys=ON",
            "trusted_schema=OFF",
            *(("fullfsync=1", "checkpoint_fullfsync=1") if sys.platform == "darwin" else ()),
        ):
            connection.execute(f"PRAGMA {setting}").fetchall()

    def on_begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql(f"PRAGMA query_only={'OFF' if writes else 'ON'}")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    event.listen(engine, "connect", on_connect)
    event.listen(engine, "begin", on_begin)
    return engine


def reading(engine: Engine) -> Engine:
    """This engine, its transactions seeing one moment and unable to write."""
    return engine.execution_options(writes=False)


def writing(engine: Engine) -> Engine:
    """This engine, its transactions holding the write lock from their beginning."""
    return engine.execution_options(writes=True)
