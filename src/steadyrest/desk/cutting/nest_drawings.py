"""The drawings of a nest: files read, flat parts of jobs fetched, each made as thick as the plate."""

from __future__ import annotations

from collections.abc import Sequence

from steadyrest.desk.cutting.nest_asked import SAME_MM, Asked
from steadyrest.desk.incoming import read_part
from steadyrest.desk.plan import keeping
from steadyrest.part.flat.thickness import as_plate
from steadyrest.route.from_plate import as_cut
from steadyrest.shop.part import Part
from steadyrest.stock.asked.nest import MOST_CORNERS, MOST_PARTS
from steadyrest.stock.nested_lot import Drawing
from steadyrest.stock.sheet_outlines import bodies
from steadyrest.store.opening import Store
from steadyrest.trouble import BadInput
from steadyrest.workers.running import Progress, Stop, Workers


def drawings(
    store: Store, asked: Asked, thickness_mm: float, *, progress: Progress, stop: Stop, workers: Workers | None
) -> tuple[Drawing, ...]:
    """Every drawing that is to be nested, read and made as thick as the plate.

    Args:
        store: an open data folder. asked: which. thickness_mm: of the plate.
        progress: told how far reading is. stop: True ends it. workers: a process that stands ready.
    Returns: each with its own name.
    Raises: BadInput: one that cannot be read, is not flat, or does not say its unit. Stopped: stop said so.
    """
    found, names = list[Drawing](), set[str]()
    many = len(asked.files) + len(asked.jobs)
    for k, (sha256, file, count) in enumerate(asked.files):
        part = read_part.read_part(
            store.files.path(sha256), name=file, unit=asked.unit or None, stop=stop, workers=workers,
            progress=lambda words, share, k=k: progress(words, (k + share) / many),
        )  # fmt: skip
        if part.unit.state == "ask":
            raise BadInput(where=file, what="the file does not say its unit.", do="Choose millimetre or inch.")
        if part.flat is None:
            raise BadInput(where=file, what="is no flat drawing.", do="Give outlines as DXF.")
        found.append(Drawing(_own(file.rsplit(".", 1)[0], names), as_plate(part, thickness_mm), count))
    for number, count in asked.jobs:
        kept = keeping.kept_job(store, number)
        part = _flat(kept.answer.part, number, thickness_mm)
        name = _own(f"{number} {kept.answer.what or kept.answer.part.name}"[:40], names)
        found.append(Drawing(name, part, count or kept.answer.quantity, number))
    _not_too_many(found)
    return tuple(found)


def _flat(part: Part, number: int, thickness_mm: float) -> Part:
    """A job's part as outlines. Raises: BadInput: it is not flat, or of another thickness."""
    where = f"job {number}"
    has = part.size_mm[2] if part.flat is not None else part.plate_side.thickness_mm if part.plate_side else 0.0
    if part.flat is None and part.plate_side is None:
        raise BadInput(where=where, what="its part is not flat.", do="Name jobs whose part is cut from plate.")
    if abs(has - thickness_mm) > SAME_MM:
        what = f"its part is {has:.4g} mm thick, the plate {thickness_mm:.4g} mm."
        raise BadInput(where=where, what=what, do="Choose plates of its thickness.")
    if part.flat is not None:
        return part
    assert part.plate_side is not None
    return as_cut(part, part.plate_side, thickness_mm)


def _own(name: str, names: set[str]) -> str:
    """A name that no other has."""
    found, n = name, 1
    while found in names:
        n += 1
        found = f"{name} ({n})"
    names.add(found)
    return found


def _not_too_many(found: Sequence[Drawing]) -> None:
    total = 0
    for one in found:
        assert one.part.flat is not None
        each = bodies(one.part.flat)
        total += len(each) * one.count
        corners = max((len(body.ring) + sum(map(len, body.holes)) for body in each), default=0)
        if corners > MOST_CORNERS:
            what = f"has an outline of {corners} corners; {MOST_CORNERS} at most."
            raise BadInput(where=one.name, what=what, do="Export it with arcs, or coarser.")
    if total > MOST_PARTS:
        raise BadInput(where="parts", what=f"{total} parts; {MOST_PARTS} at most.", do="Ask in several nests.")
