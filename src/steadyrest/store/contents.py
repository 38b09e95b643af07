"""A backup's list of what is in it: the hash of every file, so that any byte that changed is found.

Written last: a folder without its list is no finished backup. The list's second line is the hash of its first.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from steadyrest.store.files import sha256_of, write_whole

LIST = "backup.json"
KIND = "steadyrest backup"


def is_backup(folder: Path) -> bool:
    """Whether a folder is a finished backup."""
    return (folder / LIST).is_file()


def write_list(folder: Path, *, made: datetime) -> None:
    """List every file that stands in a folder, with its hash.

    Args:
        folder: whole, but for the list.
        made: aware moment of the backup.
    """
    files = {name: sha256_of(folder / name) for name in names(folder)}
    line = json.dumps({"kind": KIND, "made": made.isoformat(), "files": files}, sort_keys=True)
    write_whole(folder / LIST, f"{line}\n{hashlib.sha256(line.encode()).hexdigest()}\n".encode())


def names(folder: Path) -> tuple[str, ...]:
    """Every file in a folder but the list, by its path with forward slashes."""
    found = (path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())
    return tuple(sorted(name for name in found if name != LIST))


def differs(folder: Path) -> Iterator[tuple[str, str]]:
    """What is not as the list says.

    Args:
        folder: with a list.
    Yields: where, and what is wrong.
    """
    try:
        line, digest, rest = (folder / LIST).read_bytes().decode().split("\n")
        if rest or hashlib.sha256(line.encode()).hexdigest() != digest:
            raise ValueError(LIST)
        files = json.loads(line)["files"]
    except (OSError, ValueError, KeyError, TypeError):
        yield LIST, "is not as it was written"
        return
    here = set(names(folder))
    for name, sha256 in files.items():
        if name not in here:
            yield name, "is gone"
        elif sha256_of(folder / name) != sha256:
            yield name, "is not what was backed up (its hash differs)"
    for name in sorted(here - files.keys()):
        yield name, "was not in the backup"
