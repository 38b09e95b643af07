"""Backups and damage as JSON values and in words."""

from __future__ import annotations

from collections.abc import Iterator

from steadyrest.cli.answers import Json
from steadyrest.store.backup import Copied, Kept
from steadyrest.store.damage import Looked

MB = 1_000_000


def backup_answer(made: Kept) -> Json:
    """What `backup --json` prints. tried: it was brought back in another place and looked at."""
    copied = made.copied
    return {
        "folder": str(copied.folder),
        "files": copied.files,
        "size_bytes": copied.size_bytes,
        "tried": True,
        "kept": list(made.kept),
        "removed": list(made.removed),
    }


def restore_answer(back: Copied) -> Json:
    """What `restore --json` prints."""
    return {"folder": str(back.folder), "files": back.files, "size_bytes": back.size_bytes}


def verify_answer(looked: Looked) -> Json:
    """What `verify --json` prints."""
    return {
        "folder": str(looked.folder),
        "backup": looked.backup,
        "whole": not looked.damage,
        "rows": looked.rows,
        "files": looked.files,
        "damage": [{"where": one.where, "what": one.what} for one in looked.damage],
    }


def backup_lines(made: Kept) -> Iterator[str]:
    """A backup in words."""
    much = f"{made.copied.files} files, {made.copied.size_bytes / MB:.1f} MB"
    yield f"{made.copied.folder}: {much}; brought back for trial, and whole"
    if made.removed:
        yield f"removed {len(made.removed)} older, {len(made.kept)} are left"


def restore_line(back: Copied) -> str:
    """What came back, in words."""
    return f"{back.folder}: {back.files} files, {back.size_bytes / MB:.1f} MB. Serve it with --data {back.folder}"


def verify_lines(looked: Looked) -> Iterator[str]:
    """What was looked at and found, in words."""
    for one in looked.damage:
        yield f"{one.where}: {one.what}"
    said = f"{looked.rows} sealed rows and {looked.files} files"
    if looked.damage:
        yield f"{looked.folder}: damaged in {len(looked.damage)} places ({said} looked at)."
        yield "Restore a backup into a new folder; keep the damaged one until you have compared."
    else:
        yield f"{looked.folder}: whole ({said} looked at)"
