"""The scale at which a file without units is read, and the way back to its own numbers.

How far an edge is rounded, how fine a scan is, how deep a key sits: such lengths are known in mm, and the reader looks
with them. A file that names no unit and whose numbers are as small as inches or metres give is therefore looked at as
if they were, and all that was found is given in the file's own numbers again. Between 2 and 20 both millimetres and
inches are at home; there a mesh of very many triangles tells: as fine as that, no scanner sees. Nothing is settled by
that: the unit is asked as before.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any, TypeVar, cast

import numpy as np

from steadyrest.part.triangles.mesh import Mesh
from steadyrest.shop.figure import Figure, Reason
from steadyrest.shop.part import Size

T = TypeVar("T")
INCH_MM, METRE_MM = 25.4, 1000.0
SMALLEST_MM = 2.0  # no part that a small shop makes is smaller; common practice, no source
LARGEST_M = 0.6  # larger numbers under that bound are sooner inches than metres: the part is then 15 to 50 mm long
# A scan whose corners lie closer than this many mm has not been made by a scanner that a small shop uses; the most that
# a part in inches measures, and the fewest triangles of a scan. Common practice, no source.
FINEST_MM, LARGEST_IN, SCANNED = 0.08, 20.0, 3000
POWERS: Mapping[str, int] = {"_mm": 1, "_mm2": 2, "_mm3": 3, "_mm5": 5}


def working_mm(mesh: Mesh) -> float:
    """How many mm one number of a file without units is taken for while its surfaces are looked for.

    Args:
        mesh: in the file's own numbers.
    Returns: 1, 25.4 or 1000.
    """
    largest = float(np.ptp(mesh.vertices, axis=0).max()) if len(mesh.vertices) else 0.0
    if largest <= 0:
        return 1.0
    if largest >= SMALLEST_MM:
        return INCH_MM if largest <= LARGEST_IN and too_fine(mesh) else 1.0
    return METRE_MM if largest < LARGEST_M else INCH_MM


def too_fine(mesh: Mesh) -> bool:
    """Whether a mesh, its numbers taken for mm, is finer than any scan: then they are no mm."""
    if len(mesh.faces) < SCANNED:
        return False
    edges = np.linalg.norm(mesh.vertices[mesh.faces[:, 0]] - mesh.vertices[mesh.faces[:, 1]], axis=1)
    return bool(np.median(edges) < FINEST_MM)


def in_file_numbers(value: T, mm: float) -> T:
    """What was found at a working scale, in the file's own numbers. The names of its fields say which are lengths.

    Args:
        value: a value of shop/part.py, found with the file's numbers taken for this many mm each.
        mm: the working scale.
    Returns: the same with every length, area and volume divided by it.
    """
    return value if mm == 1.0 else cast(T, _back(value, mm))


def _back(value: object, mm: float) -> object:
    """A value with all that is measured in it scaled back."""
    if isinstance(value, Reason):
        return replace(value, given=tuple((name, _named(name, given, mm)) for name, given in value.given))
    if isinstance(value, Figure):
        number = value.value / mm if value.unit == "mm" else value.value
        return replace(value, value=number, why=cast(tuple[Reason, ...], _back(value.why, mm)))
    if isinstance(value, Size):
        length = value.name.endswith("_mm")
        pairs = {
            name: _divided(getattr(value, name), mm)
            for name in ("estimate", "measured", "uncertainty", "reading", "scanned")
        }
        return replace(value, **cast(dict[str, Any], pairs)) if length else value
    if isinstance(value, tuple):
        return tuple(_back(one, mm) for one in cast(tuple[object, ...], value))
    if is_dataclass(value) and not isinstance(value, type):
        changed = {field.name: _named(field.name, getattr(value, field.name), mm) for field in fields(value)}
        return replace(value, **changed)
    return value


def _named(name: str, value: object, mm: float) -> object:
    """A field's value scaled back by what its name says it is measured in."""
    power = next((power for ending, power in POWERS.items() if name.endswith(ending)), 0)
    return _divided(value, mm**power) if power else _back(value, mm)


def _divided(value: object, by: float) -> object:
    """A number, or numbers however deep, divided; None and words as they are."""
    if isinstance(value, tuple):
        return tuple(_divided(one, by) for one in cast(tuple[object, ...], value))
    return value / by if isinstance(value, float | int) and not isinstance(value, bool) else value
