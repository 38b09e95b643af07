"""Read a part: a file in, a Part out. The file is opened in a worker process only."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from steadyrest.shop.floor import Material
from steadyrest.shop.part import Part
from steadyrest.workers import reading
from steadyrest.workers.running import Workers


def read_part(
    file: Path,
    *,
    unit: str | None,
    body: int | None = None,
    grid: bool = False,
    progress: Callable[[str, float], None],
    stop: Callable[[], bool],
    name: str = "",
    workers: Workers | None = None,
) -> Part:
    """The part in a file.

    Args:
        file: STEP, STL, PLY, OBJ, 3MF or DXF.
        unit: "mm", "in" or "m" for a file that names none, or None.
        body: which of several bodies in the file, from 1; None for all together.
        grid: make the body's cells too: what a plan on a mill asks for.
        progress: called with a word and the share done.
        stop: asked now and then; True ends the reading.
        name: what the person calls the file; its own name by default.
        workers: a process that stands ready; else a fresh one is started.
    Returns: the part, with its doubts.
    Raises: BadInput: the file is missing, empty, damaged or not a part.
    """
    return reading.read_part(
        file, name=name, unit=unit, body=body, grid=grid, progress=progress, stop=stop, workers=workers
    )


def material(text: str, metals: tuple[Material, ...] | None = None) -> Material:
    """The metal that a person means.

    Args:
        text: a name such as "C45", "1045" or "42CrMo4".
        metals: the shop's; the tables' by default.
    Returns: the metal.
    Raises: BadInput: unknown, with the nearest names.
    """
    from steadyrest.shop.shop_materials import table_materials
    from steadyrest.tables.materials import find_material

    row = find_material(text)
    return next(metal for metal in metals or table_materials() if metal.id == row.id)
