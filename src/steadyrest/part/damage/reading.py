"""Damage straight from files, for the worker that opens them: one part, or two halves of one."""

from __future__ import annotations

from steadyrest.part.damage.halves import Halves, halves_of
from steadyrest.part.damage.turned_scan import TurnedScan, turned_scan
from steadyrest.part.damage.whole import Damage, damage_of
from steadyrest.part.files.meshes import mesh_kind, read_mesh
from steadyrest.part.patch import PatchGraph
from steadyrest.part.read import UNIT_MM, Progress, Stop, scaled, unit_of, what_it_is
from steadyrest.part.segment.graph import Stopped, scan_graph
from steadyrest.part.triangles.mesh import Mesh
from steadyrest.trouble import BadInput


def read_damage(data: bytes, name: str, *, unit: str | None, progress: Progress, stop: Stop) -> Damage:
    """Damage on the scanned part in a file.

    Args:
        data: the whole file, a mesh. name: for messages. unit: for a file that names none.
        progress: told what is being done and how far it is, 0 to 1. stop: asked now and then; True ends the work.
    Returns: ends, bend, openings; nothing but openings if it is not turned.
    Raises: BadInput: no mesh, damaged, or without a unit. InterruptedError: stop said so.
    """
    mesh, graph = _graph(data, name, unit, progress, stop)
    return damage_of(mesh, graph)


def read_halves(
    first: tuple[bytes, str], second: tuple[bytes, str], *, unit: str | None, progress: Progress, stop: Stop
) -> Halves:
    """How the two scanned halves of a turned part belong together.

    Args:
        first, second: whole file and name of each. unit: for files that name none.
        progress: told what is being done and how far it is, 0 to 1. stop: asked now and then; True ends the work.
    Returns: ends, missing length, rejoining.
    Raises: BadInput: no mesh, damaged, without a unit, or not turned. InterruptedError: stop said so.
    """
    scans: list[TurnedScan] = []
    for k, (data, name) in enumerate((first, second)):
        half = k / 2
        mesh, graph = _graph(data, name, unit, lambda what, share, half=half: progress(what, half + 0.45 * share), stop)
        scan = turned_scan(mesh, graph)
        if scan is None:
            raise BadInput(where=name, what="it is no scan of a turned part.", do="Scan each half alone.")
        scans.append(scan)
    progress("putting the halves together", 0.95)
    return halves_of(scans[0], scans[1])


def _graph(data: bytes, name: str, unit: str | None, progress: Progress, stop: Stop) -> tuple[Mesh, PatchGraph]:
    if mesh_kind(data) is None:
        raise BadInput(where=name, what=what_it_is(data, name), do="Damage is read from a scan: STL, PLY, OBJ or 3MF.")
    mesh = read_mesh(data, name)
    said = unit_of(mesh.unit, unit)
    if said.state == "ask":
        raise BadInput(where=name, what="the file names no unit.", do="Give it, such as --unit mm.")
    mesh = scaled(mesh, UNIT_MM[said.name])
    try:
        return mesh, scan_graph(mesh, progress=progress, stop=stop)
    except Stopped:
        raise InterruptedError from None
