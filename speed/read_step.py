"""How long a solid takes to read: a plate of 500 faces, 494 of them through holes, beside the kernel's own plain walk.

The plate is made here by the kernel and written as STEP. The peer reads the same bytes and asks every face for its kind
and size, no more. Both must find 500 faces and the same hole sizes before time counts. The kernel is loaded beforehand;
loading it is a case of its own. Run: python speed/read_step.py. One JSON line a case; the keys stand in _shared.py.
"""

from __future__ import annotations

import io
import subprocess
import sys
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from _shared import by_turns, line, of_children_mb, once

COLUMNS, ROWS, PITCH_MM, THICK_MM = 26, 19, 20.0, 12.0
DRILLS_MM = (5.0, 6.6, 8.5, 11.0)
FACES = COLUMNS * ROWS + 6


def plate() -> bytes:
    """STEP bytes of the plate: a face with its holes as inner wires, drawn up to a solid."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pln, gp_Pnt, gp_Vec
    from OCP.STEPControl import STEPControl_StepModelType, STEPControl_Writer
    from OCP.TopoDS import TopoDS

    from steadyrest.part.solid.kernel.quiet import be_quiet

    be_quiet()  # the kernel would talk on standard output
    down = gp_Dir(0, 0, -1)
    floor = BRepBuilderAPI_MakeFace(gp_Pln(), 0.0, COLUMNS * PITCH_MM, 0.0, ROWS * PITCH_MM)
    for number in range(COLUMNS * ROWS):
        column, row = divmod(number, ROWS)
        at = gp_Pnt((column + 0.5) * PITCH_MM, (row + 0.5) * PITCH_MM, 0.0)
        circle = gp_Circ(gp_Ax2(at, down), DRILLS_MM[number % len(DRILLS_MM)] / 2)
        floor.Add(BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(circle).Edge()).Wire())
    solid = BRepPrimAPI_MakePrism(TopoDS.Face(floor.Shape()), gp_Vec(0, 0, THICK_MM)).Shape()
    writer, out = STEPControl_Writer(), io.BytesIO()
    writer.Transfer(solid, STEPControl_StepModelType.STEPControl_AsIs)
    writer.WriteStream(out)
    return out.getvalue()


def walk(data: bytes) -> Counter[float]:
    """The plain walk: every face's kind, and how many cylinders there are of each diameter, mm."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_SurfaceType
    from OCP.STEPControl import STEPControl_Reader
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    reader = STEPControl_Reader()
    reader.ReadStream("plate", io.BytesIO(data))
    reader.TransferRoots()
    found: Counter[float] = Counter()
    faces, explorer = 0, TopExp_Explorer(reader.OneShape(), TopAbs_ShapeEnum.TopAbs_FACE)
    while explorer.More():
        surface = BRepAdaptor_Surface(TopoDS.Face(explorer.Current()))
        faces += 1
        if surface.GetType() == GeomAbs_SurfaceType.GeomAbs_Cylinder:
            found[round(2 * surface.Cylinder().Radius(), 6)] += 1
        explorer.Next()
    assert faces == FACES
    return found


def quiet(_what: str, _share: float) -> None:
    """Nobody listens."""


def never() -> bool:
    return False


def main() -> None:
    from steadyrest.part.read import read
    from steadyrest.part.solid.graph import solid_graph

    start = [sys.executable, "-c"]
    ours, peer = "import steadyrest.part.read, steadyrest.part.solid.graph", "import OCP.STEPControl, OCP.BRepAdaptor"
    load_s, peer_load_s = by_turns(
        lambda: subprocess.run([*start, ours], check=True), lambda: subprocess.run([*start, peer], check=True), 3
    )
    line("loading what reads a solid, in a fresh process", ours_s=load_s, peer="loading the kernel alone",
         peer_s=peer_load_s, peak=of_children_mb())  # fmt: skip

    data = plate()
    holes = walk(data)
    peer = "the kernel's plain walk over the faces"

    def patches() -> None:
        graph = solid_graph(data, "plate.step", progress=quiet, stop=never).graph
        assert len(graph.patches) == FACES

    def part() -> None:
        found = read(data, "plate.step", unit=None, progress=quiet, stop=never)
        bores = Counter(round(one.sizes[0].measured, 6) for one in found.features if one.kind == "bore")
        assert bores == holes, f"{sum(bores.values())} of {sum(holes.values())} holes"

    case = f"a solid of {FACES} faces, {len(data) / 1000:.0f} kB"
    cold_s = once(patches)
    warm_s, peer_s = by_turns(patches, lambda: walk(data), 3)
    line(f"{case}: its patch graph, cold", ours_s=cold_s, peer=peer, peer_s=peer_s)
    line(f"{case}: its patch graph, warm", ours_s=warm_s, peer=peer, peer_s=peer_s)
    warm_s, peer_s = by_turns(part, lambda: walk(data), 3)
    line(f"{case}: features and nominals too, warm", ours_s=warm_s, peer=peer, peer_s=peer_s)


if __name__ == "__main__":
    main()
