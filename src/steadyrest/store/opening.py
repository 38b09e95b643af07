"""Open the data folder: make it if there is none, bring its tables up to date, hand out transactions.

store = open_store(folder)
with store.writing() as session:
    jobs.open_job(session, ...)      # committed when the block is left, undone if it raises
"""

from __future__ import annotations

from collections.abc import Generator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

from sqlalchemy import Connection, Engine, inspect, text
from sqlalchemy.exc import DBAPIError

from steadyrest.store import database, folds
from steadyrest.store.files import Files
from steadyrest.trouble import BadInput

if TYPE_CHECKING:
    from alembic.config import Config

DATABASE = "steadyrest.db"
FILES = "files"
MIGRATIONS = Path(__file__).parent / "migrations"
# The revision of schema.py. A test holds it against the last one in migrations/.
REVISION = "0007"

FULL_TEXT = "SELECT 1 FROM pragma_module_list WHERE name = 'fts5'"

Session = Connection


@dataclass(frozen=True, slots=True)
class Store:
    """An open data folder. One for a process; its transactions may run in several threads."""

    folder: Path
    engine: Engine
    files: Files

    @contextmanager
    def writing(self) -> Generator[Session]:
        """A transaction that may write: commits at the end of the block, undoes everything if the block raises.

        Waits up to 10 s for another writer, then raises sqlalchemy.exc.OperationalError.
        """
        with database.writing(self.engine).begin() as session:
            yield session

    @contextmanager
    def reading(self) -> Generator[Session]:
        """A transaction that sees one moment and cannot write."""
        with database.reading(self.engine).begin() as session:
            yield session

    def close(self) -> None:
        """Let go of the database. What was committed is kept without this."""
        self.engine.dispose()


def open_store(folder: Path, *, sqlite: ModuleType | None = None) -> Store:
    """Open a data folder.

    Args:
        folder: made if there is none.
        sqlite: a DB-API module; the newest there is by default.
    Returns: the store, its tables up to date.
    Raises: BadInput: the folder cannot be used, its database is none of ours, or a newer steadyrest wrote it.
    """
    path = folder / DATABASE
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)  # customers' drawings are nobody else's business
        (folder / FILES).mkdir(exist_ok=True)
    except OSError as fault:
        what = f"cannot be used as data folder ({fault.strerror})."
        raise BadInput(
            where=str(folder), what=what, do="Choose a folder of this machine that you may write to."
        ) from None
    engine = database.connect_to(path, sqlite=sqlite)
    try:
        bring_up_to_date(engine, path)
    except DBAPIError as fault:
        engine.dispose()
        what = f"cannot be opened as database ({str(fault.orig).rstrip('.')})."
        do = "If another program holds it, close that; if the file is damaged, restore a backup."
        raise BadInput(where=str(path), what=what, do=do) from None
    except BaseException:
        engine.dispose()
        raise
    return Store(folder, engine, Files(folder / FILES))


def bring_up_to_date(engine: Engine, path: Path) -> None:
    """Run the migrations that this database has not had, in one transaction."""
    with database.reading(engine).begin() as session:
        if revision_of(session) == REVISION and not folds.due(session):
            return
    with database.writing(engine).begin() as session:
        revision = revision_of(session)  # again: another process may have been first
        if revision is None and inspect(session).get_table_names():
            what = "is a database, but none that steadyrest made."
            raise BadInput(where=str(path), what=what, do="Choose another data folder.")
        if revision != REVISION:
            full_text(session, path)
            migrate(session, revision, path)
        folds.make_anew(session, folds.due(session))


def full_text(session: Session, path: Path) -> None:
    """Raises: BadInput: this SQLite cannot keep an index of words, and no page looks without one."""
    known = session.exec_driver_sql(FULL_TEXT).first()
    if known is None:
        what = "needs an index of words, and the SQLite of this Python was built without one (FTS5)."
        raise BadInput(where=str(path), what=what, do="Install steadyrest with its packages, or another Python.")


def revision_of(session: Session) -> str | None:
    """The revision of the tables; None where there are none of ours."""
    if not inspect(session).has_table("alembic_version"):
        return None
    return session.execute(text("SELECT version_num FROM alembic_version")).scalar()


def alembic_config() -> Config:
    """Where our migrations are."""
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS).replace("%", "%%"))
    return config


def known_revisions() -> frozenset[str]:
    """Every revision that this steadyrest can bring up to date, its own included."""
    from alembic.script import ScriptDirectory

    return frozenset(script.revision for script in ScriptDirectory.from_config(alembic_config()).walk_revisions())


def migrate(session: Session, revision: str | None, path: Path) -> None:
    """Bring the tables from this revision to ours."""
    from alembic import command  # late: only a new or an old database needs it

    config = alembic_config()
    config.attributes["connection"] = session
    if revision is not None and revision not in known_revisions():
        what = f"was written by a newer steadyrest (tables {revision}; this one knows {REVISION})."
        raise BadInput(where=str(path), what=what, do="Update steadyrest, then open it again.")
    command.upgrade(config, "head")
