"""Copy the data out, and bring it back. What is copied is tried at once: brought back in another place, and looked at.

The database is copied first, as of one moment, then every file that its rows point to: files are never changed and are
kept before their rows, so that the copy is whole while work goes on.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import shutil
import stat
import tempfile
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, cast

from sqlalchemy import Engine, select

from steadyrest.store import contents, database, schema
from steadyrest.store.damage import verify
from steadyrest.store.files import Files, sync_folder, write_whole
from steadyrest.store.opening import DATABASE, FILES, Store
from steadyrest.trouble import BadInput

OWN = "shop.toml"
NAMED = re.compile(r"steadyrest-\d{8}T\d{6}Z(-\d+)?")
# A backup that was killed in its middle is left over; another that runs now is younger than this.
LEFT_OVER = timedelta(days=1)
TRIAL = "steadyrest-trial-"
# Short of a day, so that the next night's backup clears what this night's left.
TRIAL_LEFT_OVER = timedelta(hours=12)


@dataclass(frozen=True, slots=True)
class Copied:
    """A backup as made: its folder, how many files besides the database, and how many bytes in all."""

    folder: Path
    files: int
    size_bytes: int


@dataclass(frozen=True, slots=True)
class Kept:
    """A backup in a folder of backups. kept: names of those there are now, oldest first; removed: of older ones."""

    copied: Copied
    kept: tuple[str, ...]
    removed: tuple[str, ...]


def backup_into(store: Store, folder: Path, *, keep: int | None, now: datetime) -> Kept:
    """Make a backup named by its moment in a folder of backups, then remove the oldest beyond those to keep.

    Args:
        store: open.
        folder: of backups, such as a stick; made if there is none.
        keep: how many of the newest stay; None: all.
        now: aware moment.
    Returns: the backup, and which there are now.
    Raises: BadInput: as in `backup`; nothing is removed then.
    """
    stem = f"steadyrest-{now.astimezone(UTC):%Y%m%dT%H%M%SZ}"
    tries = (stem if count == 1 else f"{stem}-{count}" for count in range(1, 1000))
    name = next(name for name in tries if not (folder / name).exists())
    copied = backup(store, folder / name, now=now)
    here = tuple(sorted(p.name for p in folder.iterdir() if NAMED.fullmatch(p.name) and contents.is_backup(p)))
    gone = here[:-keep] if keep is not None else ()
    for name in gone:
        with contextlib.suppress(OSError):
            (folder / name / contents.LIST).unlink()  # first: what is half removed is no backup
            shutil.rmtree(folder / name)
    for left in folder.glob("steadyrest-*Z*.partial"):
        with contextlib.suppress(OSError):
            if now - datetime.fromtimestamp(left.stat().st_mtime, UTC) > LEFT_OVER:
                shutil.rmtree(left)
    return Kept(copied, tuple(name for name in here if name not in gone), gone)


def backup(store: Store, goal: Path, *, now: datetime) -> Copied:
    """Copy everything into a new folder, bring the copy back in a place for trial, and look at both.

    Work may go on meanwhile.

    Args:
        store: open.
        goal: the folder to make; must not exist.
        now: aware moment.
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
        copy_own(store.folder, partial)
        contents.write_list(partial, made=now)
        tried(partial)
        size = size_of(partial)
        os.replace(partial, goal)
        sync_folder(goal.absolute().parent)
        return Copied(goal, files, size)
    except OSError as fault:
        raise cannot_write(goal, fault) from None
    except BadInput as trouble:
        if trouble.where.startswith(str(partial)):
            what = f"the copy is damaged: {trouble.what}"
            raise BadInput(where=str(store.folder), what=what, do="Run `steadyrest verify` on it.") from None
        raise
    finally:
        shutil.rmtree(partial, ignore_errors=True)


def tried(partial: Path) -> None:
    """Bring a copy back in a place for trial. Raises: BadInput: what came back is damaged, or is not the same."""
    with tempfile.TemporaryDirectory(prefix=TRIAL) as place:
        clear_trials(Path(place))
        back = Path(place) / "back"
        restore(partial, back)
        damage = verify(back)
        if damage or told(back / DATABASE) != told(partial / DATABASE):
            what = f"it did not come back as it was ({damage[0].where}: {damage[0].what})." if damage else "it differs."
            raise BadInput(where=str(partial), what=what, do="Try another disk.")


def clear_trials(place: Path) -> None:
    """Remove trials that were killed in their middle: ours beside this one, and long older by the disk's own clock."""
    begun = place.stat()
    for left in place.parent.glob(f"{TRIAL}*"):
        with contextlib.suppress(OSError):
            there = left.lstat()
            ours = stat.S_ISDIR(there.st_mode) and there.st_uid == begun.st_uid
            if ours and begun.st_mtime - there.st_mtime > TRIAL_LEFT_OVER.total_seconds():
                shutil.rmtree(left)


def told(path: Path) -> str:
    """The hash of everything that a database tells."""
    connection: Any = cast("Any", database.library()).connect(str(path))
    try:
        total = hashlib.sha256()
        tables = connection.execute("SELECT name, sql FROM sqlite_master ORDER BY name").fetchall()
        total.update(repr(tables).encode())
        for name, sql in tables:
            if str(sql).startswith("CREATE TABLE"):
                for row in connection.execute(f'SELECT * FROM "{name}" ORDER BY 1'):
                    total.update(repr(row).encode())
        return total.hexdigest()
    finally:
        connection.close()


def restore(source: Path, folder: Path) -> Copied:
    """Bring a backup back as a new data folder. What is there is never overwritten.

    Args:
        source: a folder that backup made.
        folder: the data folder to make; must not exist, or be empty.
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
        copy_own(source, partial)
        size = size_of(partial)
        if folder.exists():
            folder.rmdir()
        os.replace(partial, folder)
        sync_folder(folder.absolute().parent)
        return Copied(folder, files, size)
    except OSError as fault:
        raise cannot_write(folder, fault) from None
    finally:
        engine.dispose()
        shutil.rmtree(partial, ignore_errors=True)


def unused(folder: Path) -> None:
    """Raise BadInput if there is anything of this name but an empty folder."""
    if folder.is_symlink() or (folder.exists() and not (folder.is_dir() and not any(folder.iterdir()))):
        raise BadInput(where=str(folder), what="is there already.", do="Choose a new name; nothing is overwritten.")


def cannot_write(folder: Path, fault: OSError) -> BadInput:
    what = f"cannot be written ({fault.strerror or fault})."
    return BadInput(where=str(folder), what=what, do="Choose a folder with room that you may write to.")


def size_of(folder: Path) -> int:
    """Bytes of everything in a folder."""
    return sum(entry.stat().st_size for entry in folder.rglob("*") if entry.is_file())


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


def copy_own(source: Path, partial: Path) -> None:
    """Copy the shop file, where the folder has one."""
    if (source / OWN).is_file():
        write_whole(partial / OWN, (source / OWN).read_bytes())
