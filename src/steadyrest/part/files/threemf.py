"""3MF: a ZIP of XML that names its unit; objects placed by transforms. Read through trimesh, checked before and after.

A ZIP can pretend to be small: what its members say they unpack to is added up first. So can a model: ten objects each
made of ten of the next are ten thousand million bodies, and they are counted before any is placed.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib

import numpy as np

from steadyrest.part.files.meshes import Raw, too_many
from steadyrest.trouble import BadInput

LARGEST = 1 << 30
MOST_BODIES, DEEPEST = 10_000, 40
PIECE = re.compile(
    rb"<(?:\w+:)?object\b[^>]*?\bid\s*=\s*[\"'](?P<object>\w+)[\"']"
    rb"|<(?:\w+:)?component\b(?![^>]*\bpath\s*=)[^>]*?\bobjectid\s*=\s*[\"'](?P<component>\w+)[\"']"
)
UNITS = {"micron": "um", "millimeter": "mm", "centimeter": "cm", "inch": "in", "foot": "ft", "meter": "m"}


def read(data: bytes, name: str) -> Raw:
    """The corners and triangles of all bodies that a 3MF file places.

    Args:
        data: the file. name: for messages.
    Returns: corners and triangles in the file's unit, and that unit (millimetre where it names none: the standard).
    Raises: BadInput: no 3MF, damaged, too large unpacked, nothing in it.
    """
    unit = _unit(data, name)
    try:
        import trimesh

        scene = trimesh.load_scene(io.BytesIO(data), file_type="3mf")
        bodies = [body for body in scene.dump() if isinstance(body, trimesh.Trimesh) and len(body.faces)]
    except Exception:
        # The reader beneath raises whatever its XML, ZIP and graph libraries raise; the person needs one line.
        raise _damaged(name) from None
    if not bodies:
        raise BadInput(where=name, what="there are no triangles in it.", do="Export the bodies as meshes.")
    too_many(sum(len(body.faces) for body in bodies), where=name)
    starts = np.cumsum([0, *(len(body.vertices) for body in bodies)])
    corners = np.concatenate([np.asarray(body.vertices, dtype=np.float64) for body in bodies])
    faces = [np.asarray(body.faces, dtype=np.int64) + start for body, start in zip(bodies, starts, strict=False)]
    return Raw(corners, np.concatenate(faces), unit=unit)


def _unit(data: bytes, name: str) -> str:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if sum(member.file_size for member in packed.infolist()) > LARGEST:
                raise BadInput(where=name, what="it unpacks to over 1 GB.", do="Export a smaller file.")
            models = [member for member in packed.namelist() if member.lower().endswith(".model")]
            if not models:
                raise BadInput(
                    where=name, what="this ZIP holds no 3MF model.", do="Unpack it and give the file inside."
                )
            for model in models:
                _few_enough(packed.read(model), name)
            head = packed.open(min(models, key=len)).read(4096)
    except (zipfile.BadZipFile, OSError, EOFError, NotImplementedError, RuntimeError, ValueError, zlib.error):
        raise _damaged(name) from None
    said = re.search(rb"<(?:\w+:)?model[^>]*\bunit=[\"'](\w+)[\"']", head)
    named = said[1].decode() if said else "millimeter"
    if named not in UNITS:
        raise BadInput(where=name, what=f"its unit is {named!r}.", do="Export it in millimetres.")
    return UNITS[named]


def _few_enough(model: bytes, name: str) -> None:
    """Refuse a model whose objects are made of one another without end, or come to more bodies than any assembly."""
    made_of: dict[bytes, list[bytes]] = {}
    own: list[bytes] = []
    if b"component" not in model:
        return
    for piece in PIECE.finditer(model):
        if piece["object"] is not None:
            own = made_of.setdefault(piece["object"], [])
        else:
            own.append(piece["component"])
    bodies: dict[bytes, int] = {}

    def count(one: bytes, depth: int) -> int:
        if depth > DEEPEST:
            what = f"its objects are made of one another more than {DEEPEST} deep, or in a circle."
            raise BadInput(where=name, what=what, do="Export the bodies as meshes.")
        if one not in bodies:
            bodies[one] = max(1, sum(count(other, depth + 1) for other in made_of.get(one, ())))
        return bodies[one]

    if max((count(one, 0) for one in made_of), default=0) > MOST_BODIES:
        what = f"its objects, each made of others, come to more than {MOST_BODIES} bodies."
        raise BadInput(where=name, what=what, do="Export the bodies as meshes, fewer of them.")


def _damaged(name: str) -> BadInput:
    return BadInput(where=name, what="this 3MF file is damaged.", do="Copy or export it again.")
