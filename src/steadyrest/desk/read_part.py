"""Read a part: a file in, a Part out. The file is opened in a worker process only."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from steadyrest.shop.floor import Material
from steadyrest.shop.part import Part
from steadyrest.trouble import BadInput

LARGEST_FILE = 2 * 1024**3


def read_part(
    file: Path, *, unit: str | None, progress: Callable[[str, float], None], stop: Callable[[], bool]
) -> Part:
    """The part in a file.

    Args:
        file: STEP, STL, PLY, OBJ or 3MF.
        unit: "mm", "in" or "m" for a file that names none, or None.
        progress: called with a word and the share done.
        stop: asked now and then; True ends the reading.
    Returns: the part, with its doubts.
    Raises: BadInput: the file is missing, empty, damaged or not a part.
    """
    from steadyrest.workers import reading

    checked(file)
    return reading.read_part(file, unit=unit, progress=progress, stop=stop)


def checked(file: Path) -> None:
    """Raise BadInput if the file is not there, not a file, empty or beyond what is read."""
    try:
        size = file.stat().st_size
        with file.open("rb"):
            pass
    except IsADirectoryError:
        raise BadInput(where=file.name, what="this is a folder.", do="Name one file in it.") from None
    except FileNotFoundError:
        raise BadInput(where=str(file), what="there is no such file.", do="Check the name and the folder.") from None
    except OSError as trouble:
        raise BadInput(where=str(file), what=f"it cannot be opened ({trouble.strerror}).", do="Check its rights.") from None
    if size == 0:
        raise BadInput(where=file.name, what="the file is empty (0 bytes).", do="Export or copy it again.")
    if size > LARGEST_FILE:
        raise BadInput(
            where=file.name,
            what=f"the file is {size / 1024**3:.1f} GB; at most 2 GB are read.",
            do="Thin the scan out before you save it.",
        )


def material(text: str) -> Material:
    """The metal that a person means, at the tables' price.

    Args:
        text: a name such as "C45", "1045" or "42CrMo4".
    Returns: its row as a shop value.
    Raises: BadInput: unknown, with the nearest names.
    """
    from steadyrest.shop import materials

    return materials.named(text)
