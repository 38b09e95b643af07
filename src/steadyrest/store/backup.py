"""Copy the data out, bring it back, and look whether it is whole.

The database is copied first, as of one moment, then every file that its rows point to: files are never changed and are
kept before their rows, so that the copy is whole while work goes on.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

from sqlalchemy import Engine, select, text
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from steadyrest.store import database, schema
from steadyrest.store.files import Files, sha256_of, sync_folder, write_whole
from steadyrest.store.opening import DATABASE, FILES, REVISION, Store, revision_of
from steadyrest.trouble import BadInput


@dataclass(frozen=True, slots=True)
class Damage:
    """One thing that is not whole: where, and what is wrong."""

    where: str
    what: str


@dataclass(frozen=True, slots=True)
class Copied:
    """A backup as made: its folder, how many files besides the database, and how many bytes in all."""

    folder: Path
    files: int
    size_bytes: int


def backup(store: Store, goal: Path) -> Copied:
    """Copy everything into a new folder, and look whether the copy is whole. Work may go on meanwhile.

    Args:
        store: open.
        goal: the folder to make; must not exist.
    Returns: what was copied.
    Raises: BadInput: the goal is there already or cannot be written, or the copy is damaged; nothing is left then.
    """
    unused(goal)
    partial = goal.with_name(goal.name + ".partial")
    try:
        shutil.rmtree(partial, ignore_errors=True)
        (partial / FILES).mkdir(parents=True)
        copy_database(store.engine, partial / DATABASE)
        files = copy_files(store.files, partial)
        damage = verify(partial)
        if damage:
            what = f"the copy is damaged ({damage[0].where}: {damage[0].what})."
            raise BadInput(where=str(store.folder), what=what, do="Run `steadyrest verify` on the data folder.")
        size = sum(entry.stat().st_size for entry in partial.rglob("*") if entry.is_file())
        os.replace(partial, goal)
        sync_folder(goal.absolute().parent)
        return Copied(goal, files, size)
    except OSError as fault:
        what = f"cannot be written ({fault.strerror})."
        raise BadInput(where=str(goal), what=what, do="Choose a folder with room that you may write to.") from None
    finally:
        shutil.rmtree(partial, ignore_errors=True)


def restore(source: Path, folder: Path) -> Copied:
    """Bring a backup back as a new data folder. What is there is never overwritten.

    Args:
        source: a folder that backup made.
        folder: the data folder to make; must not exist.
    Returns: what was copied.
    Raises: BadInput: the backup is damaged, or the folder is there already or cannot be written.
    """
    unused(folder)
    damage = verify(source)
    if damage:
        what = f"is damaged ({damage[0].where}: {damage[0].what})."
        raise BadInput(where=str(source), what=what, do="Take an older backup; `steadyrest verify` lists all of it.")
    partial = folder.with_name(folder.name + ".partial")
    engine = database.connect_to(source / DATABASE, as_it_is=True)
    try:
        shutil.rmtree(partial, ignore_errors=True)
        (partial / FILES).mkdir(parents=True)
        copy_database(engine, partial / DATABASE)
        files = copy_files(Files(source / FILES), partial)
        size = sum(entry.stat().st_size for entry in partial.rglob("*") if entry.is_file())
        os.replace(partial, folder)
        sync_folder(folder.absolute().parent)
        return Copied(folder, files, size)
    except OSError as fault:
        what = f"cannot be written ({fault.strerror})."
        raise BadInput(where=str(folder), what=what, do="Choose a folder with room that you may write to.") from None
    finally:
        engine.dispose()
        shutil.rmtree(partial, ignore_errors=True)


def unused(folder: Path) -> None:
    """Raise BadInput if there is anything of this name."""
    if folder.exists():
        raise BadInput(where=str(folder), what="is there already.", do="Choose a new name; nothing is overwritten.")


def copy_database(engine: Engine, goal: Path) -> None:
    """Copy the database as of one moment, page by page, in one file without a journal beside it."""
    source = engine.raw_connection()
    copy: Any = cast("Any", engine.dialect.dbapi).connect(str(goal))
    try:
        source.driver_connection.backup(copy)  # pyright: ignore[reportOptionalMemberAccess]
        copy.execute("PRAGMA journal_mode=DELETE").fetchall()
    finally:
        copy.close()
        source.close()
    with open(goal, "rb+") as written:
        os.fsync(written.fileno())


def copy_files(files: Files, partial: Path) -> int:
    """Copy every file that the copied database points to.

    Returns: how many.
    """
    engine = database.connect_to(partial / DATABASE, as_it_is=True)
    copied = Files(partial / FILES)
    try:
        with database.reading(engine).begin() as session:
            wanted = session.execute(select(schema.file.c.sha256)).scalars().all()
        for sha256 in wanted:
            write_whole(copied.path(sha256), files.read(sha256))
        return len(wanted)
    finally:
        engine.dispose()


def verify(folder: Path) -> tuple[Damage, ...]:
    """Look whether a data folder, or a backup, is whole: the database, what points where, every kept file's hash.

    Args:
        folder: a data folder; nothing in it is changed.
    Returns: every damage found; none if it is whole.
    Raises: BadInput: there is no data in this folder.
    """
    path = folder / DATABASE
    if not path.is_file():
        raise BadInput(where=str(folder), what="holds no steadyrest data.", do="Give the data folder or a backup.")
    engine = database.connect_to(path, as_it_is=True)
    found: list[Damage] = []
    try:
        with database.reading(engine).begin() as session:
            for (said,) in session.execute(text("PRAGMA integrity_check")):
                if said != "ok":
                    found.append(Damage(DATABASE, str(said)))
            for table, row, target, _ in session.execute(text("PRAGMA foreign_key_check")):
                found.append(Damage(f"{DATABASE}, {table} {row}", f"points to a {target} that is not there"))
            revision = revision_of(session)
            if revision != REVISION:
                found.append(
                    Damage(DATABASE, f"has tables {revision}, not {REVISION}; open it once to bring it up to date")
                )
            else:
                found += damaged_values(session) + damaged_files(session, Files(folder / FILES))
    except (DBAPIError, SQLAlchemyError) as fault:
        said = getattr(fault, "orig", None) or fault
        found.append(Damage(DATABASE, f"cannot be read ({str(said).splitlines()[0]})"))
    finally:
        with contextlib.suppress(SQLAlchemyError):
            engine.dispose()
    return tuple(found)


def damaged_values(session: Any) -> list[Damage]:
    """Kept parts and plans that are no JSON."""
    found: list[Damage] = []
    for table in (schema.part, schema.plan):
        for number, value in session.execute(select(table.c.id, table.c.value)):
            try:
                json.loads(value)
            except ValueError:
                found.append(Damage(f"{DATABASE}, {table.name} {number}", "is not readable"))
    return found


def damaged_files(session: Any, files: Files) -> list[Damage]:
    """Kept files that are gone or changed."""
    found: list[Damage] = []
    for sha256, name in session.execute(select(schema.file.c.sha256, schema.file.c.name)):
        path = files.path(sha256)
        try:
            if sha256_of(path) != sha256:
                found.append(Damage(f"{FILES}, {name} ({sha256[:12]})", "is not what was kept (its hash differs)"))
        except OSError:
            found.append(Damage(f"{FILES}, {name} ({sha256[:12]})", "is gone"))
    return found
