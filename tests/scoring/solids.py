"""Drawings as STEP files and as meshes made from them: `python -m tests.scoring.solids [first seed] [how many]`."""

from __future__ import annotations

import io
import sys
import time

import numpy as np

from steadyrest.part.read import read
from tests.scoring.drawings import FAMILIES, ROUND_FAMILIES, drawn
from tests.scoring.shapes import solid_of
from tests.scoring.verdict import Tally, judge


def step_of(shape, *, inch: bool) -> bytes:
    from OCP.Interface import Interface_Static
    from OCP.Message import Message
    from OCP.STEPControl import STEPControl_StepModelType, STEPControl_Writer

    Message.DefaultMessenger_s().ChangePrinters().Clear()
    writer = STEPControl_Writer()
    Interface_Static.SetCVal_s("write.step.unit", "INCH" if inch else "MM")
    writer.Transfer(shape, STEPControl_StepModelType.STEPControl_AsIs)
    out = io.BytesIO()
    writer.WriteStream(out)
    return out.getvalue()


def stl_of(shape, deflection: float, angle: float) -> bytes:
    from OCP.BRep import BRep_Tool
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS

    BRepMesh_IncrementalMesh(shape, deflection, False, angle)
    triangles = []
    explorer = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_FACE)
    while explorer.More():
        face = TopoDS.Face(explorer.Current())
        where = TopLoc_Location()
        mesh = BRep_Tool.Triangulation_s(face, where)
        points = [mesh.Node(i + 1).Transformed(where.Transformation()) for i in range(mesh.NbNodes())]
        xyz = np.array([[p.X(), p.Y(), p.Z()] for p in points])
        for i in range(mesh.NbTriangles()):
            a, b, c = mesh.Triangle(i + 1).Get()
            if face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED:
                a, b = b, a
            triangles.append(xyz[[a - 1, b - 1, c - 1]])
        explorer.Next()
    rows = np.zeros(len(triangles), dtype=[("n", "<f4", 3), ("v", "<f4", (3, 3)), ("a", "<u2")])
    rows["v"] = np.array(triangles)
    return b"\0" * 80 + np.uint32(len(rows)).tobytes() + rows.tobytes()


def run(first: int, count: int, kinds: tuple[str, ...]) -> None:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    for kind in kinds:
        tally, took = Tally(), []
        for seed in range(first, first + count):
            for family in (*FAMILIES, *ROUND_FAMILIES):
                drawing = drawn(family, seed)
                solid = solid_of(drawing.shape)
                tag = f"{kind} {family} {seed}"
                if kind.startswith("step"):
                    data = step_of(solid, inch=kind == "step inch")
                else:
                    data = stl_of(solid, 0.05, 0.3)
                started = time.perf_counter()
                part = read(data, "x", unit="mm", progress=lambda *_: None, stop=lambda: False)
                took.append(time.perf_counter() - started)
                exact = 1e-3 if kind.startswith("step") else 0.02
                judge(part, drawing, lambda p: p, np.eye(3), tally, tag, size_tol=exact, depth_tol=2 * exact)
                props = GProp_GProps()
                BRepGProp.VolumeProperties_s(solid, props)
                share = (part.volume_mm3 or 0) / props.Mass() - 1
                tally.check("volume", abs(share) < (1e-5 if kind.startswith("step") else 5e-3), f"{tag} {share:.2g}")
        print(f"== {kind}: {len(took)} parts, {np.mean(took):.2f} s each, longest {max(took):.2f} s")
        print(tally.table())
        print("\n".join("  " + line for line in tally.lines))


if __name__ == "__main__":
    first = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 4
    run(first, count, ("step mm", "step inch", "stl"))
