"""Files by content hash in a folder. Written once, never changed: the same bytes are kept once.

Written under a temporary name, synced, then renamed: a file that has its name is whole. The row that points to it is
written after it, so a row without its file is damage, and a file without a row is only left over.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from steadyrest.trouble import BadInput

CHUNK = 1 << 20


@dataclass(frozen=True, slots=True)
class Files:
    """The folder that holds them."""

    folder: Path

    def path(self, sha256: str) -> Path:
        """Where a file of this hash stands, or would stand."""
        return self.folder / sha256[:2] / sha256

    def keep(self, data: bytes) -> str:
        """Keep these bytes, for good once this returns.

        Args:
            data: the whole file.
        Returns: its SHA-256, 64 hexadecimal digits.
        """
        sha256 = hashlib.sha256(data).hexdigest()
        goal = self.path(sha256)
        if not (goal.exists() and goal.stat().st_size == len(data)):
            write_whole(goal, data)
        return sha256

    def read(self, sha256: str) -> bytes:
        """The bytes of this hash.

        Raises: BadInput: it is gone, or it is no longer what was kept.
        """
        try:
            data = self.path(sha256).read_bytes()
        except OSError:
            data = None
        if data is None or hashlib.sha256(data).hexdigest() != sha256:
            what = "is gone." if data is None else "is not what was kept (its hash differs)."
            raise BadInput(where=f"kept file {sha256[:12]}", what=what, do="Restore it from a backup.")
        return data


def write_whole(goal: Path, data: bytes) -> None:
    """Write a file so that it is whole or not there, whatever happens in between.

    Args:
        goal: its name; folders are made.
        data: its bytes.
    """
    goal.parent.mkdir(parents=True, exist_ok=True)
    handle, temporary = tempfile.mkstemp(dir=goal.parent, prefix=".being-written-")
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            sync(out.fileno())
        os.replace(temporary, goal)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
        raise
    sync_folder(goal.parent)
    sync_folder(goal.parent.parent)


def sync(handle: int) -> None:
    """Down to the disk itself; macOS needs another call for that."""
    if sys.platform == "darwin":
        import fcntl

        fcntl.fcntl(handle, fcntl.F_FULLFSYNC)
    else:
        os.fsync(handle)


def sync_folder(folder: Path) -> None:
    """Make a rename in this folder last; Windows does so by itself."""
    if sys.platform != "win32":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def sha256_of(path: Path) -> str:
    """The hash of a file on disk, read in pieces."""
    total = hashlib.sha256()
    with open(path, "rb") as source:
        for chunk in pieces(source.fileno()):
            total.update(chunk)
    return total.hexdigest()


def pieces(handle: int) -> Iterator[bytes]:
    while chunk := os.read(handle, CHUNK):
        yield chunk
