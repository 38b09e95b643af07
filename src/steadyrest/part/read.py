"""A file of a part as a Part: what it is, which unit, patches, features, nominal sizes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import PurePath

import numpy as np

from steadyrest.part.datums import datums_of
from steadyrest.part.features.approach import with_directions
from steadyrest.part.features.find import Found, find
from steadyrest.part.files.dxf import is_dxf
from steadyrest.part.files.step import is_step
from steadyrest.part.patch import Patch, PatchGraph
from steadyrest.part.threads.find import threads_of
from steadyrest.part.threads.on_part import thread_nominals, with_threads
from steadyrest.part.threads.smoothed import smoothed
from steadyrest.part.triangles.bodies import bodies_of, no_such_body, one_body
from steadyrest.part.triangles.mass import mass_properties
from steadyrest.part.triangles.mesh import Mesh
from steadyrest.part.wear.wear_map import wear_maps
from steadyrest.part.working_scale import in_file_numbers, working_mm
from steadyrest.shop.figure import Reason, because
from steadyrest.shop.part import Doubt, Part, UnitSaid
from steadyrest.trouble import BadInput

Progress = Callable[[str, float], None]
Stop = Callable[[], bool]
UNIT_MM = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8, "um": 0.001}
GIVEN = ("mm", "in", "m")
MOST_POINTS = 4000  # of one patch, for its reach
FREE_SHARE = 0.03
PLATE = 0.5  # of the next side: thicker is no plate
ASKS = {
    "mesh.open": "read.ask_open",
    "mesh.crooked": "read.ask_crooked",
    "mesh.shells": "read.ask_shells",
}


def read(
    data: bytes,
    name: str,
    *,
    unit: str | None,
    body: int | None = None,
    grid: bool = False,
    progress: Progress,
    stop: Stop,
) -> Part:
    """What a file holds: features with sizes, nominals with odds, doubts.

    Args:
        data: the whole file; STEP, STL, PLY, OBJ, 3MF or DXF, told by its content.
        name: its name, for messages and for the part.
        unit: "mm", "in" or "m" for a file that names none; None leaves such a file in its own numbers and asks.
        body: which of several bodies, from 1; None for all together.
        grid: make the body's cells too, where it is not turned: what a plan on a mill asks for.
        progress: told what is being done and how far it is, 0 to 1.
        stop: asked now and then; True ends the work.
    Returns: the part, in mm (in the file's own numbers while the unit is asked).
    Raises: BadInput: not one of these files, damaged, a unit that is none, or no such body.
        InterruptedError: stop said so.
    """
    if unit is not None and unit not in GIVEN:
        raise BadInput(where="--unit", what=f"{unit!r} is not a unit.", do=f"One of: {', '.join(GIVEN)}.")
    part = part_in(data, name, unit, body, grid, progress, stop)
    if stop():
        raise InterruptedError
    progress("sizes", 0.9)
    from steadyrest.part.nominal.name import name_sizes, unit_odds
    from steadyrest.part.threads.tapers import taper_nominals

    if part.unit.state == "ask" and part.unit.why.key == "read.unit_missing":
        part = replace(part, unit=replace(part.unit, why=unit_hint(part, unit_odds(part))))
    part = taper_nominals(thread_nominals(name_sizes(part)))
    progress("done", 1.0)
    return part


def part_in(
    data: bytes, name: str, unit: str | None, body: int | None, grid: bool, progress: Progress, stop: Stop
) -> Part:
    """The part in a file of any kind that is read, its sizes not named yet."""
    if is_step(data):
        return solid_part(data, name, unit, body, grid, progress, stop)
    if is_dxf(data):
        from steadyrest.part.flat.flat_part import flat_part

        if body not in (None, 1):
            raise no_such_body(name, body or 0, 1)

        return flat_part(data, name, unit=unit, progress=lambda what, share: progress(what, 0.8 * share), stop=stop)
    return scan_part(data, name, unit, body, grid, progress, stop)


def solid_part(
    data: bytes, name: str, unit: str | None, body: int | None, grid: bool, progress: Progress, stop: Stop
) -> Part:
    """A part from a STEP file, its sizes exact."""
    from steadyrest.part.solid.graph import solid_graph

    solid = solid_graph(
        data,
        name,
        body=body,
        facets=grid,
        progress=lambda what, share: progress(what, 0.8 * share),
        stop=stop,
    )
    doubts = solid.doubts
    if unit is not None and unit != solid.unit.name:
        doubts = (*doubts, unit_conflict(unit, solid.unit.name))
    threads = threads_of(solid.graph)
    found = find(smoothed(solid.graph, threads))
    part = part_of(name, solid.graph, found, solid.unit, doubts)
    part = with_threads(part, threads)
    part = replace(part, kind="solid", repaired=solid.repaired, lost=solid.lost, bodies=solid.bodies, mass=solid.mass)
    return with_cells(part, solid.graph, found, solid.facets) if grid else part


def with_cells(part: Part, graph: PatchGraph, found: Found, facets: tuple[np.ndarray, np.ndarray] | None) -> Part:
    """The part with its surfaces, and where it is not turned its own directions and its cells; as it is in a unit that
    nobody told."""
    if part.unit.state == "ask":
        return part
    from steadyrest.part.surfaces import surfaces_of
    from steadyrest.part.triangles.solid_grid import frame_of, solid_grid

    part = replace(part, surfaces=surfaces_of(graph, dict(found.whose)))
    frame = None if part.axisymmetric else frame_of(graph)
    if facets is not None and min(part.size_mm) <= PLATE * sorted(part.size_mm)[1]:
        from steadyrest.part.triangles.plate_side import plate_side

        part = replace(part, plate_side=plate_side(part, frame, *facets))
    if frame is None or facets is None:
        return replace(part, frame=frame)
    closed = not graph.scan or graph.volume_mm3 is not None
    return replace(part, frame=frame, grid=solid_grid(*facets, frame=frame, closed=closed))


def scan_part(
    data: bytes, name: str, unit: str | None, body: int | None, grid: bool, progress: Progress, stop: Stop
) -> Part:
    """A part from a mesh; in mm if the unit is known."""
    from steadyrest.part.damage.whole import damage_of
    from steadyrest.part.files.meshes import mesh_kind, read_mesh
    from steadyrest.part.relations.impose import imposed
    from steadyrest.part.relations.said import named_relations
    from steadyrest.part.segment.graph import Stopped, scan_graph

    if mesh_kind(data) is None:
        raise BadInput(where=name, what=what_it_is(data, name), do="This reads STEP, STL, PLY, OBJ, 3MF and DXF.")
    progress("reading the file", 0.0)
    mesh = read_mesh(data, name)
    mesh = mesh if body is None else one_body(mesh, body, name)
    said = unit_of(mesh.unit, unit)
    working = working_mm(mesh) if said.state == "ask" else 1.0
    mesh = scaled(mesh, UNIT_MM.get(said.name, working))
    if stop():
        raise InterruptedError
    try:
        graph = scan_graph(mesh, progress=lambda what, share: progress(what, 0.05 + 0.75 * share), stop=stop)
    except Stopped:
        raise InterruptedError from None
    doubts = tuple(Doubt(reason, because(ASKS.get(reason.key, "read.ask_mesh"))) for reason in mesh.doubted)
    if unit is not None and mesh.unit is not None and UNIT_MM.get(mesh.unit) != UNIT_MM[unit]:
        doubts = (*doubts, unit_conflict(unit, mesh.unit))
    progress("damage", 0.8)
    doubts = (*doubts, *(() if said.state == "ask" else damage_of(mesh, graph).grave))
    bodies = bodies_of(mesh)
    if bodies:
        count = float(len(bodies))
        doubts = (
            *doubts,
            Doubt(because("read.several_bodies", count=count), because("read.ask_which_body", count=count)),
        )
    graph, looked_at = imposed(with_points(graph, mesh))
    progress("features", 0.82)
    threads = threads_of(graph, mesh.vertices)
    found = find(smoothed(graph, threads))
    part = part_of(name, graph, found, said, doubts)
    part = with_threads(replace(part, relations=named_relations(looked_at, found.whose)), threads)
    part = replace(part, wear_maps=wear_maps(part, mesh))
    part = with_cells(part, graph, found, (mesh.vertices, mesh.faces)) if grid else part
    part = in_file_numbers(replace(part, kind="scan", bodies=bodies, mass=mass_properties(mesh)), working)
    return replace(part, repaired=mesh.repaired, lost=(*mesh.lost, *unnamed(graph)))


def unnamed(graph: PatchGraph) -> tuple[Reason, ...]:
    """How much of a scan no simple surface describes, if it is worth saying."""
    share = sum(p.area_mm2 for p in graph.patches if p.kind == "free") / graph.area_mm2
    return (because("read.free_share", hundredths=float(round(100 * share))),) if share > FREE_SHARE else ()


def what_it_is(data: bytes, name: str) -> str:
    """What a file that this does not read seems to be."""
    head = data[:1024]
    if not data.strip(b"\0 \t\r\n"):
        return "the file is empty."
    if head.startswith(b"%PDF"):
        return "this is a PDF."
    ending = PurePath(name).suffix.lower()
    known = ending in (".step", ".stp", ".stl", ".ply", ".obj", ".3mf", ".dxf")
    return f"it is named {ending} but does not hold that." if known else "this is no file of a part that it knows."


def unit_of(in_file: str | None, given: str | None) -> UnitSaid:
    """The unit of a mesh: the file's own, else the one given, else asked."""
    if in_file is not None:
        return UnitSaid(in_file, "sure", because("read.unit_in_file", unit=in_file))
    if given is not None:
        return UnitSaid(given, "sure", because("read.unit_given", unit=given))
    return UnitSaid("", "ask", because("read.unit_missing"))


def unit_hint(part: Part, odds: tuple[tuple[str, float], ...]) -> Reason:
    """What the numbers suggest: a hint for the question, never an answer."""
    largest = f"{max(part.size_mm):.6g}"
    if not part.features or not odds:
        return because("read.unit_missing_size", size=largest)
    return because("read.unit_missing_hint", size=largest, unit=odds[0][0], fit_odds=odds[0][1])


def unit_conflict(given: str, in_file: str) -> Doubt:
    return Doubt(because("read.unit_both", given=given, unit=in_file), because("read.ask_one_size"))


def scaled(mesh: Mesh, mm: float) -> Mesh:
    """A mesh with its lengths in mm, one of its own units being this many."""
    if mm == 1.0:
        return mesh
    vertices = mesh.vertices * mm
    vertices.setflags(write=False)
    return replace(mesh, vertices=vertices, volume=None if mesh.volume is None else mesh.volume * mm**3)


def with_points(graph: PatchGraph, mesh: Mesh) -> PatchGraph:
    """The graph with points for each patch that has none: the corners of its facets, evenly thinned."""

    def filled(patch: Patch) -> Patch:
        if patch.points is not None or patch.facets is None or not len(patch.facets):
            return patch
        corners = np.unique(mesh.faces[patch.facets])
        points = mesh.vertices[corners[:: max(1, len(corners) // MOST_POINTS)]]
        points.setflags(write=False)
        return replace(patch, points=points)

    return replace(graph, patches=tuple(filled(patch) for patch in graph.patches))


def part_of(name: str, graph: PatchGraph, found: Found, unit: UnitSaid, doubts: tuple[Doubt, ...]) -> Part:
    """A part from what was found; its sizes are not named yet."""
    return Part(
        name=name,
        kind="scan" if graph.scan else "solid",
        unit=unit,
        size_mm=found.size_mm,
        volume_mm3=graph.volume_mm3,
        features=with_directions(found.features, found.profile),
        axisymmetric=found.axisymmetric,
        patterns=found.patterns,
        doubts=(*doubts, *found.doubts),
        profile=found.profile,
        solids=graph.solids,
        approach_directions_min=found.approach_directions_min,
        broken=graph.broken,
        noise_mm=graph.noise_mm,
        datums=datums_of(graph, found),
    )
