"""A request file from disk: text through its reader."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from steadyrest.trouble import BadInput

T = TypeVar("T")
LARGEST = 20_000_000


def asked(file: Path, read: Callable[[str, str], T]) -> T:
    """A request file through its reader. Raises: BadInput: no such file, not text, too large, or not as it must be."""
    try:
        if file.stat().st_size > LARGEST:
            raise BadInput(where=file.name, what="the file is too large.", do="Give a request of at most 20 MB.")
        text = file.read_text(encoding="utf-8-sig")
    except (OSError, ValueError) as fault:
        why = getattr(fault, "strerror", None) or "it is not text in UTF-8"
        raise BadInput(where=file.name or str(file), what=f"cannot be read ({why}).", do="Check the name.") from None
    return read(text, file.name)
