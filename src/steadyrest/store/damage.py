"""Look whether a data folder, or a backup, is whole: pages, tables, what points where, every sealed row, every file.

In a backup every byte counts: its list (contents.py) has the hash of each file in it. In a data folder at work, what
may change (work that waits, PINs, devices that came in) carries no seal; there a page's own order is all there is.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from sqlalchemy import create_engine, inspect, text
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from steadyrest.store import contents, database, folds, seals
from steadyrest.store.files import Files, sha256_of
from steadyrest.store.opening import DATABASE, FILES, REVISION, Session, known_revisions, migrate, revision_of
from steadyrest.trouble import BadInput


@dataclass(frozen=True, slots=True)
class Damage:
    """One thing that is not whole: where, and what is wrong."""

    where: str
    what: str


@dataclass(frozen=True, slots=True)
class Looked:
    """What was looked at. rows: sealed; files: kept besides the database; backup: it has a backup's list."""

    folder: Path
    backup: bool
    rows: int
    files: int
    damage: tuple[Damage, ...]


def look(folder: Path) -> Looked:
    """Look whether a data folder, or a backup, is whole.

    Args:
        folder: a data folder; nothing in it is changed.
    Returns: what was looked at, and every damage found.
    Raises: BadInput: there is no data in this folder, or a newer steadyrest wrote it.
    """
    path = folder / DATABASE
    backup = contents.is_backup(folder)
    if not path.is_file() and not backup:
        raise BadInput(where=str(folder), what="holds no steadyrest data.", do="Give the data folder or a backup.")
    listed = [Damage(where, what) for where, what in contents.differs(folder)] if backup else []
    if not path.is_file():
        return Looked(folder, backup, 0, 0, tuple(listed))
    engine = database.connect_to(path, as_it_is=True)
    found: list[Damage] = []
    rows = files = 0
    try:
        with database.reading(engine).begin() as session:
            revision = revision_of(session)
            if revision not in known_revisions() and not listed:
                raise BadInput(
                    where=str(folder), what=f"has tables {revision}, which this steadyrest does not know.",
                    do="Update steadyrest, then look again.",
                )  # fmt: skip
            found += in_pages(session)
            if revision == REVISION:
                found += in_schema(session)
                found += in_folds(session)
            if inspect(session).has_table("seal"):
                found += (Damage(f"{DATABASE}, {where}", what) for where, what in seals.broken(session))
                rows = int(session.execute(text("SELECT count(*) FROM seal")).scalar() or 0)
            found += in_waiting(session)
            files = int(session.execute(text("SELECT count(*) FROM file")).scalar() or 0)
            found += in_files(session, Files(folder / FILES))
    except (DBAPIError, SQLAlchemyError, UnicodeError) as fault:
        said = getattr(fault, "orig", None) or fault
        found.append(Damage(DATABASE, f"cannot be read ({str(said).splitlines()[0]})"))
    finally:
        with contextlib.suppress(SQLAlchemyError):
            engine.dispose()
    return Looked(folder, backup, rows, files, tuple(dict.fromkeys((*found, *listed))))


def verify(folder: Path) -> tuple[Damage, ...]:
    """Every damage found in a data folder or a backup; none if it is whole. Arguments and errors as in `look`."""
    return look(folder).damage


def in_pages(session: Session) -> Iterator[Damage]:
    """What the database itself finds wrong, and rows that point to nothing."""
    for (said,) in session.execute(text("PRAGMA integrity_check")):
        if said != "ok":
            yield Damage(DATABASE, str(said))
    for table, row, target, _ in session.execute(text("PRAGMA foreign_key_check")):
        yield Damage(f"{DATABASE}, {table} {row}", f"points to a {target} that is not there")


def in_folds(session: Session) -> Iterator[Damage]:
    """What is folded from the rows and does not follow from them."""
    try:
        for where, what in folds.differs(session):
            yield Damage(f"{DATABASE}, {where}", f"{what}: `steadyrest find --anew` makes it again")
    except (ValueError, KeyError, TypeError, AttributeError) as fault:  # a damaged row, which its seal names
        yield Damage(DATABASE, f"what follows from its rows cannot be told ({fault})")


def in_schema(session: Session) -> Iterator[Damage]:
    """Tables, indexes and guards that are not as the migrations made them."""
    here, wanted = dict(schema_of(session)), dict(as_made())
    for name in sorted(here.keys() | wanted.keys()):
        if here.get(name) != wanted.get(name):
            said = "is gone" if name not in here else "is not ours" if name not in wanted else "was changed"
            yield Damage(f"{DATABASE}, {name}", said)


def schema_of(session: Session) -> tuple[tuple[str, str], ...]:
    """Every table, index and trigger by name, with its text."""
    # The index's own tables are SQLite's, and other versions of it write them otherwise.
    asked = (
        "SELECT type || ' ' || name, coalesce(sql, '') FROM sqlite_master WHERE name NOT LIKE 'sqlite_%' "
        "AND name NOT IN ('found_data', 'found_idx', 'found_content', 'found_docsize', 'found_config')"
    )
    return tuple((str(name), str(sql)) for name, sql in session.execute(text(asked)))


@cache
def as_made() -> tuple[tuple[str, str], ...]:
    """The tables as the migrations make them in a new database."""
    engine = create_engine("sqlite://", module=database.library())
    try:
        with engine.begin() as session:
            migrate(session, None, Path(DATABASE))
            return schema_of(session)
    finally:
        engine.dispose()


def in_waiting(session: Session) -> Iterator[Damage]:
    """Work in the queue that is no JSON."""
    for number, *texts in session.execute(text("SELECT id, asked, result FROM task")):
        for said in texts:
            try:
                json.loads(said or "{}")
            except ValueError:
                yield Damage(f"{DATABASE}, task {number}", "is not readable")


def in_files(session: Session, files: Files) -> Iterator[Damage]:
    """Kept files that are gone or changed."""
    for sha256, name in session.execute(text("SELECT sha256, name FROM file")):
        try:
            if sha256_of(files.path(sha256)) != sha256:
                yield Damage(f"{FILES}, {name} ({sha256[:12]})", "is not what was kept (its hash differs)")
        except (OSError, ValueError):
            yield Damage(f"{FILES}, {name} ({sha256[:12]})", "is gone")
